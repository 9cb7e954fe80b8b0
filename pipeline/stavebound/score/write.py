"""From a score to its source.

In: a `Score`, or a change. Out: XML text in the dialect, two spaces a level, that reads
back as an equal score. Nobody else writes the dialect.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping
from functools import cache

from lxml import etree

from stavebound.score import lexical
from stavebound.score.form import TWICE, Leap
from stavebound.score.frame_texts import text_names
from stavebound.score.lanes import (
    FacingChange,
    LaneChange,
    TravelChange,
    TravelPath,
    TurnChange,
)
from stavebound.score.model import (
    ArmsChange,
    CentreChange,
    Change,
    ElbowChange,
    FeetChange,
    FootChange,
    Frame,
    HandChange,
    KneelChange,
    KneesChange,
    Music,
    Phrase,
    Position,
    Return,
    SaidBar,
    Score,
    WholeChange,
    Words,
)
from stavebound.score.shorthand import Ended, Repeated, Said, Stands
from stavebound.score.words import DETAIL
from stavebound.source.rules import NAMESPACE
from stavebound.source.schema import load_plain_schema

Attributes = dict[str, object]

# Only these hold no running text, so that white space in them means nothing.
BLOCKS = frozenset({"score", "start", "upbeat", "repeat", "ending", "phrase", "frame"})


def write_change(change: Change) -> str:
    """The element that writes a change, as it would stand in a score."""
    frame = etree.Element(f"{{{NAMESPACE}}}frame", None, {None: NAMESPACE})
    _change(frame, change)
    return etree.tostring(frame[0], encoding="unicode").replace(f' xmlns="{NAMESPACE}"', "", 1)


def write_start(start: Position) -> str:
    """A starting position by itself, a change a line."""
    element = etree.Element(f"{{{NAMESPACE}}}start", None, {None: NAMESPACE})
    for change in start.changes:
        _change(element, change)
    _indent(element, "\n")
    return etree.tostring(element, encoding="unicode").replace(f' xmlns="{NAMESPACE}"', "", 1)


def write_score(score: Score, parts: Iterable[Said] | None = None) -> str:
    """`parts` are the score's phrases in shorthand; where they are not given, all that the
    score has are written out."""
    root = etree.Element(f"{{{NAMESPACE}}}score", None, {None: NAMESPACE})
    _set(
        root,
        {
            "id": score.identity,
            "title": score.title,
            "school": score.school,
            "level": score.level,
            "status": score.status,
            "date": score.date,
            "pupils": score.pupils,
            "promise": _nothing(score),
        },
    )
    if score.music:
        _music(root, score.music)
    if score.barre:
        _child(root, "barre", {"hand": score.barre})
    if score.start:
        start = _child(root, "start", {})
        for change in score.start.changes:
            _change(start, change)
    for prose in score.prose:
        _words(_child(root, prose.kind, dict(prose.attributes)), prose.words)
    if score.upbeat:
        _phrase(root, "upbeat", score.upbeat)
    for part in score.phrases if parts is None else parts:
        _part(root, part)
    _remarks(root, score.remarks)
    _indent(root, "\n")
    return etree.tostring(root, encoding="unicode") + "\n"


def _set(element: etree._Element, attributes: Attributes) -> None:
    for name, value in attributes.items():
        if value is not None:
            element.set(name, str(value))


def _child(parent: etree._Element, name: str, attributes: Attributes) -> etree._Element:
    child = etree.SubElement(parent, f"{{{NAMESPACE}}}{name}")
    _set(child, attributes)
    return child


def _music(root: etree._Element, music: Music) -> None:
    attributes: Attributes = {
        "metre": music.metre,
        "counts-per-bar": music.counts_per_bar,
        "bars-per-count": music.bars_per_count,
        "tempo": music.tempo,
        "introduction": music.introduction,
        "divide": music.division,
    }
    _words(_child(root, "music", attributes), music.words)


def _remarks(parent: etree._Element, remarks: tuple[str, ...]) -> None:
    """As comments, in which no two hyphens may stand together."""
    for remark in remarks:
        parent.append(etree.Comment(f" {re.sub('-(?=-)', '- ', remark)} "))


def _part(parent: etree._Element, part: Said) -> None:
    match part:
        case Phrase():
            _phrase(parent, "phrase", part)
        case Stands(name):
            _child(parent, name, {})
        case Leap(name, to, repeats):
            _child(parent, name, {"to": to, "repeats": "yes" if repeats else None})
        case Repeated(parts, times):
            repeat = _child(parent, "repeat", {"times": times if times > TWICE else None})
            for each in parts:
                _part(repeat, each)
        case Ended(of, parts):
            ending = _child(parent, "ending", {"of": " ".join(map(str, of))})
            for each in parts:
                _part(ending, each)


def _phrase(root: etree._Element, name: str, phrase: Phrase) -> None:
    attributes: Attributes = {
        "id": phrase.identity,
        "counts": phrase.counts,
        "divide": phrase.division,
    }
    element = _child(root, name, attributes)
    for bar in phrase.bars:
        _bar(element, bar)
    for phrasing in phrase.phrasings:
        ends = {"from": lexical.at_text(phrasing.begin), "to": lexical.at_text(phrasing.end)}
        _child(element, "phrasing", dict(ends))
    for frame in phrase.frames:
        _frame(element, frame)


def _nothing(named: Score | Frame) -> str | None:
    """What is said of names that promise nothing."""
    return None if named.promises else "none"


def _bar(parent: etree._Element, bar: SaidBar) -> None:
    attributes: Attributes = {
        "id": bar.identity,
        "at": lexical.at_text(bar.at),
        "counts": bar.counts,
        "metre": bar.metre,
    }
    _child(parent, "bar", attributes)


def _frame(parent: etree._Element, frame: Frame) -> None:
    labels = text_names().attributes
    attributes: Attributes = {one.lane: one.text for one in frame.texts if one.lane in labels}
    attributes |= {"does": frame.does, "promise": _nothing(frame)}
    element = _child(parent, "frame", {"at": lexical.at_text(frame.at), **attributes})
    for change in frame.changes:
        _change(element, change)
    for text in frame.texts:
        if text.lane not in labels:
            _words(_child(element, text.lane, dict(text.attributes)), text.words)
    _remarks(element, frame.remarks)


def _change(parent: etree._Element, change: Change) -> None:
    match change:
        case ArmsChange(name, lead, joined):
            hands = "joined" if joined else None
            arms: Attributes = {"in": name, "slightly": _slightly(change), "lead": lead}
            _child(parent, "arms", arms | {"hands": hands} | _way(change))
        case HandChange():
            _hand(parent, change)
        case FeetChange(position, front, rise, weight, _, by, moving):
            feet: Attributes = {"in": position, "front": front, "on": rise, "weight": weight}
            _limb(parent, "feet", feet | {"by": by, "moving": moving} | _flight(change), change)
        case FootChange():
            _foot(parent, change)
        case KneelChange(on, sitting):
            _child(parent, "kneel", {"on": on, "sitting": "back" if sitting else None})
        case KneesChange():
            _joint(parent, "knee" if change.side else "knees", change)
        case ElbowChange():
            _joint(parent, "elbow", change)
        case CentreChange() | Return() | WholeChange():
            _whole(parent, change)
        case FacingChange() | TurnChange() | TravelChange():
            _lane(parent, change)


def _whole(parent: etree._Element, change: CentreChange | Return | WholeChange) -> None:
    """What is no limb's: a part of the body's centre, or the whole dancer."""
    match change:
        case CentreChange(part, attitude):
            written = {name: lexical.lean_text(lean) for name, lean in attitude}
            _child(parent, part, _in_order(part, written))
        case Return(part):
            _child(parent, "return", {"of": part})
        case WholeChange(what, words):
            _child(parent, what, dict([words] if words else []))


def _lane(parent: etree._Element, change: LaneChange) -> None:
    match change:
        case FacingChange(to):
            _child(parent, "facing", {"to": to})
        case TurnChange():
            _turn(parent, change)
        case TravelChange(to, of, path, steps):
            said = None if path is TravelPath.STRAIGHT else path
            _child(parent, "travel", {"to": to, "of": of, "path": said, "steps": steps})


def _turn(parent: etree._Element, change: TurnChange) -> None:
    attributes: Attributes = {
        "to": change.to,
        "by": lexical.amount_text(change.by),
        "on": change.on,
        "lasts": lexical.amount_text(change.lasts) if change.lasts else None,
        "spotting": change.spotting,
    }
    _child(parent, "turn", attributes)


def _foot(parent: etree._Element, change: FootChange) -> None:
    attributes: Attributes = {
        "side": change.side,
        "to": change.direction,
        "place": change.place,
        "raised": change.raised,
        "height": lexical.height_text(change.height) if change.height else None,
        "out": change.out,
        "on": change.rise,
        "by": change.by,
    }
    _limb(parent, "foot", attributes | _flight(change) | _way(change), change)


def _hand(parent: etree._Element, change: HandChange) -> None:
    attributes: Attributes = {
        "side": change.side,
        "in": change.name,
        "slightly": _slightly(change),
        "height": lexical.height_text(change.height) if change.height else None,
        "out": change.out,
        "depth": change.depth,
        "forward": change.forward,
    }
    _limb(parent, "hand", attributes | _way(change), change)


def _limb(
    parent: etree._Element,
    name: str,
    attributes: Attributes,
    change: HandChange | FeetChange | FootChange,
) -> None:
    """With its departures, all attributes in the order of the schema."""
    _child(parent, name, _in_order(name, attributes | dict(change.departures)))


def _in_order(name: str, written: Mapping[str, object]) -> Attributes:
    """Attributes of an element in the order of the schema."""
    order = _order(name)
    return {key: written[key] for key in sorted(written, key=order.__getitem__)}


@cache
def _order(name: str) -> Mapping[str, int]:
    """The attributes of an element of the plain dialect, numbered. KeyError for any other."""
    rule = next(iter(load_plain_schema().named(name)))
    return {one.name: number for number, one in enumerate(rule.attributes)}


def _slightly(change: ArmsChange | HandChange) -> str | None:
    return lexical.listed_text(change.slightly) or None


def _way(change: ArmsChange | HandChange | FootChange) -> Attributes:
    return {"via": change.via, "path": change.path, "bow": change.bow}


def _flight(change: FeetChange | FootChange) -> Attributes:
    flight = change.flight
    beats = lexical.beats_text(flight.beats) or None
    return {"beats": beats, "legs": flight.legs, "size": flight.size}


def _joint(parent: etree._Element, name: str, change: KneesChange | ElbowChange) -> None:
    attributes: Attributes = {
        "side": change.side,
        "bend": change.bend,
        "depth": change.depth,
        "height": lexical.height_text(change.height) if change.height else None,
        "out": change.out,
        "kept": "yes" if isinstance(change, KneesChange) and change.kept else None,
    }
    _child(parent, name, attributes)


def _words(element: etree._Element, words: Words) -> None:
    last: etree._Element | None = None
    for run in words:
        if run.kind != "text":
            detail = {DETAIL[run.kind]: run.detail} if run.kind in DETAIL else {}
            last = _child(element, run.kind, dict(detail))
            last.text = run.text or None
        elif last is None:
            element.text = (element.text or "") + run.text
        else:
            last.tail = (last.tail or "") + run.text


def _indent(element: etree._Element, margin: str) -> None:
    """Put each child of a block on a line of its own, two spaces in."""
    children = list(element)
    if not children or etree.QName(element).localname not in BLOCKS:
        return
    element.text = margin + "  "
    for child in children:
        _indent(child, margin + "  ")
        child.tail = margin + "  "
    children[-1].tail = margin
