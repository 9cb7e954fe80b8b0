"""Bars: the columns of a score, bar by bar, and the room that each bar asks for.

In: the time of a dance, its columns, and the signs of repeats at its bars. Out: a
`Measure` for each bar, made in steps of which each needs only those before it: which columns
are its own, which lines of movement come behind each column, which phrasings it is part of,
and what follows from these for the ends of a line that would begin or end with it.

    │←way room→╎         ╎      ╎←room after→│
"""

from __future__ import annotations

from bisect import bisect_right
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from fractions import Fraction
from itertools import pairwise

from stavebound.engrave.breaks import room_after, room_before
from stavebound.engrave.columns import Column
from stavebound.engrave.repeats import room_of
from stavebound.engrave.springs import room_behind
from stavebound.engrave.style import Setting
from stavebound.engrave.ways import Way
from stavebound.score.counts import Bar, Timeline, phrased
from stavebound.score.form import BarForm

# The first and the last moment of a phrasing.
Span = tuple[Fraction, Fraction]
# Lines of movement, for each stave those of one moment.
Coming = tuple[tuple[Way, ...], ...]


@dataclass(frozen=True, slots=True)
class Measure:
    """The columns of one bar; `closes_phrase` where a phrase ends with it,
    `halves_phrase` where as much of one is before as behind its end.

    The first also holds the starting position and the upbeat. `lines` are the
    moments before which a bar line stands; the line at the end is the next bar's.
    `way_room` is how far from a line's left edge its first axis stays for the sake of lines
    of movement that begin where a limb was held, or that come from the line before;
    `room_after` is how far from a line's right edge its last axis stays for lines that go on.
    `phrasings` are the first and the last moments of all that some of it is part of, `lasting`
    those of turns that last, stave by stave. `form` are
    the signs of repeats that stand at it, and `form_room` how wide the widest of those is that
    stand over it.
    """

    number: int
    columns: tuple[Column, ...]
    lines: tuple[Fraction, ...]
    end: Fraction
    closes_phrase: bool
    halves_phrase: bool
    way_room: float
    room_after: float
    phrasings: tuple[Span, ...]
    lasting: tuple[tuple[Span, ...], ...]
    form: BarForm
    form_room: float


def begun_anew(timeline: Timeline, form: Sequence[BarForm]) -> frozenset[Fraction]:
    """The moments at which a bar begins that does not follow on the one printed before it."""
    bars = zip(_numbered(timeline), pairwise((BarForm(), *form)), strict=True)
    return frozenset(bar.start for bar, (before, own) in bars if own.begins_anew(before))


def measures(
    timeline: Timeline,
    columns: tuple[Column, ...],
    form: Sequence[BarForm],
    setting: Setting,
) -> tuple[Measure, ...]:
    """Every bar that has a number; `form` has what stands at each."""
    bars = _numbered(timeline)
    runs = tuple(_runs(bars, columns))
    coming = _coming(columns[: runs[-1][1]])
    begins = [columns[first].time for first, _ in runs]
    phrasings = _spans(((one.start, one.end) for one in phrased(timeline)), bars, begins)
    turns = [_spans(each, bars, begins) for each in _lasting(columns)]
    upbeat = tuple(_upbeat(timeline))
    ends = {section.end for section in timeline.sections}
    halves = {(section.start + section.end) / 2 for section in timeline.sections}
    found = []
    for index, (bar, (first, end)) in enumerate(zip(bars, runs, strict=True)):
        start, last = columns[first], columns[end - 1]
        one = Measure(
            number=bar.number,
            columns=columns[first:end],
            lines=(bar.start,) if index else (*upbeat, bar.start),
            end=bar.end,
            closes_phrase=bar.end in ends,
            halves_phrase=bar.end in halves,
            way_room=_way_room(start, coming[first], index > 0, setting),
            room_after=_room_after(last, coming[end - 1], setting),
            phrasings=phrasings[index],
            lasting=tuple([spans[index] for spans in turns]),
            form=form[index],
            form_room=room_of(form[index], setting),
        )
        found.append(one)
    return tuple(found)


def _numbered(timeline: Timeline) -> list[Bar]:
    return [bar for bar in timeline.bars if bar.number >= 1]


def _upbeat(timeline: Timeline) -> Iterator[Fraction]:
    """Where bar lines stand before the first bar."""
    begin = timeline.sections[0].start
    return (bar.start for bar in timeline.bars if bar.number < 1 and bar.start > begin)


def _runs(bars: Iterable[Bar], columns: Sequence[Column]) -> Iterator[tuple[int, int]]:
    """The first column of each bar, and the one behind its last."""
    end = 0
    for bar in bars:
        first = end
        while end < len(columns) and columns[end].time < bar.end:
            end += 1
        yield first, end


def _coming(columns: Sequence[Column]) -> list[Coming]:
    """For each column the lines of movement that come to the next signs behind it, stave by
    stave."""
    found: list[Coming] = []
    coming: Coming = ((),) * len(columns[0].cells)
    for column in reversed(columns):
        found.append(coming)
        if column.frame:
            pairs = zip(column.cells, coming, strict=True)
            coming = tuple([cell.ways if cell.signs else later for cell, later in pairs])
    return found[::-1]


def _lasting(columns: Sequence[Column]) -> Iterator[list[Span]]:
    """For each stave the first and the last moments of turns that last."""
    for at in range(len(columns[0].cells)):
        ends = ((column.cells[at].since, column.time) for column in columns)
        yield [(since, time) for since, time in ends if since is not None]


def _spans(
    spans: Iterable[Span], bars: Sequence[Bar], begins: Sequence[Fraction]
) -> list[tuple[Span, ...]]:
    """For each bar, of which the first column is at its moment of `begins`, all that some of it
    is part of."""
    found: list[list[Span]] = [[] for _ in bars]
    ends = [bar.end for bar in bars]
    for start, end in spans:
        for index in range(bisect_right(ends, start), len(bars)):
            if begins[index] > end:
                break
            found[index].append((start, end))
    return [tuple(each) for each in found]


def begun(bars: Sequence[Measure]) -> Iterator[Fraction]:
    """The moments at which a bar begins that does not follow on what is printed before it."""
    forms = (bar.form for bar in bars)
    for before, bar in zip((BarForm(), *forms), bars, strict=False):
        if bar.form.begins_anew(before):
            yield bar.lines[-1]


# ---------------------------------------------------------------- room at a line's ends


def _going(column: Column, coming: Coming) -> list[Way]:
    """The lines of movement that go from this column's signs."""
    pairs = zip(column.cells, coming, strict=True)
    return [way for cell, ways in pairs if cell.signs for way in ways]


def _way_room(column: Column, coming: Coming, broken: bool, setting: Setting) -> float:
    """How far the first axis stays from the edge, so that lines from it begin inside, and, where
    the line is `broken` off one before it, those that come from there are seen."""
    table = setting.catalogue.moves.way
    inset = table.edge["inset"]
    going = max([inset - way.start.x for way in _going(column, coming)], default=0.0)
    if not broken:
        return going
    ways = [way for cell in column.cells for way in cell.ways]
    marked = [room_behind(cell.ways, cell.low, setting.catalogue) for cell in column.cells]
    return max(going, room_before(ways, table), *marked)


def _room_after(column: Column, coming: Coming, setting: Setting) -> float:
    return room_after(_going(column, coming), setting.catalogue.moves.way)
