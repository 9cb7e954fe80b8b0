"""Place: a line of bars, set to its width, becomes a system.

In: a line from `cost`, the bars and a style. Out: a `System`.
"""

from __future__ import annotations

from collections.abc import Container, Iterator, Mapping
from dataclasses import dataclass, replace
from fractions import Fraction
from itertools import pairwise

from stavebound.engrave.barlines import BarLine, PlacedBarLine, line_width, placed_line
from stavebound.engrave.columns import Measure
from stavebound.engrave.cost import Line
from stavebound.engrave.lane_signs import counts_top
from stavebound.engrave.lanes import in_rows
from stavebound.engrave.parts import (
    OnAxis,
    Setting,
    axes,
    line_names,
    placed_phrasings,
    placed_signs,
    placed_ways,
    stave_lines,
    system,
    text_box,
    texts_beside,
)
from stavebound.engrave.repeats import above_bars
from stavebound.engrave.space import bar_lines_of, closing_line, opening_width
from stavebound.engrave.system import PlacedText, Stave, System
from stavebound.engrave.ways import PlacedWay, Way
from stavebound.geometry import Box, bounds
from stavebound.score.form import BarForm

ROUNDING = 1e-9
# From left to right.
Span = tuple[float, float]

# How much of the spare room by a bar line goes between it and what follows.
AFTER_BAR_LINE = 0.35

# And no more than this, in spaces, so that first counts stand alike.
MOST_AFTER_BAR_LINE = 0.30


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


def place(
    line: Line, bars: tuple[Measure, ...], indent: float, named: bool, setting: Setting
) -> System:
    """`indent` is the room kept free at the left; `named` writes the lines' names there."""
    own = bars[line.start : line.end]
    columns = tuple(column for bar in own for column in bar.columns)
    *places, right = line.run.places(line.ratio)
    placed = tuple(zip(columns, places, strict=True))
    edges = indent, right
    number = tuple(_bar_number(own[0].number, indent, setting) if line.start else ())
    ruled = _bar_lines(line, bars, placed, edges, setting)
    begins = _begins(own, ruled)
    opening = ruled.first.right if ruled.first else indent
    past = max((text.x + text.width - opening for text in number), default=0.0)
    going_on = _going_on(bars, line.end)
    ways = tuple(placed_ways(placed, (opening, right), begins, setting, max(past, 0.0), going_on))
    if marked := _marks(ways):
        ruled = _bar_lines(line, bars, placed, edges, setting, marked, begins)
    stave = _stave(own, placed, edges, ways, ruled, setting)
    beside = tuple(texts_beside(placed, setting))
    inks = (
        *(sign.box for sign in stave.signs),
        *(way.box for way in stave.ways),
        *(one.box for one in stave.phrasings),
        *(text_box(one, setting.faces) for one in beside if one.y < 0),
    )
    before = bars[line.start - 1].form.ending if line.start else ()
    under = (*inks, Box(0.0, 0.0, right, counts_top(setting.style, setting.faces)))
    anchors = _anchors(own, ruled)
    marks, words = above_bars(own, before, anchors, under, setting)
    stave = replace(stave, marks=(*stave.marks, *marks))
    over = (*under, *(mark.box for mark in marks), *(text_box(one, setting.faces) for one in words))
    reach = min((box.bottom for box in inks), default=0.0), max(box.top for box in over)
    texts = (
        *words,
        *in_rows(placed, (0.0, right), reach, setting.style),
        *beside,
        *(line_names(indent, setting) if named else ()),
        *number,
    )
    return system(stave, texts, (own[0].number, own[-1].number), setting)


def _stave(
    bars: tuple[Measure, ...],
    placed: tuple[OnAxis, ...],
    edges: tuple[float, float],
    ways: tuple[PlacedWay, ...],
    ruled: Ruled,
    setting: Setting,
) -> Stave:
    signs = tuple(placed_signs(placed, setting))
    spans = dict.fromkeys(span for bar in bars for span in bar.phrasings)
    inks = (*(sign.box for sign in signs), *(way.box for way in ways))
    return Stave(
        floor=0.0,
        rules=(*stave_lines(edges, setting), *(rule for one in ruled.all for rule in one.rules)),
        axes=tuple(axes(placed, setting)) if setting.style.centre_line else (),
        signs=signs,
        ways=ways,
        phrasings=tuple(placed_phrasings(spans, placed, edges, inks, setting)),
        marks=tuple(mark for one in ruled.all for mark in one.dots),
    )


def _bar_lines(
    line: Line,
    bars: tuple[Measure, ...],
    placed: tuple[OnAxis, ...],
    edges: tuple[float, float],
    setting: Setting,
    marks: tuple[Span, ...] = (),
    fixed: Container[Fraction] = (),
) -> Ruled:
    """A line before every bar but the line's first, one at the right edge, and one at the
    left edge where a repeat begins there. All but those that are `fixed` keep off the marks
    of bows."""
    style, catalogue = setting.style, setting.catalogue
    own = bars[line.start : line.end]
    first = None
    if opening := opening_width(own[0], line.start, setting):
        first = placed_line(BarLine(opens=True), edges[0] + opening, style, catalogue)
    lines = bar_lines_of(own)
    inner = {}
    for (a, ax), (b, bx) in pairwise(placed):
        if bar_line := lines.get(b.time):
            half = line_width(bar_line, style, catalogue) / 2
            apart = style.distance("bar margin") + half
            ends = ax + a.right, bx - b.left
            x = _between(*ends, apart)
            if marks and b.time not in fixed:
                x = _off_marks(x, ends, apart, marks)
            inner[b.time] = placed_line(bar_line, x + half, style, catalogue)
    closing = closing_line(own[-1], line.end == len(bars))
    last = placed_line(closing, edges[1], style, catalogue)
    return Ruled(first, inner, last, edges[0])


def _begins(own: tuple[Measure, ...], ruled: Ruled) -> Mapping[Fraction, float]:
    """Where lines of movement come from that do not follow on what is printed before them."""
    return {
        bar.lines[-1]: ruled.inner[bar.lines[-1]].right
        for before, bar in zip((BarForm(), *(bar.form for bar in own)), own, strict=False)
        if bar.lines[-1] in ruled.inner and bar.form.begins_anew(before)
    }


def _going_on(bars: tuple[Measure, ...], end: int) -> tuple[Way, ...]:
    """The lines of movement that begin before bar `end` and end after it."""
    for before, bar in pairwise(bars[end - 1 :]):
        if bar.form.begins_anew(before.form):
            return ()
        for column in bar.columns:
            if column.signs:
                return column.ways
    return ()


def _anchors(own: tuple[Measure, ...], ruled: Ruled) -> tuple[tuple[float, float], ...]:
    """Those of the bar lines on either side of every bar."""
    edge = ruled.first.anchor if ruled.first else ruled.left
    times = [bar.lines[-1] for bar in own]
    starts = [ruled.inner[time].anchor if time in ruled.inner else edge for time in times]
    return tuple(zip(starts, (*starts[1:], ruled.last.anchor), strict=True))


def _between(left: float, right: float, apart: float) -> float:
    """Where a bar line stands between two inks: nearer to what follows it, and no
    nearer than `apart` to either."""
    slack = max(right - left - 2 * apart, 0.0)
    return right - apart - min(slack * AFTER_BAR_LINE, MOST_AFTER_BAR_LINE)


def _marks(ways: tuple[PlacedWay, ...]) -> tuple[Span, ...]:
    """Where the marks of bows stand, from left to right."""
    boxes = (bounds(each.points) for way in ways if way.mark for each in way.figures[1:])
    return tuple((box.left, box.right) for box in boxes)


def _off_marks(x: float, ends: Span, apart: float, marks: tuple[Span, ...]) -> float:
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


def _bar_number(number: int, indent: float, setting: Setting) -> Iterator[PlacedText]:
    size, text = setting.style.size("bar number size"), str(number)
    width = setting.faces.width(text, size, "italic")
    y = len(setting.catalogue.ruling.line) - 1 + setting.style.distance("bar number rise")
    yield PlacedText("bar", text, indent, y, size, width, True)
