"""What a division into lines costs, by name.

In: a score's bars and a width. Out: for a line, or for two neighbouring lines,
a table of named costs that can be added up and printed.
"""

from __future__ import annotations

from bisect import bisect_left, bisect_right
from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache
from itertools import accumulate, pairwise
from math import inf, log

from stavebound.engrave.bars import Measure
from stavebound.engrave.cast import cast_off
from stavebound.engrave.gaps import LineGaps
from stavebound.engrave.space import Gaps, gaps_of
from stavebound.engrave.style import Setting, Style

Costs = Mapping[str, float]


@dataclass(frozen=True, slots=True)
class Line:
    """Bars `start` to `end` − 1 on one line, with its ratio and its costs by name."""

    start: int
    end: int
    run: LineGaps
    ratio: float
    costs: Costs

    @property
    def total(self) -> float:
        return sum(self.costs.values())


def cast_lines(
    bars: tuple[Measure, ...], width: float, indents: tuple[float, float], setting: Setting
) -> tuple[Line, ...]:
    """The cheapest lines. `indents` are those of the first line and of all others.

    A bar that is wider than the line stands alone on one; its ratio is under −1.
    """
    style, price = setting.style, setting.style.costs
    least, tight = style.distance("short last line"), style.distance("too tight")
    full = style.distance("full last line")
    gaps = gaps_of(bars, indents, setting)
    earliest = _earliest(gaps, width)
    # A line that begins with a bar ends at most where that bar is still the earliest.
    latest = [bisect_right(earliest, start) - 1 for start in range(len(bars))]
    ratios = [gaps.ratios(start, end, width) for start, end in enumerate(latest)]

    @cache
    def ratio(start: int, end: int) -> float:
        found = max(ratios[start][end - start - 1], -tight)
        may_be = end == len(bars) or end - start == 1
        ragged = may_be and gaps.natural(start, end) < full * width
        return min(found, 0.0) if ragged else found

    frames = [0, *accumulate(sum(column.frame for column in bar.columns) for bar in bars)]

    def costs(start: int, end: int) -> Costs:
        found = ratio(start, end)
        if found < -1 and end - start > 1:
            return {"does not fit": inf}
        last = end == len(bars)
        room = gaps.natural(start, end) if found == 0 else width
        short = max(1 - room / width / least, 0.0) if last and start > 0 else 0.0
        own = _line_costs(bars, start, end, found if found >= -1 else -tight, price)
        inside = room - indents[start > 0]
        own["crowded"] = _crowded(frames[end] - frames[start], inside, style)
        own["short last line"] = price["short last line"] * short
        own["unlike bars"] = price["unlike bars"] * gaps.unlike(start, end, found, room) ** 2
        own["unfilled"] = price["unfilled"] if room < width and not last else 0.0
        return own

    def line(start: int, end: int) -> float:
        return sum(costs(start, end).values())

    def pair(first: int, middle: int, end: int) -> float:
        uneven = _uneven(ratio(first, middle), ratio(middle, end), style)
        return uneven + _unlike(middle - first, end - middle, style)

    ends = cast_off(len(bars), earliest.__getitem__, line, pair)
    return tuple(
        Line(start, end, gaps.run(start, end), ratio(start, end), costs(start, end))
        for start, end in pairwise((0, *ends))
    )


def _earliest(gaps: Gaps, width: float) -> tuple[int, ...]:
    """For every end of a line, the first bar with which it could begin.

    With any bar before that one, the gaps between the axes alone are wider than
    the line. What stands at its left edge may ask for less room in a longer line
    than in a shorter one, so that a line's own width does not tell.
    """
    places = [0.0, *accumulate(gap.least for gap in gaps.inner)]
    starts = [places[index] for index in gaps.firsts[:-1]]
    ends = [places[index - 1] for index in gaps.firsts[1:]]
    return (0, *(min(bisect_left(starts, x - width), end) for end, x in enumerate(ends)))


def pair_costs(above: Line, below: Line, style: Style) -> Costs:
    costs = {
        "uneven": _uneven(above.ratio, below.ratio, style),
        "unlike": _unlike(above.end - above.start, below.end - below.start, style),
    }
    return {name: cost for name, cost in costs.items() if cost}


def _uneven(above: float, below: float, style: Style) -> float:
    """What a stretched line beside a squeezed one costs, by their ratios."""
    return style.cost("uneven") * abs(above - below) if above * below < 0 else 0.0


def _unlike(above: int, below: int, style: Style) -> float:
    """What two lines with so many bars cost beside each other."""
    return style.cost("unlike") * log(above / below) ** 2


def _crowded(frames: int, room: float, style: Style) -> float:
    """What it costs that frames have less than their easy distance; a line has that of one
    frame at the least."""
    easy = style.distance("easy frame distance")
    return style.cost("crowded") * max(easy * frames / max(room, easy) - 1, 0.0) ** 2


def _line_costs(
    bars: tuple[Measure, ...], start: int, end: int, ratio: float, price: Mapping[str, float]
) -> dict[str, float]:
    alone = end - start == 1
    costs = {
        "line": price["line"],
        "stretch": price["stretch"] * max(ratio, 0.0) ** 3,
        "squeeze": price["squeeze"] * abs(min(ratio, 0.0)) ** 3,
    }
    if not bars[end - 1].closes_phrase:
        name = "half of a phrase" if bars[end - 1].halves_phrase else "inside a phrase"
        costs[name] = price[name]
    if alone and len(bars) > 1:
        costs["lonely bar"] = price["lonely bar"]
    return costs
