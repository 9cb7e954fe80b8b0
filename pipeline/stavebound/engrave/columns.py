"""Columns: what stands at each moment, and how much room it asks for.

In: a timeline, the poses and a style. Out: columns in the order of time, grouped
into bars. A column stands wherever a frame, a whole count or a bar line does.

      5     &     6           texts above
    │ ╎     ╎     ╎ │         frames on their axes
      ╎←  →╎                  left and right of an axis: `reach`
     plié                     texts below
"""

from __future__ import annotations

from bisect import bisect_right
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from fractions import Fraction
from functools import lru_cache
from itertools import pairwise

from stavebound.dance.pose import Posed
from stavebound.diagnostics import Diagnostic, Outcome
from stavebound.engrave import fractions
from stavebound.engrave.breaks import room_after, room_before
from stavebound.engrave.clear import Cleared, clear
from stavebound.engrave.lane_signs import VULGAR, amount, counts_top, written_signs
from stavebound.engrave.style import Style
from stavebound.engrave.ways import Way, ways
from stavebound.faces import BOLD, REGULAR, Faces
from stavebound.score.counts import Bar, Event, Timeline, phrased
from stavebound.score.form import BarForm
from stavebound.score.model import At, Frame
from stavebound.score.words import plain, tempo_text
from stavebound.trade.catalogue import Catalogue
from stavebound.trade.movement import WayLine

# The lane of texts that belong to a sign and stand beside it.
BESIDE = "amount"
# The lanes of words that do not slant.
UPRIGHT = ("quality", "tempo")
SYLLABLE = {"and": "&", "a": "a", "e": "e"}
# How many texts are remembered with their widths; a book has some hundreds.
LABELS = 4096


@dataclass(frozen=True, slots=True)
class Label:
    """A text in a lane. `align`: middle (centred on the axis) or start (from the axis, or
    `aside` to the right of it).

    `words` are its words with their widths, and `blank` the width between two.
    """

    lane: str
    text: str
    size: float
    width: float
    italic: bool = False
    align: str = "middle"
    words: tuple[tuple[str, float], ...] = ()
    blank: float = 0.0
    aside: float = 0.0
    weight: int = REGULAR

    @property
    def left(self) -> float:
        """Where the text begins, measured from the axis."""
        return -self.width / 2 if self.align == "middle" else self.aside

    @property
    def right(self) -> float:
        return self.left + self.width


@dataclass(frozen=True, slots=True)
class Column:
    """What stands at one moment. `left` and `right` are how far its signs, with what stands
    beside them, reach from its axis, which is part of it: no bar line parts a sign from its
    count. `room` is kept at the left for lines of movement that come from a bar line."""

    time: Fraction
    frame: bool
    signs: tuple[Cleared, ...] = ()
    labels: tuple[Label, ...] = ()
    ways: tuple[Way, ...] = ()
    room: float = 0.0

    @property
    def left(self) -> float:
        return max([0.0, self.room, *[-cleared.box.left for cleared in self.signs]])

    @property
    def right(self) -> float:
        beside = [label.right for label in self.labels if label.lane == BESIDE]
        return max([0.0, *[cleared.box.right for cleared in self.signs], *beside])

    @property
    def top(self) -> float:
        return max((cleared.box.top for cleared in self.signs), default=0.0)


@dataclass(frozen=True, slots=True)
class Measure:
    """The columns of one bar; `closes_phrase` where a phrase ends with it.

    The first also holds the starting position and the upbeat. `lines` are the
    moments before which a bar line stands; the line at the end is the next bar's.
    `number_room` is how far from a line's left edge its first axis stays for the
    sake of the bar number there, `way_room` for the sake of lines of movement that begin
    where a limb was held, or that come from the line before; `room_after` is how far from
    a line's right edge its last axis stays for lines that go on. `phrasings` are the first
    and the last moments of all that some of it is part of. `form` are the signs of repeats
    that stand at it, and `form_room` how wide the widest of those is that stand over it.
    """

    number: int
    columns: tuple[Column, ...]
    lines: tuple[Fraction, ...]
    end: Fraction
    closes_phrase: bool
    number_room: float = 0.0
    way_room: float = 0.0
    room_after: float = 0.0
    phrasings: tuple[tuple[Fraction, Fraction], ...] = ()
    form: BarForm = BarForm()
    form_room: float = 0.0


def measures(
    timeline: Timeline,
    start: Posed,
    poses: tuple[Posed, ...],
    catalogue: Catalogue,
    style: Style,
    faces: Faces,
) -> Outcome[tuple[Measure, ...]]:
    """`poses` are those of the timeline's events, one each, in order."""
    faults: list[Diagnostic] = []
    above = counts_top(style, faces)

    def signs(posed: Posed) -> tuple[Cleared, ...]:
        cleared = clear(written_signs(posed, above, catalogue), catalogue, style)
        faults.extend(cleared.diagnostics)
        return cleared.value or ()

    first = timeline.events[0].time if timeline.events else Fraction(0)
    begin = min(first, Fraction(0), *(one.start for one in phrased(timeline)))
    opening = Column(begin - 1, True, signs(start))

    def frame(event: Event, posed: Posed) -> Column:
        placed = signs(posed)
        moved = tuple(ways(posed, placed, catalogue))
        texts = (*_labels(event, style, faces), *beside(posed, catalogue, style, faces))
        return Column(event.time, True, placed, texts, moved)

    frames = {
        event.time: frame(event, posed) for event, posed in zip(timeline.events, poses, strict=True)
    }
    bare = {
        time: Column(time, False, labels=(_count(At(count), style, faces),) if count else ())
        for time, count in _bare(timeline)
        if time not in frames and time >= begin
    }
    columns = {**frames, **bare}
    for bar in timeline.bars:
        if bar.said and bar.said.metre and bar.start in columns:
            column = columns[bar.start]
            metre = _metre(bar.said.metre, column, style, faces)
            columns[bar.start] = replace(column, labels=(*column.labels, metre))
    ordered = (opening, *sorted(columns.values(), key=lambda column: column.time))
    inset = catalogue.moves.way.edge["inset"]
    first_bar, *others = _in_bars(timeline, ordered, inset)
    top = len(catalogue.ruling.line) - 1
    table = catalogue.moves.way
    roomy = [first_bar]
    for other in others:
        width = _number_width(other, style, faces)
        number_room = _number_room(other, top, style, faces)
        way_room = max(other.way_room, room_before(other.columns[0].ways, width, table))
        if number_room or way_room != other.way_room:
            other = replace(other, number_room=number_room, way_room=way_room)
        roomy.append(other)
    return Outcome(tuple(_going_on(roomy, table)), tuple(faults))


def _going_on(bars: list[Measure], table: WayLine) -> Iterator[Measure]:
    """The bars with the room that the lines of movement need which end in a later one."""
    found, coming = list[Measure](), tuple[Way, ...]()
    for bar in reversed(bars):
        room = room_after(coming, table) if bar.columns[-1].signs else 0.0
        found.append(replace(bar, room_after=room) if room else bar)
        coming = next((column.ways for column in bar.columns if column.signs), coming)
    return reversed(found)


def _in_bars(timeline: Timeline, columns: tuple[Column, ...], inset: float) -> Iterator[Measure]:
    ends = {section.end for section in timeline.sections}
    numbered = [bar for bar in timeline.bars if bar.number >= 1]
    upbeat = [
        bar.start
        for bar in timeline.bars
        if bar.number < 1 and bar.start > timeline.sections[0].start
    ]
    begins, begin = [], 0
    for bar in numbered:
        begins.append(begin)
        while begin < len(columns) and columns[begin].time < bar.end:
            begin += 1
    phrasings = _phrasings(timeline, numbered, [columns[first].time for first in begins])
    runs = pairwise((*begins, begin))
    for bar, (first, end), spans in zip(numbered, runs, phrasings, strict=True):
        yield Measure(
            number=bar.number,
            columns=columns[first:end],
            lines=(*(upbeat if first == 0 else ()), bar.start),
            end=bar.end,
            closes_phrase=bar.end in ends,
            way_room=_way_room(columns, first, inset),
            phrasings=tuple(spans),
        )


def _phrasings(
    timeline: Timeline, bars: Sequence[Bar], begins: Sequence[Fraction]
) -> list[list[tuple[Fraction, Fraction]]]:
    """For each bar, of which the first column is at its moment of `begins`, the first and the
    last moments of all phrasings that some of it is part of."""
    found: list[list[tuple[Fraction, Fraction]]] = [[] for _ in bars]
    ends = [bar.end for bar in bars]
    for one in phrased(timeline):
        for index in range(bisect_right(ends, one.start), len(bars)):
            if begins[index] > one.end:
                break
            found[index].append((one.start, one.end))
    return found


def _way_room(columns: tuple[Column, ...], first: int, inset: float) -> float:
    """How far the first axis stays from the edge, so that lines from it begin inside."""
    if not columns[first].signs:
        return 0.0
    later = (columns[index] for index in range(first + 1, len(columns)))
    ways = next((column.ways for column in later if column.signs), ())
    return max((inset - way.start[0] for way in ways), default=0.0)


def _number_room(measure: Measure, top: int, style: Style, faces: Faces) -> float:
    """Signs above the top line, and a metre, stand beside the bar number, and keep clear of it."""
    column = measure.columns[0]
    metre = max((-label.left for label in column.labels if label.lane == "metre"), default=0.0)
    if column.top <= top and not metre:
        return 0.0
    width = _number_width(measure, style, faces)
    return width + style.distance("text gap") + max(column.left, metre)


def _number_width(measure: Measure, style: Style, faces: Faces) -> float:
    return faces.width(str(measure.number), style.size("bar number size"), "italic")


def _bare(timeline: Timeline) -> Iterator[tuple[Fraction, int]]:
    """Bar lines and whole counts, which stand even where no frame does; 0 for no count."""
    for bar in timeline.bars:
        yield bar.start, 0
    for section in timeline.sections:
        for count in range(section.first, section.last + 1):
            yield section.start + (count - section.first), count


def _labels(event: Event, style: Style, faces: Faces) -> Iterator[Label]:
    frame: Frame = event.frame
    yield _count(frame.at, style, faces)
    texts: Mapping[str, str | None] = {
        "step": frame.step,
        "cue": plain(frame.cue) if frame.cue else None,
        "quality": frame.quality,
        "tempo": tempo_text(frame.tempo),
    }
    for lane, text in texts.items():
        if text:
            yield _words(lane, text, style, faces)


@lru_cache(maxsize=LABELS)
def _words(lane: str, text: str, style: Style, faces: Faces) -> Label:
    """A text in words: a quality upright, a tempo upright and bold, all others slanted."""
    size, italic = style.size(f"{lane} size"), lane not in UPRIGHT
    face, weight = "italic" if italic else "normal", BOLD if lane == "tempo" else REGULAR
    return Label(
        lane=lane,
        text=text,
        size=size,
        width=faces.width(text, size, face, weight),
        italic=italic,
        align="middle" if lane == "step" else "start",
        words=tuple((word, faces.width(word, size, face, weight)) for word in text.split(" ")),
        blank=faces.width(" ", size, face, weight),
        weight=weight,
    )


def _metre(text: str, column: Column, style: Style, faces: Faces) -> Label:
    """The metre of a bar, before its first count."""
    size = style.size("metre size")
    width = faces.width(text, size, "italic")
    count = max((label.width for label in column.labels if label.lane == "counts"), default=0.0)
    aside = -(count / 2 + style.distance("metre gap") + width)
    words = ((text, width),)
    return Label("metre", text, size, width, True, "start", words, aside=aside)


def beside(posed: Posed, catalogue: Catalogue, style: Style, faces: Faces) -> Iterator[Label]:
    """The amount of a turn, beside its sign."""
    if posed.turn:
        text, size = amount(posed.turn), style.size("amount size")
        width = fractions.width(text, size, catalogue.lanes.turn.fraction, faces)
        aside = catalogue.lanes.turn.amount
        yield Label(BESIDE, text, size, width, align="start", words=((text, width),), aside=aside)


@lru_cache(maxsize=LABELS)
def _count(at: At, style: Style, faces: Faces) -> Label:
    if at.syllable or at.fraction:
        fraction = at.fraction or Fraction(0)
        text = SYLLABLE[at.syllable] if at.syllable else VULGAR.get(fraction, str(fraction))
        size = style.size("syllable size")
    else:
        text, size = str(at.count), style.size("count size")
    return Label("counts", text, size, faces.width(text, size))
