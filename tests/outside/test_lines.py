"""Lines cast off, held against an exhaustive search.

Source: D. E. Knuth and M. F. Plass, "Breaking Paragraphs into Lines", Software:
Practice and Experience 11 (1981): the best division is the one whose costs,
added up over the whole, are least among all feasible divisions. Here all of
them are tried, one after the other.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from itertools import combinations, pairwise
from math import inf, log

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from stavebound.engrave.bars import Measure
from stavebound.engrave.cast import cast_off
from stavebound.engrave.cost import cast_lines, pair_costs
from stavebound.engrave.space import gaps_of
from stavebound.score.model import Score
from tests.support.staves import SETTING, bars_of
from tests.support.strategies import scores

STYLE = SETTING.style
Breaks = tuple[int, ...]


def divisions(count: int) -> Iterator[Breaks]:
    """Every way to divide so many bars into lines, as the lines' ends."""
    for lines in range(count):
        for inner in combinations(range(1, count), lines):
            yield (*inner, count)


def total(
    breaks: Breaks,
    line: Callable[[int, int], float],
    pair: Callable[[int, int, int], float],
) -> float:
    own = sum(line(start, end) for start, end in pairwise((0, *breaks)))
    if own == inf:
        return inf
    triples = zip((0, *breaks), breaks, breaks[1:], strict=False)
    return own + sum(pair(first, middle, end) for first, middle, end in triples)


# ---------------------------------------------------------------- any costs


@st.composite
def tables(
    draw: st.DrawFn,
) -> tuple[int, dict[tuple[int, int], float], dict[tuple[int, int, int], float], list[int]]:
    """How many bars, what every line and every pair of lines costs, and how far
    back each line may reach. Whole numbers add up without rounding."""
    count = draw(st.integers(1, 8))
    costs = st.integers(0, 50).map(float) | st.just(inf)
    spans = [(i, j) for j in range(1, count + 1) for i in range(j)]
    triples = [(h, i, j) for i, j in spans for h in range(i)]
    earliest = [0, *(draw(st.integers(0, end - 1)) for end in range(1, count + 1))]
    lines = {span: draw(costs) for span in spans}
    pairs = {triple: float(draw(st.integers(0, 50))) for triple in triples}
    return count, lines, pairs, earliest


@settings(max_examples=200)
@given(tables())
def test_no_other_division_is_cheaper(
    table: tuple[int, dict[tuple[int, int], float], dict[tuple[int, int, int], float], list[int]],
) -> None:
    count, lines, pairs, earliest = table

    def line(start: int, end: int) -> float:
        return lines[start, end] if start >= earliest[end] else inf

    def pair(first: int, middle: int, end: int) -> float:
        return pairs[first, middle, end]

    least = min(total(breaks, line, pair) for breaks in divisions(count))
    if least == inf:
        with pytest.raises(ValueError, match="no division"):
            cast_off(count, earliest.__getitem__, line, pair)
    else:
        found = cast_off(count, earliest.__getitem__, line, pair)
        assert found[-1] == count
        assert list(found) == sorted(set(found))
        assert total(found, line, pair) == least


def test_a_division_is_not_greedy() -> None:
    """Two lines of two are better than three and one, though three fit the first line."""
    costs = {(0, 1): 9.0, (0, 2): 3.0, (0, 3): 0.0, (1, 2): 9.0, (1, 3): 3.0, (1, 4): 9.0}
    costs |= {(2, 3): 9.0, (2, 4): 3.0, (3, 4): 20.0, (0, 4): inf}

    def line(start: int, end: int) -> float:
        return costs[start, end]

    assert cast_off(4, lambda end: 0, line, lambda h, i, j: 0.0) == (2, 4)
    assert cast_off(4, lambda end: 0, line, lambda h, i, j: 30.0 * (i == 2)) == (1, 4)


# ---------------------------------------------------------------- real scores


def own_line(
    bars: tuple[Measure, ...], width: float, indents: tuple[float, float]
) -> Callable[[int, int], tuple[float, float]]:
    """A line's ratio and its cost, put together anew from the words of the table of costs."""
    gaps = gaps_of(bars, indents, SETTING)

    def line(start: int, end: int) -> tuple[float, float]:
        last, alone = end == len(bars), end - start == 1
        # A bar that does not fit even alone counts as squeezed ten times over at most.
        ratio = max(gaps.run(start, end).ratio(width), -10)
        short = gaps.run(start, end).natural < STYLE.distance("full last line") * width
        ratio = min(ratio, 0) if (last or alone) and short else ratio
        if ratio < -1 and not alone:
            return ratio, inf
        cost = STYLE.cost("line")
        cost += STYLE.cost("stretch") * ratio**3 if ratio > 0 else 0
        tight = 10 if ratio < -1 else -min(ratio, 0)
        cost += STYLE.cost("squeeze") * tight**3
        if not bars[end - 1].closes_phrase:
            half = bars[end - 1].halves_phrase
            cost += STYLE.cost("half of a phrase" if half else "inside a phrase")
        cost += STYLE.cost("lonely bar") if alone and len(bars) > 1 else 0
        filled = gaps.run(start, end).natural if ratio == 0 else width
        cost += STYLE.cost("unlike bars") * gaps.unlike(start, end, ratio, filled) ** 2
        cost += STYLE.cost("unfilled") if filled < width and not last else 0
        cost += crowding(bars[start:end], filled - indents[start > 0])
        if last and start > 0 and filled < 0.4 * width:
            cost += STYLE.cost("short last line") * (1 - filled / (0.4 * width))
        return ratio, cost

    return line


def crowding(bars: tuple[Measure, ...], room: float) -> float:
    frames = [column for bar in bars for column in bar.columns if column.frame]
    easy = STYLE.distance("easy frame distance")
    wanted, room = len(frames) * easy, max(room, easy)
    return STYLE.cost("crowded") * ((wanted - room) / room) ** 2 if wanted > room else 0.0


def uneven(above: float, below: float) -> float:
    return STYLE.cost("uneven") * abs(above - below) if above * below < 0 else 0.0


def unlike(first: int, middle: int, end: int) -> float:
    return STYLE.cost("unlike") * log((middle - first) / (end - middle)) ** 2


@settings(max_examples=25)
@given(scores(), st.floats(0.15, 1.2), st.sampled_from([(0.0, 0.0), (4.2, 0.0), (4.2, 4.2)]))
def test_no_other_division_of_a_score_is_cheaper(
    score: Score, share: float, indents: tuple[float, float]
) -> None:
    bars = bars_of(score, SETTING)[:10]
    width = share * gaps_of(bars, indents, SETTING).run(0, len(bars)).natural
    lines = cast_lines(bars, width, indents, SETTING)
    found = sum(line.total for line in lines)
    found += sum(sum(pair_costs(a, b, STYLE).values()) for a, b in pairwise(lines))
    own = own_line(bars, width, indents)
    least = min(
        total(
            breaks,
            lambda start, end: own(start, end)[1],
            lambda first, middle, end: (
                uneven(own(first, middle)[0], own(middle, end)[0]) + unlike(first, middle, end)
            ),
        )
        for breaks in divisions(len(bars))
    )
    assert found == pytest.approx(least)
