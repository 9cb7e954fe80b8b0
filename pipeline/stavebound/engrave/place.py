"""Place: a line of bars, set to its width, becomes a system.

In: a line from `cost`, the bars and a style. Out: a `System`.
"""

from __future__ import annotations

from collections.abc import Iterator
from itertools import pairwise

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
from stavebound.engrave.system import PlacedText, Rule, Stave, System
from stavebound.engrave.ways import PlacedWay
from stavebound.geometry import bounds

ROUNDING = 1e-9
# From left to right.
Span = tuple[float, float]

# How much of the spare room by a bar line goes between it and what follows.
AFTER_BAR_LINE = 0.35

# And no more than this, in spaces, so that first counts stand alike.
MOST_AFTER_BAR_LINE = 0.30


def place(
    line: Line, bars: tuple[Measure, ...], indent: float, named: bool, setting: Setting
) -> System:
    """`indent` is the room kept free at the left; `named` writes the lines' names there."""
    own = bars[line.start : line.end]
    columns = tuple(column for bar in own for column in bar.columns)
    *places, right = line.run.places(line.ratio)
    final = line.end == len(bars)
    placed = tuple(zip(columns, places, strict=True))
    number = tuple(_bar_number(own[0].number, indent, setting) if line.start else ())
    later = (column for bar in bars[line.end :] for column in bar.columns if column.signs)
    going_on = next((column.ways for column in later), ())
    past = max((text.width for text in number), default=0.0)
    ways = tuple(placed_ways(placed, (indent, right), setting, past, going_on))
    stave = _stave(own, placed, (indent, right), ways, final, setting)
    beside = tuple(texts_beside(placed, setting))
    inks = (
        *(sign.box for sign in stave.signs),
        *(way.box for way in stave.ways),
        *(one.box for one in stave.phrasings),
        *(text_box(one, setting.faces) for one in beside if one.y < 0),
    )
    reach = (
        min((box.bottom for box in inks), default=0.0),
        max((counts_top(setting.style, setting.faces), *(box.top for box in inks))),
    )
    texts = (
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
    final: bool,
    setting: Setting,
) -> Stave:
    signs = tuple(placed_signs(placed, setting))
    spans = dict.fromkeys(span for bar in bars for span in bar.phrasings)
    inks = (*(sign.box for sign in signs), *(way.box for way in ways))
    return Stave(
        floor=0.0,
        rules=(
            *stave_lines(edges, setting),
            *_bar_lines(bars, placed, edges[1], final, _marks(ways), setting),
        ),
        axes=tuple(axes(placed, setting)) if setting.style.centre_line else (),
        signs=signs,
        ways=ways,
        phrasings=tuple(placed_phrasings(spans, placed, edges, inks, setting)),
    )


def _bar_lines(
    bars: tuple[Measure, ...],
    placed: tuple[OnAxis, ...],
    right: float,
    final: bool,
    marks: tuple[Span, ...],
    setting: Setting,
) -> Iterator[Rule]:
    """A line before every bar but the line's first, one at the right edge; at the
    end of the score a thin and a heavy one. They keep off the marks of bows."""
    thin, top = setting.style.distance("bar line"), len(setting.catalogue.body.line) - 1
    apart = setting.style.distance("bar margin") + thin / 2
    moments = {time for bar in bars for time in bar.lines}
    for (a, ax), (b, bx) in pairwise(placed):
        if b.time in moments:
            ends = ax + a.right, bx - b.left
            x = _off_marks(_between(*ends, apart), ends, apart, marks)
            yield Rule("bar", x, 0, x, top, thin)
    heavy = setting.style.distance("final bar line") if final else thin
    yield Rule("bar", right - heavy / 2, 0, right - heavy / 2, top, heavy)
    if final:
        x = right - heavy - setting.style.distance("final bar gap") - thin / 2
        yield Rule("bar", x, 0, x, top, thin)


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
    y = len(setting.catalogue.body.line) - 1 + setting.style.distance("bar number rise")
    yield PlacedText("bar", text, indent, y, size, width, True)
