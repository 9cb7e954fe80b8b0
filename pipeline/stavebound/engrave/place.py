"""Place: a line of bars, set to its width, becomes a system.

In: a line from `cost`, the bars and a style. Out: a `System`.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from fractions import Fraction
from itertools import chain, pairwise
from typing import NamedTuple

from stavebound.engrave.barlines import BarLine, PlacedBarLine, line_width, placed_line
from stavebound.engrave.bars import Measure, begun
from stavebound.engrave.below import closed_up
from stavebound.engrave.columns import Column, Label, OnAxis
from stavebound.engrave.cost import Line
from stavebound.engrave.gaps import Gap
from stavebound.engrave.lane_signs import counts_top
from stavebound.engrave.lanes import RowInks, in_rows
from stavebound.engrave.lasting import PlacedLasting
from stavebound.engrave.metres import placed_metre
from stavebound.engrave.parts import (
    Setting,
    axes,
    bar_number,
    line_names,
    names_width,
    placed_lastings,
    placed_phrasings,
    placed_signs,
    placed_ways,
    text_box,
    texts_beside,
)
from stavebound.engrave.phrasing import PlacedPhrasing
from stavebound.engrave.repeats import above_bars
from stavebound.engrave.ruling import breaks_round, stave_lines
from stavebound.engrave.space import bar_lines_of, closing_line, opening_width
from stavebound.engrave.stack import StaveRow, bracket_room, system
from stavebound.engrave.system import PlacedMark, PlacedSign, PlacedText, Stave, System
from stavebound.engrave.tempi import Pace, with_notes
from stavebound.engrave.ways import PlacedWay, Way
from stavebound.geometry import Box, bounds
from stavebound.trade.lanes import Lanes

ROUNDING = 1e-9
# From left to right.
Extent = tuple[float, float]


class BarLineRoom(NamedTuple):
    """The room for a bar line between two inks, `ends`: its middle is to stand at `x`; it is as
    wide as twice `half`, and its middle stays so far `apart` from either."""

    line: BarLine
    x: float
    ends: Extent
    half: float
    apart: float


@dataclass(frozen=True, slots=True)
class Ruled:
    """The bar lines of a line: one at the left edge where a repeat begins there, those
    before columns by their moments, and the one that ends it."""

    first: PlacedBarLine | None
    inner: Mapping[Fraction, PlacedBarLine]
    last: PlacedBarLine
    left: float

    @property
    def all(self) -> tuple[PlacedBarLine, ...]:
        return (*((self.first,) if self.first else ()), *self.inner.values(), self.last)


@dataclass(frozen=True, slots=True)
class LineAcross:
    """Where everything in a line stands across: the cells of each stave on their axes, the
    lines of movement between them, and the bar lines, which are those of all staves. `edges`
    are the ends of the staves; `metres` are the figures of those that begin to hold here."""

    edges: Extent
    staves: tuple[tuple[OnAxis, ...], ...]
    ways: tuple[tuple[PlacedWay, ...], ...]
    ruled: Ruled
    metres: tuple[PlacedText, ...]


class StaveInk(NamedTuple):
    """What is drawn on one stave, but its lines, and the texts that belong to its signs;
    `inks` are the boxes of all that step names and cues keep outside of."""

    signs: tuple[PlacedSign, ...]
    ways: tuple[PlacedWay, ...]
    phrasings: tuple[PlacedPhrasing, ...]
    lasting: tuple[PlacedLasting, ...]
    beside: tuple[PlacedText, ...]
    inks: tuple[Box, ...]


def place(
    line: Line,
    bars: tuple[Measure, ...],
    indent: float,
    named: bool,
    told: Pace | None,
    setting: Setting,
) -> System:
    """`indent` is the room kept free at the left, for the bracket of several staves, the lines'
    names, which stand there where the line is `named`, and the bar number left of all. What
    belongs to the line as a whole stands at its topmost stave, at the first line also the
    tempo, where one is `told`."""
    own = bars[line.start : line.end]
    across = _across(line, bars, indent, setting)
    drawn = tuple(_drawn(at, own, across, setting) for at in range(len(across.staves)))
    unders = tuple(_under(each, across.edges, setting) for each in drawn)
    before = bars[line.start - 1].form.ending if line.start else ()
    forms, anchors = [bar.form for bar in own], _anchors(own, across.ruled)
    marks, words = above_bars(forms, before, anchors, unders[0], setting)
    over = (*(mark.box for mark in marks), *(text_box(one, setting) for one in words))
    room = bracket_room(len(drawn), setting.style)
    names = tuple(line_names(indent - room, setting)) if named else ()
    past = indent - room - (names_width(setting) if named else 0.0)
    number = (bar_number(own[0].number, past, setting),) if line.start else ()
    of_the_line = marks, words, over, number
    nothing = (), (), (), ()
    rows = []
    for at, (each, under) in enumerate(zip(drawn, unders, strict=True)):
        own_marks, own_words, own_over, own_number = nothing if at else of_the_line
        first = [(across.edges[0], told.label)] if told and not (at or line.start) else []
        over_it = (*under, *own_over)
        rowed = _rows(across.staves[at], each, over_it, across.edges, first, setting)
        texts, notes = with_notes(rowed, told, setting)
        stave = _stave(across.staves[at], each, across, (*own_marks, *notes), setting)
        beside = (*each.beside, *across.metres, *names, *own_number)
        rows.append(StaveRow(stave, (*own_words, *texts, *beside)))
    return system(rows, (own[0].number, own[-1].number), setting)


def _across(line: Line, bars: tuple[Measure, ...], indent: float, setting: Setting) -> LineAcross:
    """First the bar lines from which lines of movement come, then these, then all other bar
    lines, which keep off the marks of their bows."""
    style, catalogue = setting.style, setting.catalogue
    own = bars[line.start : line.end]
    columns = [column for bar in own for column in bar.columns]
    *axes, right = line.run.places(line.ratio)
    edges = indent, right
    staves = _on_axes(columns, axes, catalogue.lanes)
    pairs = zip(line.run.gaps[1:-1], pairwise(zip(columns, axes, strict=True)), strict=True)
    slots = tuple(_slots(bar_lines_of(own), pairs, line.ratio, setting))
    opens = opening_width(own[0], line.start, setting)
    first = placed_line(BarLine(opens=True), indent + opens, style, catalogue) if opens else None
    left = first.right if first else indent
    anew = tuple(begun(own))
    before = {column.time: column.before for column in columns if column.metre}
    opened = {time: _in_slot(slot, (), setting) for time, slot in slots if anew and time in anew}
    begins = {time: one.right for time, one in opened.items()}
    begins = {time: x + before.get(time, 0.0) for time, x in begins.items()}
    inside = left + before.get(columns[0].time, 0.0), right
    figures = tuple(_figures(columns, slots, setting))
    ways = tuple(
        tuple(placed_ways(placed, inside, begins, setting, going_on, figures))
        for placed, going_on in zip(staves, _going_on(bars, line.end, len(staves)), strict=True)
    )
    marks = tuple(_marks(ways))
    inner = {
        time: (opened and opened.get(time)) or _in_slot(slot, marks, setting)
        for time, slot in slots
    }
    closing = closing_line(own[-1], line.end == len(bars))
    last = placed_line(closing, right, style, catalogue)
    ruled = Ruled(first, inner, last, indent)
    return LineAcross(edges, staves, ways, ruled, tuple(_metres(columns, ruled, left, setting)))


def _figures(
    columns: Sequence[Column], slots: Iterable[tuple[Fraction, BarLineRoom]], setting: Setting
) -> Iterator[Box]:
    """Where the metres inside a line come to stand, for lines of movement to keep off them."""
    metres = {column.time: column.metre for column in columns if column.metre}
    for time, slot in slots if metres else ():
        if metre := metres.get(time):
            right = _in_slot(slot, (), setting).right
            yield from (text_box(text, setting) for text in placed_metre(metre, right, setting))


def _metres(
    columns: Sequence[Column], ruled: Ruled, left: float, setting: Setting
) -> Iterator[PlacedText]:
    """Behind their bar lines, and at the `left` end."""
    for column in columns:
        if column.metre:
            line = ruled.inner.get(column.time)
            yield from placed_metre(column.metre, line.right if line else left, setting)


def _on_axes(
    columns: Sequence[Column], axes: Sequence[float], lanes: Lanes
) -> tuple[tuple[OnAxis, ...], ...]:
    """The cells of each stave; the texts of the line stand at the topmost."""
    return tuple(
        closed_up(
            [
                OnAxis(column.time, x, cell, cell.labels if at else cell.labels + column.labels)
                for column, x in zip(columns, axes, strict=True)
                for cell in (column.cells[at],)
            ],
            lanes,
        )
        for at in range(len(columns[0].cells))
    )


def _drawn(at: int, own: Sequence[Measure], across: LineAcross, setting: Setting) -> StaveInk:
    placed, ways = across.staves[at], across.ways[at]
    signs = tuple(placed_signs(placed, setting))
    inks = [*[sign.box for sign in signs], *[way.box for way in ways]]
    spans = () if at else dict.fromkeys(span for bar in own for span in bar.phrasings)
    phrasings = tuple(placed_phrasings(spans, placed, across.edges, inks, setting))
    turns = dict.fromkeys(span for bar in own for span in bar.lasting[at])
    lasting = tuple(placed_lastings(turns, placed, across.edges, setting.catalogue.lanes))
    beside = tuple(texts_beside(placed, setting))
    below = (text_box(one, setting) for one in beside if one.y < 0)
    drawn = (one.box for some in (phrasings, lasting) for one in some)
    return StaveInk(signs, ways, phrasings, lasting, beside, (*inks, *drawn, *below))


def _under(drawn: StaveInk, edges: Extent, setting: Setting) -> tuple[Box, ...]:
    """All that repeats stand over: the inks, and the row of counts."""
    return (*drawn.inks, Box(0.0, 0.0, edges[1], counts_top(setting.style, setting.faces)))


def _rows(
    placed: tuple[OnAxis, ...],
    drawn: StaveInk,
    over: Sequence[Box],
    edges: Extent,
    first: Sequence[tuple[float, Label]],
    setting: Setting,
) -> Iterator[PlacedText]:
    """Texts in rows, outside of all ink of the stave; those that come `first` have their places
    before those of the columns."""
    return in_rows(placed, first, (0.0, edges[1]), RowInks(drawn.inks, over), setting)


def _stave(
    placed: tuple[OnAxis, ...],
    drawn: StaveInk,
    across: LineAcross,
    marks: tuple[PlacedMark, ...],
    setting: Setting,
) -> Stave:
    bar_lines = across.ruled.all
    return Stave(
        floor=0.0,
        rules=(
            *stave_lines(across.edges, setting, breaks_round(placed, setting)),
            *(rule for one in bar_lines for rule in one.rules),
        ),
        axes=tuple(axes(placed, setting)) if setting.style.centre_line else (),
        signs=drawn.signs,
        ways=drawn.ways,
        phrasings=drawn.phrasings,
        lasting=drawn.lasting,
        marks=(*(mark for one in bar_lines for mark in one.dots), *marks),
    )


def _slots(
    lines: Mapping[Fraction, BarLine],
    pairs: Iterable[tuple[Gap, tuple[tuple[Column, float], tuple[Column, float]]]],
    ratio: float,
    setting: Setting,
) -> Iterator[tuple[Fraction, BarLineRoom]]:
    """The room for every bar line but those at the edges, by its moment."""
    margin = setting.style.distance("bar margin")
    for gap, ((a, ax), (b, bx)) in pairs:
        if line := lines.get(b.time):
            half = line_width(line, setting.style, setting.catalogue) / 2
            ends, x = (ax + a.right, bx - b.left - b.before), bx - gap.after_at(ratio) - half
            yield b.time, BarLineRoom(line, x, ends, half, margin + half)


def _in_slot(slot: BarLineRoom, marks: tuple[Extent, ...], setting: Setting) -> PlacedBarLine:
    """A bar line in its room, off the marks of bows."""
    x = _off_marks(slot.x, slot.ends, slot.apart, marks) if marks else slot.x
    return placed_line(slot.line, x + slot.half, setting.style, setting.catalogue)


def _going_on(bars: tuple[Measure, ...], end: int, staves: int) -> Sequence[tuple[Way, ...]]:
    """For each stave, the lines of movement that begin before bar `end` and end after it."""
    found: list[tuple[Way, ...]] = [()] * staves
    left = set(range(staves))
    for before, bar in pairwise(bars[end - 1 :]):
        if bar.form.begins_anew(before.form):
            break
        for column in bar.columns:
            for at in [at for at in left if column.cells[at].signs]:
                found[at] = column.cells[at].ways
                left.remove(at)
        if not left:
            break
    return found


def _anchors(own: tuple[Measure, ...], ruled: Ruled) -> tuple[tuple[float, float], ...]:
    """Those of the bar lines on either side of every bar."""
    edge = ruled.first.anchor if ruled.first else ruled.left
    lines = [ruled.inner.get(bar.lines[-1]) for bar in own]
    starts = [line.anchor if line else edge for line in lines]
    return tuple(zip(starts, (*starts[1:], ruled.last.anchor), strict=True))


def _marks(staves: Iterable[Iterable[PlacedWay]]) -> Iterator[Extent]:
    """Where the marks of bows stand, from left to right."""
    for way in chain.from_iterable(staves):
        for figure in way.figures[1:] if way.bowed else ():
            box = bounds(figure.points)
            yield box.left, box.right


def _off_marks(x: float, ends: Extent, apart: float, marks: tuple[Extent, ...]) -> float:
    """The nearest place for a bar line that is as far from marks as from the inks at its
    ends, or half as far where there is no room; x where there is none at all."""
    for white in (apart, apart / 2):
        beside = (at for left, right in marks for at in (left - white, right + white))
        free = [
            at
            for at in (x, *beside)
            if ends[0] + apart <= at + ROUNDING
            and at - ROUNDING <= ends[1] - apart
            and all(
                at <= left - white + ROUNDING or at >= right + white - ROUNDING
                for left, right in marks
            )
        ]
        if free:
            return min(free, key=lambda at: abs(at - x))
    return x
