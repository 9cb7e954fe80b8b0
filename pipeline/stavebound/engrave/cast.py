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
# The lines that may end before a bar: the cost up to there and where each starts, the
# cheapest first, so that most of them need not be looked at.
Lasts = tuple[tuple[float, int], ...]


def cast_off(count: int, earliest: Earliest, line: LineCost, pair: PairCost) -> tuple[int, ...]:
    """The ends of the lines. `earliest(j)` is the first bar with which a line that
    ends before bar j could begin; `line(i, j)` the cost of bars i to j − 1 on one
    line, infinite where they do not fit; `pair(h, i, j)` what the lines h–i and
    i–j cost beside each other, never below nought.

    ValueError where no division fits.
    """
    before: dict[tuple[int, int], int] = {}
    lasts: list[Lasts] = [((0.0, 0),)]
    for end in range(1, count + 1):
        found: list[tuple[float, int]] = []
        for start in range(end - 1, earliest(end) - 1, -1):
            own = line(start, end)
            if own == inf:
                continue
            cost, origin = _cheapest(start, end, lasts[start], pair)
            if cost < inf:
                found.append((own + cost, start))
                before[start, end] = origin
        lasts.append(tuple(sorted(found)))
    return _trace(count, lasts[count], before)


def _cheapest(start: int, end: int, lasts: Lasts, pair: PairCost) -> tuple[float, int]:
    """The least cost of all before a line, and where the line before it starts."""
    if start == 0:
        return 0.0, 0
    least, first = inf, 0
    for cost, origin in lasts:
        if cost > least:
            break
        both = cost + pair(origin, start, end)
        if (both, origin) < (least, first):
            least, first = both, origin
    return least, first


def _trace(count: int, lasts: Lasts, before: dict[tuple[int, int], int]) -> tuple[int, ...]:
    if not lasts:
        raise ValueError("no division into lines fits the width")
    (_, start), *_ = lasts
    breaks, end = [count], count
    while start > 0:
        start, end = before[start, end], start
        breaks.append(end)
    return tuple(reversed(breaks))
