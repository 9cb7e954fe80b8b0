"""The starting position in words: what each of its elements says, as a piece of a sentence.

In: a change, the labels of a language, and how names of arms and feet are printed in
it. Out: plain text, such as “right hand on the hip” or “feet in fifth, right foot in front”.
All that is written is said, but for how far out or forward a place is.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping

from stavebound.score.departures import Departures
from stavebound.score.lanes import DIRECTIONS, FacingChange, direction_of
from stavebound.score.model import (
    ArmsChange,
    CentreChange,
    Change,
    Depth,
    ElbowChange,
    FeetChange,
    FootChange,
    HandChange,
    Height,
    KneelChange,
    KneesChange,
    Lean,
    Rise,
    Side,
    Weight,
)
from stavebound.trade.catalogue import Catalogue
from stavebound.trade.centre import Centre, LeanRow
from stavebound.trade.naming import arms_shape, hand_shape
from stavebound.trade.tables import School

Labels = Mapping[str, str]
# The part of the trade's names (arms, feet or departure) and a name of it → as it is printed.
Names = Callable[[str, str], str]


def said(change: Change, words: Labels, names: Names, read: School, catalogue: Catalogue) -> str:
    """One element of the start; nothing of what says nothing of a position."""
    match change:
        case FeetChange():
            return _feet(change, _departing(change.departures, names, catalogue), words, names)
        case FootChange():
            return _foot(change, _departing(change.departures, names, catalogue), words)
        case ArmsChange(written):
            shape = arms_shape(catalogue, read, written)
            return _arms(change, names("arms", shape.name if shape else written), words)
        case HandChange(name=written):
            hand = hand_shape(catalogue, read, written) if written else None
            shaped = names("arms", hand.name if hand else written) if written else None
            details = _departing(change.departures, names, catalogue)
            return _hand(change, shaped, details, words)
        case KneelChange():
            return _kneel(change, words)
        case KneesChange() | ElbowChange():
            return _joint(change, words)
        case CentreChange():
            return _centre(change, words, catalogue.centre)
        case FacingChange(to):
            eighth = direction_of(to, read)
            if eighth is None:
                return ""
            return words["start_facing"].format(
                direction=_word("facing", DIRECTIONS[eighth], words)
            )
    return ""


def _word(kind: str, value: str, words: Labels) -> str:
    return words[f"{kind}_{value.replace(' ', '_')}"]


def _sided(sentence: str, side: Side, words: Labels, **values: str) -> str:
    limb, hand = _word("limb", side, words), _word("hand", side, words)
    return words[sentence].format(side=limb, hand=hand, **values)


def _departing(departures: Departures, names: Names, catalogue: Catalogue) -> str:
    """What is said behind the limb; a place of the body that a hand touches is said elsewhere."""
    known = {(row.of, row.says): row.name for row in catalogue.departures.value if row.said}
    order = sorted(known.keys() & set(departures), key=list(known).index)
    return "".join(names("departure", known[each]) for each in order)


def _feet(change: FeetChange, departing: str, words: Labels, names: Names) -> str:
    rise = change.rise and _word("rise", change.rise, words)
    details = [rise or "", _front(change.front, words), _weight(change.weight, words), departing]
    if change.position:
        position = names("feet", change.position)
        return words["start_feet"].format(position=position, details="".join(details))
    return words["start_both_feet"].format(details="".join(details))


def _kneel(change: KneelChange, words: Labels) -> str:
    details = words["start_sitting_back"] if change.sitting else ""
    if change.on is Weight.BOTH:
        return words["start_kneeling"].format(details=details)
    return _sided("start_kneeling_on", Side(change.on.value), words, details=details)


def _front(side: Side | None, words: Labels) -> str:
    return _sided("start_front", side, words) if side else ""


def _weight(weight: Weight | None, words: Labels) -> str:
    return _word("weight", weight, words) if weight else ""


def _foot(change: FootChange, details: str, words: Labels) -> str:
    if change.rise or change.direction is None:
        rise = _word("rise", change.rise or Rise.WHOLE, words)
        return _sided("start_standing", change.side, words, rise=rise, details=details)
    if change.raised:
        where = words["start_raised"].format(degrees=change.raised)
    elif change.height:
        where = _height(change.height, words)
    else:
        where = _word("place", change.place or "pointed", words)
    way = _word("way", change.direction, words)
    return _sided("start_free", change.side, words, where=where, way=way, details=details)


def _height(height: Height, words: Labels) -> str:
    """At a line of the body, over it or under it."""
    over = "over" if height.offset > 0 else "under" if height.offset < 0 else "at"
    return words[f"height_{over}"].format(line=_word("line", height.line, words))


def _arms(change: ArmsChange, shape: str, words: Labels) -> str:
    lead = _sided("start_lead", change.lead, words) if change.lead else ""
    joined = words["start_joined"] if change.joined else ""
    return words["start_arms"].format(shape=shape, lead=lead + joined)


def _hand(change: HandChange, shape: str | None, departing: str, words: Labels) -> str:
    placed = shape is not None or change.height is not None
    details = "".join(_hand_details(change, placed, words)) + departing
    if shape:
        return _sided("start_arm", change.side, words, shape=shape, details=details)
    if change.height:
        where = _height(change.height, words)
        return _sided("start_hand", change.side, words, where=where, details=details)
    if change.touching:
        what = _word("touch", change.touching, words)
        return _sided("start_touching", change.side, words, what=what, details=details)
    return _sided("start_this_hand", change.side, words, details=details)


def _hand_details(change: HandChange, placed: bool, words: Labels) -> Iterator[str]:
    if change.depth and change.depth is not Depth.LEVEL:
        yield _word("depth", change.depth, words)
    if change.out is not None and change.out < 0:
        yield words["start_across"]
    if change.touching and placed:
        yield words["start_and_touching"].format(what=_word("touch", change.touching, words))


def _joint(change: KneesChange | ElbowChange, words: Labels) -> str:
    bend = _word("bend", change.bend, words)
    details = f" {_height(change.height, words)}" if change.height else ""
    if change.depth and change.depth is not Depth.LEVEL:
        details += _word("depth", change.depth, words)
    if change.side is None:
        return words["start_knees"].format(bend=bend, details=details)
    joint = "start_knee" if isinstance(change, KneesChange) else "start_elbow"
    return _sided(joint, change.side, words, bend=bend, details=details)


def _centre(change: CentreChange, words: Labels, table: Centre) -> str:
    own = dict(change.attitude)
    parts = [_lean(row, own[row.name], words) for row in table.lean if row.name in own]
    part = _word("part", change.part, words)
    return words["start_part"].format(part=part, leans=words["and"].join(parts)) if parts else ""


def _lean(row: LeanRow, lean: Lean, words: Labels) -> str:
    return words[row.start].format(
        amount=words[f"{row.amounts}_{lean.amount}"], direction=_word("to", lean.direction, words)
    )
