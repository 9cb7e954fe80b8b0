"""Space: the distances between columns, by what they hold and how long they last.

In: the bars of a score. Out: its `Gaps`, those between all neighbouring columns
and at the ends of lines, from which the width of any run of bars follows.

    │←lead→╎←── gap ──→╎←─ gap ─│─→╎←tail→│
           a           b        ←──→c
                                after

The first axis of a bar stands equally far `after` its bar line in all bars of a score, and
farther only where its ink asks for it; a line that is squeezed takes from that too, in all its
bars alike. What a bar's last axis stays from the line at its end goes by its time alike, within
a line and where the line ends, so that equal bars look equal.
White by a bar line is measured from its edge. Where no bar line stands between
two axes, no sign crosses their middle: a sign belongs to the axis it is nearest.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from fractions import Fraction
from itertools import accumulate, pairwise
from math import inf
from typing import NamedTuple

from stavebound.engrave.bar_rooms import BarRoom, bar_rooms, unlikeness
from stavebound.engrave.barlines import PLAIN, BarLine, line_width
from stavebound.engrave.bars import Measure, begun
from stavebound.engrave.columns import Column, Label
from stavebound.engrave.gaps import Ask, Gap, LineGaps, stretch_ratio
from stavebound.engrave.style import Setting, Style
from stavebound.engrave.widening import asked


class Spacing(NamedTuple):
    """What all gaps of a score go by: how far the first axis of a bar stands after its bar line
    (`usual`), the moment at which the first bar begins, and by the names of rows the least white
    between their texts, and how many times as far apart axes are set at most for their sake."""

    usual: float
    begins: Fraction
    texts: Mapping[str, tuple[float, float]]
    style: Style

    def counts(self, start: Fraction, end: Fraction) -> float:
        """How much of the bars' time is between two moments."""
        return max(0.0, float(end - max(start, self.begins)))


@dataclass(frozen=True, slots=True)
class Gaps:
    """All gaps of a score: `leads` before each bar where a line begins with it, `tails` after
    each where a line ends with it, `inner` between all axes, and what these add up from.
    `firsts` are the columns with which the bars begin, and how many there are."""

    leads: tuple[Gap, ...]
    inner: tuple[Gap, ...]
    tails: tuple[Gap, ...]
    firsts: tuple[int, ...]
    naturals: tuple[float, ...]
    stretches: tuple[float, ...]
    gives: tuple[float, ...]
    indents: tuple[float, float]
    alike: float
    bars: tuple[BarRoom, ...]
    asks: tuple[Ask, ...]

    def ratios(self, start: int, last: int, width: float) -> tuple[float, ...]:
        """`LineGaps.ratio` of all lines that begin with bar `start` and end with a bar before
        `last`, the shortest first."""
        lead = self.leads[start]
        inner = slice(self.firsts[start], self.firsts[last] - 1)
        naturals = [*accumulate(self.naturals[inner], initial=lead.natural)]
        stretches = [*accumulate(self.stretches[inner], initial=lead.stretch)]
        gives = [*accumulate(self.gives[inner], initial=lead.give)]
        found = []
        for end in range(start + 1, last + 1):
            tail, at = self.tails[end - 1], self.firsts[end] - 1 - self.firsts[start]
            extra = width - (naturals[at] + tail.natural)
            found.append(stretch_ratio(extra, stretches[at] + tail.stretch, gives[at] + tail.give))
        return tuple(found)

    def natural(self, start: int, end: int) -> float:
        """`LineGaps.natural` of a line that holds bars `start` to `end` − 1."""
        inner = slice(self.firsts[start], self.firsts[end] - 1)
        return sum(self.naturals[inner], self.leads[start].natural) + self.tails[end - 1].natural

    def unlike(self, start: int, end: int, ratio: float, width: float) -> float:
        """How much more unlike than they may be bars come out at the least, in a line of such a
        ratio and width that holds bars `start` to `end` − 1."""
        found = unlikeness(self.bars[start:end], ratio, width - self.indents[start > 0])
        return max(found - self.alike, 0.0)

    def run(self, start: int, end: int) -> LineGaps:
        """The gaps of a line that holds bars `start` to `end` − 1."""
        inner = self.inner[self.firsts[start] : self.firsts[end] - 1]
        gaps = (self.leads[start], *inner, self.tails[end - 1])
        first, last = self.firsts[start], self.firsts[end]
        asks = tuple(
            [ask.moved(1 - first) for ask in self.asks if first <= ask.first and ask.last < last]
        )
        return LineGaps(gaps, self.indents[start > 0], self.alike, asks)


def gaps_of(measures: tuple[Measure, ...], indents: tuple[float, float], setting: Setting) -> Gaps:
    """`indents` are kept free at the left of the first line and of all others."""
    style = setting.style
    columns = [column for measure in measures for column in measure.columns]
    lines = bar_lines_of(measures)
    last = len(measures) - 1
    ruled = {time: line_width(line, style, setting.catalogue) for time, line in lines.items()}
    texts = {
        row.name: (style.distance(row.gap), style.distance(row.most) if row.most else inf)
        for row in setting.catalogue.lanes.rows
    }
    spacing = Spacing(_usual_after(columns, lines, style), measures[0].lines[-1], texts, style)
    bow = setting.catalogue.moves.way.bow.room
    inner = [
        _gap(a, b, ruled[b.time] + _bowing(b) * bow if b.time in ruled else None, spacing)
        for a, b in pairwise(columns)
    ]
    firsts = (0, *accumulate(len(bar.columns) for bar in measures))
    tails = []
    for index, bar in enumerate(measures):
        width = line_width(closing_line(bar, index == last), style, setting.catalogue)
        tails.append(_tail(bar, width, spacing))
        _widen(inner, firsts[index], firsts[index + 1] - 1, bar.form_room)
    rooms = [(gap.least, gap.natural) for gap in inner]
    for first, end, room in asked(columns, rooms, frozenset(begun(measures)), setting):
        _widen(inner, first, end, room)
    asks = tuple(_apart(columns, texts))
    for ask in asks:
        _ease(inner, ask)
    leads = tuple(
        _lead(bar, indents[index > 0], opening_width(bar, index, setting), spacing)
        for index, bar in enumerate(measures)
    )
    return Gaps(
        leads=leads,
        inner=tuple(inner),
        tails=tuple(tails),
        firsts=firsts,
        naturals=tuple(gap.natural for gap in inner),
        stretches=tuple(gap.stretch for gap in inner),
        gives=tuple(gap.give for gap in inner),
        indents=indents,
        alike=style.distance("like bars"),
        asks=asks,
        bars=tuple(bar_rooms(measures, leads, inner, tails, indents)),
    )


def _widen(gaps: list[Gap], first: int, last: int, room: float) -> None:
    """The gaps between some axes, evenly wider where what stands over a bar, or a line of movement
    between two, asks for it; a bar with one axis is wider at its end."""
    inside = range(first, last) or range(last, min(last + 1, len(gaps)))
    have = sum(gaps[at].least for at in inside)
    for at in inside if have < room else ():
        gap, least = gaps[at], gaps[at].least * room / have
        gaps[at] = replace(gap, least=least, natural=max(gap.natural, least))


def _ease(gaps: list[Gap], ask: Ask) -> None:
    """The gaps between the columns of two texts, evenly wider at their natural width."""
    have = sum([gap.natural for gap in gaps[ask.first : ask.last]])
    for at in range(ask.first, ask.last) if ask.fits(have) else ():
        gaps[at] = replace(gaps[at], natural=gaps[at].natural * ask.room / have)


def _apart(columns: Sequence[Column], texts: Mapping[str, tuple[float, float]]) -> Iterator[Ask]:
    """The room that two centred texts of a stave's own ask for, one after the other in a lane,
    so that they stand in one row."""
    last: dict[tuple[int, str], tuple[int, Label]] = {}
    for index, column in enumerate(columns):
        for at, cell in enumerate(column.cells):
            for label in (one for one in cell.labels if one.lane.centred):
                if found := last.get((at, label.lane.name)):
                    first, before = found
                    gap, most = texts[label.lane.rows]
                    if most < inf:
                        yield Ask(first, index, before.right - label.left + gap, most)
                last[at, label.lane.name] = index, label


def closing_line(bar: Measure, final: bool = False) -> BarLine:
    """The bar line with which a bar ends, whatever follows."""
    return BarLine(bar.form.closes > 0, double=bar.form.ends_a_part, final=final)


def bar_lines_of(measures: Sequence[Measure]) -> dict[Fraction, BarLine]:
    """The bar lines before columns, by their moments: where bars begin, and in an upbeat."""
    found: dict[Fraction, BarLine] = {}
    before = None
    for bar in measures:
        *inside, start = bar.lines
        found.update(dict.fromkeys(inside, PLAIN))
        line = closing_line(before) if before and before.end == start else PLAIN
        found[start] = replace(line, opens=True) if bar.form.opens else line
        before = bar
    return found


def opening_width(bar: Measure, index: int, setting: Setting) -> float:
    """How wide the sign is with which a line begins that begins with this bar; the first bar
    of all has its own behind the starting position."""
    if not bar.form.opens or index == 0:
        return 0.0
    return line_width(BarLine(opens=True), setting.style, setting.catalogue)


def time_width(duration: Fraction, style: Style) -> float:
    """The natural room that so many counts take, in spaces."""
    growth = style.distance("time growth")
    return float(style.distance("count width") * float(duration) ** growth)


def _usual_after(
    columns: Sequence[Column], lines: Mapping[Fraction, BarLine], style: Style
) -> float:
    """How far the first axis of a bar stands after the bar line, where its ink asks for no more:
    what most ask for that ask for the most, within the two distances for it."""
    margin = style.distance("bar margin")
    needs = (column.left + margin for column in columns if column.time in lines)
    least, most = style.distance("first axis"), style.distance("greatest first axis")
    return max(least, min(most, max(needs, default=least)))


def _after(column: Column, spacing: Spacing) -> float:
    own = max(spacing.usual, column.left + spacing.style.distance("bar margin"))
    return column.before + own


def _gap(a: Column, b: Column, bar_line: float | None, spacing: Spacing) -> Gap:
    """`bar_line` is as wide as the bar line between the two with the marks of bows, None where
    there is none."""
    style = spacing.style
    least = max(
        style.distance("least frame distance") if a.frame and b.frame else 0.0,
        _lane_room(a, b, spacing.texts),
    )
    room = time_width(b.time - a.time, style)
    time = spacing.counts(a.time, b.time)
    if bar_line is None:
        white = a.right + style.distance("frame gap") + b.left
        least = max(least, white, 2 * (max(a.right, b.left) + a.unsure))
        return Gap(least, max(least, room), room / 2, time=time)
    after, margin = _after(b, spacing), style.distance("bar margin")
    least_after = b.before + max(style.distance("first axis"), b.left + margin)
    least = max(least, a.right + margin + bar_line + least_after)
    ink, more = a.right + margin + bar_line + after, after - spacing.usual
    natural = max(least, ink, room + more)
    return Gap(least, natural, room / 2, after, least_after, ink, more, time)


def _bowing(column: Column) -> bool:
    """Whether lines of movement with the mark of a bow come to a column."""
    return any(way.bow for cell in column.cells for way in cell.ways)


def _lane_room(a: Column, b: Column, texts: Mapping[str, tuple[float, float]]) -> float:
    """What the centred texts of two neighbours need in a lane of one row; others have rows to
    give way into, and so have those further apart."""
    cells = zip(a.cells, b.cells, strict=True)
    lanes = ((a.labels, b.labels), *[(one.labels, other.labels) for one, other in cells])
    rooms = [
        before.right - after.left + texts[after.lane.rows][0]
        for befores, afters in lanes
        for before in befores
        for after in afters
        if before.lane.name == after.lane.name and after.lane.centred
        if texts[after.lane.rows][1] == inf
    ]
    return max(rooms, default=0.0)


def _lead(measure: Measure, indent: float, opening: float, spacing: Spacing) -> Gap:
    column = measure.columns[0]
    after = max(_after(column, spacing), _reach(column) + spacing.style.distance("bar margin"))
    way_room = measure.way_room and opening + column.before + measure.way_room
    room = indent + max(opening + after, way_room)
    return Gap(room, room, 0.0)


def _tail(measure: Measure, closing: float, spacing: Spacing) -> Gap:
    column = measure.columns[-1]
    texts = max(_reach(column), _widest_word(column))
    least = (
        max(max(column.right, texts) + spacing.style.distance("bar margin"), measure.room_after)
        + closing
    )
    room = time_width(measure.end - column.time, spacing.style)
    time = spacing.counts(column.time, measure.end)
    natural = max(least, room - spacing.usual)
    return Gap(least, natural, room / 2, more=-spacing.usual, time=time)


def _widest_word(column: Column) -> float:
    """How far the widest word of a text that begins at the axis reaches."""
    words = (
        label.aside + width
        for label in column.texts
        if not label.lane.centred
        for _, width in label.words
    )
    return max(words, default=0.0)


def _reach(column: Column) -> float:
    """How far the centred texts of a column reach to either side."""
    return max((label.width / 2 for label in column.texts if label.lane.centred), default=0)
