"""Cast off: which bars stand on which line.

In: how many bars there are, what a line of bars costs, and what two lines cost
as neighbours. Out: the breaks of the cheapest division, found by dynamic
programming over pairs of lines after D. E. Knuth and M. F. Plass, "Breaking
Paragraphs into Lines", 1981. Always holds: no other division costs less.

    bars   0 1 2 │ 3 4 │ 5 6 7     breaks (3, 5, 8)
"""

from __future__ import annotations

from collections.abc import Callable
from math import inf

Earliest = Callable[[int], int]
LineCost = Callable[[int, int], float]
PairCost = Callable[[int, int, int], float]


def cast_off(count: int, earliest: Earliest, line: LineCost, pair: PairCost) -> tuple[int, ...]:
    """The ends of the lines. `earliest(j)` is the first bar with which a line that
    ends before bar j could begin; `line(i, j)` the cost of bars i to j − 1 on one
    line, infinite where they do not fit; `pair(h, i, j)` what the lines h–i and
    i–j cost beside each other.

    ValueError where no division fits.
    """
    best: dict[tuple[int, int], float] = {}
    before: dict[tuple[int, int], int] = {}
    starts: dict[int, list[int]] = {0: []}
    for end in range(1, count + 1):
        for start in range(end - 1, earliest(end) - 1, -1):
            own = line(start, end)
            if own == inf:
                continue
            cost, origin = _cheapest(start, end, starts.get(start, []), best, pair)
            if cost < inf:
                best[start, end] = own + cost
                before[start, end] = origin
                starts.setdefault(end, []).append(start)
    return _trace(count, starts, best, before)


def _cheapest(
    start: int,
    end: int,
    origins: list[int],
    best: dict[tuple[int, int], float],
    pair: PairCost,
) -> tuple[float, int]:
    """The least cost of all before a line, and where the line before it starts."""
    if start == 0:
        return 0.0, 0
    costs = [(best[origin, start] + pair(origin, start, end), origin) for origin in origins]
    return min(costs, default=(inf, 0))


def _trace(
    count: int,
    starts: dict[int, list[int]],
    best: dict[tuple[int, int], float],
    before: dict[tuple[int, int], int],
) -> tuple[int, ...]:
    if not starts.get(count):
        raise ValueError("no division into lines fits the width")
    start = min(starts[count], key=lambda first: best[first, count])
    breaks, end = [count], count
    while start > 0:
        start, end = before[start, end], start
        breaks.append(end)
    return tuple(reversed(breaks))
