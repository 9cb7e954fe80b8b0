"""Space: the distances between columns, by what they hold and how long they last.

In: the bars of a score. Out: its `Gaps`, those between all neighbouring columns
and at the ends of lines, from which the width of any run of bars follows; and
the places of a run's columns once it is set to a width.

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

from stavebound.engrave.barlines import PLAIN, BarLine, line_width
from stavebound.engrave.bars import Measure, begun
from stavebound.engrave.columns import Column, Label
from stavebound.engrave.style import Setting, Style
from stavebound.engrave.widening import asked


@dataclass(frozen=True, slots=True)
class Gap:
    """Room between two axes, in spaces: never under `least`, willingly `natural`,
    and growing by `stretch`, half its time's room, for each unit of a line's ratio; its ink alone
    asks for `ink`. Where a bar line stands in it,
    the second axis is so far `after` that line's right edge, and `least_after` in a line that
    is squeezed as far as it gives. `more` than its time's room is kept for that."""

    least: float
    natural: float
    stretch: float
    after: float = 0.0
    least_after: float = 0.0
    ink: float = 0.0
    more: float = 0.0

    @property
    def give(self) -> float:
        """How much tighter than natural it can be."""
        return self.natural - self.least

    @property
    def room(self) -> float:
        """What its time takes in a line at its natural width."""
        return 2 * self.stretch

    def floor(self, ratio: float) -> float:
        """What its ink asks for in a line of this ratio."""
        ink = max(self.ink, self.least)
        return ink + max(min(ratio, 0.0), -1.0) * (ink - self.least)

    def after_at(self, ratio: float) -> float:
        """How far the second axis is after the bar line, in a line of this ratio."""
        return self.after + max(min(ratio, 0.0), -1.0) * (self.after - self.least_after)


class Spacing(NamedTuple):
    """What all gaps of a score go by: how far the first axis of a bar stands after its bar line
    (`usual`), and by the names of rows the least white between their texts, and how far apart
    two axes are set at most for their sake."""

    usual: float
    texts: Mapping[str, tuple[float, float]]
    style: Style


@dataclass(frozen=True, slots=True)
class LineGaps:
    """The gaps of a line: before its first column, between columns, after its last."""

    gaps: tuple[Gap, ...]

    @property
    def natural(self) -> float:
        return sum([gap.natural for gap in self.gaps])

    def ratio(self, width: float) -> float:
        """How far the run must stretch (above 0) or be squeezed (below) to fill the width.

        Under −1 it does not fit.
        """
        stretch = sum([gap.stretch for gap in self.gaps])
        return _ratio(width - self.natural, stretch, sum([gap.give for gap in self.gaps]))

    def places(self, ratio: float) -> tuple[float, ...]:
        """The axes of the columns, then the right edge. Equal times take equal room, but where
        ink asks for more."""
        floors = [gap.floor(ratio) for gap in self.gaps]
        level = _level(self.gaps, floors, self._width(ratio))
        pairs = zip(self.gaps, floors, strict=True)
        return tuple(accumulate(max(floor, gap.more + level * gap.room) for gap, floor in pairs))

    def _width(self, ratio: float) -> float:
        if ratio < 0:
            return self.natural + max(ratio, -1.0) * sum([gap.give for gap in self.gaps])
        return self.natural + ratio * sum([gap.stretch for gap in self.gaps])


def _level(gaps: Sequence[Gap], floors: Sequence[float], width: float) -> float:
    """By how much all times' room is to be multiplied for gaps above their floors to fill the
    width: the tightest grow first."""
    growing = sorted(
        ((floor - gap.more) / gap.room, gap.room)
        for gap, floor in zip(gaps, floors, strict=True)
        if gap.room
    )
    rest, grows = width - sum(floors), 0.0
    for (level, room), (after, _) in pairwise((*growing, (inf, 0.0))):
        grows += room
        if rest <= grows * (after - level):
            return level + rest / grows
        rest -= grows * (after - level)
    return 0.0


def _ratio(extra: float, stretch: float, give: float) -> float:
    if extra >= 0:
        return extra / stretch
    return extra / give if give else float("-inf")


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
            found.append(_ratio(extra, stretches[at] + tail.stretch, gives[at] + tail.give))
        return tuple(found)

    def natural(self, start: int, end: int) -> float:
        """`LineGaps.natural` of a line that holds bars `start` to `end` − 1."""
        inner = slice(self.firsts[start], self.firsts[end] - 1)
        return sum(self.naturals[inner], self.leads[start].natural) + self.tails[end - 1].natural

    def run(self, start: int, end: int) -> LineGaps:
        """The gaps of a line that holds bars `start` to `end` − 1."""
        inner = self.inner[self.firsts[start] : self.firsts[end] - 1]
        return LineGaps((self.leads[start], *inner, self.tails[end - 1]))


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
    spacing = Spacing(_usual_after(columns, lines, style), texts, style)
    bow = setting.catalogue.moves.way.bow["room"]
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
    leasts = [gap.least for gap in inner]
    for first, end, room in asked(columns, leasts, frozenset(begun(measures)), setting):
        _widen(inner, first, end, room)
    for first, end, room in _apart(columns, texts):
        _ease(inner, first, end, room)
    return Gaps(
        leads=tuple(
            _lead(bar, indents[index > 0], opening_width(bar, index, setting), spacing)
            for index, bar in enumerate(measures)
        ),
        inner=tuple(inner),
        tails=tuple(tails),
        firsts=firsts,
        naturals=tuple(gap.natural for gap in inner),
        stretches=tuple(gap.stretch for gap in inner),
        gives=tuple(gap.give for gap in inner),
    )


def _widen(gaps: list[Gap], first: int, last: int, room: float) -> None:
    """The gaps between some axes, evenly wider where what stands over a bar, or a line of movement
    between two, asks for it; a bar with one axis is wider at its end."""
    inside = range(first, last) or range(last, min(last + 1, len(gaps)))
    have = sum(gaps[at].least for at in inside)
    for at in inside if have < room else ():
        gap, least = gaps[at], gaps[at].least * room / have
        gaps[at] = replace(gap, least=least, natural=max(gap.natural, least))


def _ease(gaps: list[Gap], first: int, last: int, room: float) -> None:
    """The gaps between two axes, evenly wider at their natural width where that is less than
    the room; in a line that is squeezed they give again."""
    have = sum(gap.natural for gap in gaps[first:last])
    for at in range(first, last) if have < room else ():
        natural = gaps[at].natural * room / have
        gaps[at] = replace(gaps[at], natural=natural, ink=natural)


def _apart(
    columns: Sequence[Column], texts: Mapping[str, tuple[float, float]]
) -> Iterator[tuple[int, int, float]]:
    """Two columns and the room between them that two centred texts of a stave's own ask for,
    one after the other in a lane, so that they stand in one row; unless it is too much."""
    last: dict[tuple[int, str], tuple[int, Label]] = {}
    for index, column in enumerate(columns):
        for at, cell in enumerate(column.cells):
            for label in (one for one in cell.labels if one.lane.centred):
                if found := last.get((at, label.lane.name)):
                    first, before = found
                    gap, most = texts[label.lane.rows]
                    room = before.right - label.left + gap
                    if room <= most * (index - first):
                        yield first, index, room
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
    if bar_line is None:
        white = a.right + style.distance("frame gap") + b.left
        least = max(least, white, 2 * max(a.right, b.left))
        return Gap(least, max(least, room), room / 2)
    after, margin = _after(b, spacing), style.distance("bar margin")
    least_after = b.before + max(style.distance("first axis"), b.left + margin)
    least = max(least, a.right + margin + bar_line + least_after)
    ink, more = a.right + margin + bar_line + after, after - spacing.usual
    return Gap(least, max(least, ink, room + more), room / 2, after, least_after, ink, more)


def _bowing(column: Column) -> bool:
    """Whether lines of movement with the mark of a bow come to a column."""
    return any(way.bow for cell in column.cells for way in cell.ways)


def _lane_room(a: Column, b: Column, texts: Mapping[str, tuple[float, float]]) -> float:
    """What the centred texts of two neighbours in one lane need, if it is not too much for
    them; others have rows to give way into, and so have those further apart."""
    cells = zip(a.cells, b.cells, strict=True)
    rows = ((a.labels, b.labels), *[(one.labels, other.labels) for one, other in cells])
    rooms = [
        (before.right - after.left + texts[after.lane.rows][0], texts[after.lane.rows][1])
        for befores, afters in rows
        for before in befores
        for after in afters
        if before.lane.name == after.lane.name and before.lane.centred
    ]
    return max([room for room, most in rooms if room <= most], default=0.0)


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
    return Gap(least, max(least, room - spacing.usual), room / 2, more=-spacing.usual)


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
