"""XML: what was read, in the plain form of the dialect: sides and places as numbers.

In: limbs, or the readings of a score's lines. Out: text in the dialect. What ink
does not hold is not there: titles, music, names of the arms, how far forward a
hand is, by how much a sign was moved. How a count is divided is not in the ink either:
the coarsest division that has the syllables is written.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, field, replace
from html import escape
from itertools import chain, pairwise

from stavebound.readback.formxml import form_tags
from stavebound.readback.repeats import joined
from stavebound.readback.said import moved, passes_unnamed
from stavebound.readback.values import (
    AboveRead,
    FacingRead,
    FeetRead,
    FootRead,
    Frame,
    FreeRead,
    HandRead,
    JointRead,
    LimbRead,
    PartRead,
    Reading,
    TravelRead,
    TurnRead,
    WholeRead,
)
from stavebound.score.lanes import DIRECTIONS, TravelPath
from stavebound.score.lexical import amount_text, lean_text
from stavebound.score.model import Ankle, Bend, Turned, Way, Weight
from stavebound.score.pose import STRAIGHT
from stavebound.source.rules import NAMESPACE
from stavebound.trade.catalogue import load_catalogue
from stavebound.trade.tables import Scale

LINES = ("floor", "knee", "waist", "shoulder", "head")
SYLLABLE = {"&": "and", "a": "a", "e": "e"}
VULGAR = {"½": "1/2", "¼": "1/4", "¾": "3/4"}
WHOLE = {
    "hold": "<hold/>",
    "hold of the arms": '<hold of="arms"/>',
    "hold of the legs": '<hold of="legs"/>',
    "stillness": "<still/>",
    "accent": "<accent/>",
    "pause": "<pause/>",
}
# How far a foot may be from a place of the table and still be named after it, in spaces.
NEAR = 0.012
TEMPO = re.compile(r"(.+) \(1 = (\d+)\)|1 = (\d+)", re.DOTALL)
DIVISION = (("e", "quarters"), ("a", "thirds"))


def limb_xml(read: LimbRead) -> str:
    """The element that writes this limb."""
    match read:
        case HandRead():
            return _hand(read)
        case FeetRead(position, front, rise, weight, turned):
            first = f' front="{front}"' if front else ""
            on = "" if weight is Weight.BOTH else f' weight="{weight}"'
            return f'<feet in="{position}"{first} on="{rise}"{on}{_leg(turned)}/>'
        case FootRead(side, rise, turned):
            return f'<foot side="{side}" on="{rise}"{_leg(turned)}/>'
        case FreeRead():
            return _free(read)
        case JointRead():
            return _joint(read)
        case PartRead(part, attitude, _):
            if attitude == STRAIGHT:
                return f'<return of="{part}"/>'
            leans = {"tilt": attitude.tilt, "turn": attitude.turn, "bend": attitude.bend}
            said = (f' {name}="{lean_text(lean)}"' for name, lean in leans.items() if lean)
            return f"<{part}{''.join(said)}/>"
        case WholeRead(what, _) | AboveRead(what):
            return WHOLE[what]
        case FacingRead() | TurnRead() | TravelRead():
            return _lane(read)


def _lane(read: FacingRead | TurnRead | TravelRead) -> str:
    match read:
        case FacingRead(eighth):
            return f'<facing to="{DIRECTIONS[eighth]}"/>'
        case TurnRead(side, by, on):
            return f'<turn to="{side}" by="{amount_text(by)}" on="{on}"/>'
        case TravelRead(to, of, path):
            said = "" if path is TravelPath.STRAIGHT else f' path="{path}"'
            return f'<travel to="{to}" of="{of}"{said}/>'


def _moved(limb: LimbRead, frame: Frame) -> str:
    """The element that writes the limb, with how it comes there."""
    passes = "<!-- by a place without a name -->" if passes_unnamed(limb, frame.ways) else ""
    return limb_xml(limb).removesuffix("/>") + moved(limb, frame.ways) + "/>" + passes


def _leg(turned: Turned) -> str:
    return "" if turned is Turned.OUT else f' turned="{turned}"'


def _free(read: FreeRead) -> str:
    """By the table's name where the foot is at one of its places, else by its height."""
    flexed = f' ankle="{Ankle.FLEXED}"' if read.flexed else ""
    place = _free_place(read)
    return f'<foot side="{read.side}" to="{read.way}" {place}{_leg(read.turned)}{flexed}/>'


def _free_place(read: FreeRead) -> str:
    catalogue = load_catalogue()
    if read.place:
        return f'place="{read.place}"'
    for row in catalogue.feet.free.place:
        x = row.side if read.way is Way.SIDE else catalogue.feet.free.before
        y = row.front if read.way is Way.FRONT else row.level
        if not (row.hook or row.touch) and max(abs(read.at[0] - x), abs(read.at[1] - y)) <= NEAR:
            return f'{"raised" if row.name.isdecimal() else "place"}="{row.name}"'
    across = catalogue.body.across
    out = _out(read.at[0], across.foot_aside if read.way is Way.SIDE else across.foot)
    return f'height="{height_text(read.at[1])}" out="{out:.2f}"'


def _out(x: float, scale: Scale) -> float:
    """From a place on paper to the distance out from the centre."""
    if x < 0:
        return min((x + scale.base) / scale.slope, -0.01)
    return max((x - scale.base) / scale.slope, 0.0)


def _hand(read: HandRead) -> str:
    place = f' height="{height_text(read.height)}" out="{read.out:.2f}" depth="{read.depth}"'
    if read.touching == "barre":
        place = ""
    marks = {"palm": read.palm, "arm": read.arm, "touching": read.touching}
    said = "".join(f' {name}="{value}"' for name, value in marks.items() if value)
    return f'<hand side="{read.side}"{place}{said}/>'


def _joint(read: JointRead) -> str:
    """A straight joint has no place of its own; `out` is on the scale of the hands."""
    head = f'<{read.kind} side="{read.side}" bend="{read.bend}"'
    if read.bend is Bend.NONE:
        return f"{head}/>"
    across = load_catalogue().body.across.hand
    out = max(_out(read.at[0], across), 0.0)
    return f'{head} depth="{read.depth}" height="{height_text(read.at[1])}" out="{out:.2f}"/>'


def height_text(height: float) -> str:
    """A height as the nearest line of the stave, and spaces above or below it."""
    height = round(height, 2)
    line = min(max(round(height), 0), len(LINES) - 1)
    offset = f"{height - line:+.2f}"
    return LINES[line] if float(offset) == 0 else f"{LINES[line]}{offset}"


@dataclass(slots=True)
class _Section:
    """A phrase, or the upbeat, while it is put together."""

    first: int
    last: int
    frames: list[tuple[str, Frame]] = field(default_factory=list)
    bars: list[tuple[str, int, str | None]] = field(default_factory=list)
    phrasings: list[tuple[str, str]] = field(default_factory=list)
    syllables: set[str] = field(default_factory=set)

    def add(self, frame: Frame, begins_bar: bool) -> None:
        count = frame.count or ""
        if count.isdecimal():
            self.last, at = int(count), count
        elif count in SYLLABLE:
            self.syllables.add(count)
            at = f"{self.last} {SYLLABLE[count]}"
        else:
            at = f"{self.last} {VULGAR.get(count, count)}"
        if begins_bar and count.isdecimal():
            self.bars.append((at, 0, frame.metre))
        if self.bars and count.isdecimal():
            begin, counts, metre = self.bars[-1]
            self.bars[-1] = begin, counts + 1, metre
        self.frames.append((at, frame))


def score_xml(readings: Sequence[Reading], title: str) -> str:
    """The lines of one score, in their order, as one source."""
    frames = _one_line(readings)
    start = [frame for frame in frames if frame.count is None]
    counted = [frame for frame in frames if frame.count is not None]
    upbeat = bool(counted) and counted[0].bar == 0 and readings[0].number is None
    sections = _sections(counted)
    _phrase(sections, ((a - len(start), b - len(start)) for a, b in _whole_phrasings(readings)))
    lines = [f'<score xmlns="{NAMESPACE}" title="{escape(title)}">']
    for frame in start:
        lines += ["  <start>", *(f"    {limb_xml(limb)}" for limb in frame.limbs), "  </start>"]
    starts = [section.frames[0][1].bar for section in sections]
    form = joined(reading.form for reading in readings)
    tags = form_tags(form, starts)
    bars = pairwise((*starts, len(form)))
    for index, (section, (begin, end)) in enumerate(zip(sections, bars, strict=True)):
        lines += (f"  {tag}" for tag in tags.before.get(begin, ()))
        lines += _section("upbeat" if upbeat and index == 0 else "phrase", section)
        lines += (f"  {tag}" for tag in tags.after.get(end - 1, ()))
    if tags.untold:
        lines.append(f"  <!-- repeats: {_in_comment(tags.untold)} -->")
    for lane, text in chain.from_iterable(reading.loose for reading in readings):
        lines.append(f"  <!-- {lane} near an edge: {_in_comment(text)} -->")
    return "\n".join((*lines, "</score>", ""))


def _one_line(readings: Iterable[Reading]) -> list[Frame]:
    """All frames, their bars counted on from line to line."""
    found: list[Frame] = []
    before = 0
    for reading in readings:
        found += (replace(frame, bar=frame.bar + before) for frame in reading.frames)
        before += reading.bars
    return found


def _whole_phrasings(readings: Iterable[Reading]) -> Iterator[tuple[int, int]]:
    """By the numbers of all frames; one that is broken goes on where the next line begins."""
    before, begun = 0, 0
    for reading in readings:
        for begin, end in reading.phrasings:
            begun = begun if begin is None else before + begin
            if end is not None:
                yield begun, before + end
        before += len(reading.frames)


def _phrase(sections: list[_Section], phrasings: Iterable[tuple[int, int]]) -> None:
    """The phrasings to the sections in which they begin, by the numbers of the frames."""
    places = [(section, at) for section in sections for at, _ in section.frames]
    for begin, end in phrasings:
        section, at = places[begin]
        section.phrasings.append((at, places[end][1]))


def _sections(frames: list[Frame]) -> list[_Section]:
    """A phrase begins where the counts begin anew."""
    found: list[_Section] = []
    bar = 0
    for frame in frames:
        count = int(frame.count) if frame.count and frame.count.isdecimal() else None
        if not found or (count is not None and count <= found[-1].last):
            found.append(_Section(count or 1, 0))
        found[-1].add(frame, frame.bar != bar)
        bar = frame.bar
    return found


def _section(name: str, section: _Section) -> Iterator[str]:
    division = next((value for key, value in DIVISION if key in section.syllables), None)
    divided = f' divide="{division}"' if division else ""
    yield f'  <{name} counts="{section.last - section.first + 1}"{divided}>'
    if name == "phrase":
        for at, counts, metre in section.bars:
            own = f' metre="{metre}"' if metre else ""
            yield f'    <bar at="{at}" counts="{counts}"{own}/>'
    for begin, end in section.phrasings:
        yield f'    <phrasing from="{begin}" to="{end}"/>'
    for at, frame in section.frames:
        if frame.limbs or frame.step or frame.cue or frame.quality or frame.tempo:
            texts = {"step": frame.step, "quality": frame.quality}
            said = (f' {name}="{escape(text)}"' for name, text in texts.items() if text)
            yield f'    <frame at="{at}"{"".join(said)}>'
            yield from (f"      {_moved(limb, frame)}" for limb in frame.limbs)
            if frame.tempo:
                yield f"      {_tempo(frame.tempo)}"
            if frame.cue:
                yield f"      <cue>{escape(frame.cue, quote=False)}</cue>"
            yield "    </frame>"
    yield f"  </{name}>"


def _tempo(text: str) -> str:
    """Its words, and how many counts a minute, which stand alone or in brackets at the end."""
    words, counts = text, ""
    if found := TEMPO.fullmatch(text):
        words, counts = found[1] or "", f' counts="{found[2] or found[3]}"'
    return f"<tempo{counts}>{escape(words, quote=False)}</tempo>" if words else f"<tempo{counts}/>"


def _in_comment(text: str) -> str:
    return text.replace("--", "- -")
