"""Which column each part of a text stands in.

In: the text as portions, one below the other in a single column. Out: where columns end. It
always holds that the order is kept and that no column ends where its text may not be parted,
unless what may not be is higher than a column.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import pairwise

NEVER = math.inf
# Below what difference heights are equal.
EXACT = 0.01


@dataclass(frozen=True, slots=True)
class Portion:
    """What no column parts: a line, or more; from where to where it reaches in the single column,
    and how much height has to be saved where a column ends before it. All are in one unit."""

    top: float
    bottom: float
    cost: float = 0.0


def height(portions: Sequence[Portion]) -> float:
    return portions[-1].bottom - portions[0].top if portions else 0.0


def even(portions: Sequence[Portion], count: int) -> tuple[int, ...]:
    """The end of each of so many columns, which are as low as they can be; the first ones are
    the higher ones."""
    return _even(portions, 0, count)[1]


def _even(portions: Sequence[Portion], start: int, count: int) -> tuple[float, tuple[int, ...]]:
    """How high columns of all from `start` on are, with what it costs to end them, and the ends."""
    last = len(portions)
    if count == 1 or start == last:
        return height(portions[start:]), (last,) * count
    ways = []
    for end in range(start + 1, last + 1):
        others, ends = _even(portions, end, count - 1)
        cost = portions[end].cost if end < last else 0.0
        ways.append((max(height(portions[start:end]), others) + cost, (end, *ends)))
    least = min(cost for cost, _ in ways)
    return next(way for way in reversed(ways) if way[0] <= least + EXACT)


def filled(
    portions: Sequence[Portion], count: int, first: float, depth: float
) -> Iterator[tuple[int, ...]]:
    """The ends of the columns of each page: those of the first one are `first` high, those of all
    others `depth`, and those of the last one even."""
    start, room = 0, first
    while start < len(portions):
        ends = _full(portions, start, count, room)
        if ends[-1] == len(portions):
            ends = _last(portions, start, ends, room)
        yield ends
        start, room = ends[-1], depth


def _last(
    portions: Sequence[Portion], start: int, full: tuple[int, ...], room: float
) -> tuple[int, ...]:
    """The ends of the last page's columns: even ones, where these have room."""
    ends = tuple(start + end for end in even(portions[start:], len(full)))
    columns = (height(portions[a:b]) for a, b in pairwise((start, *ends)))
    return ends if max(columns) <= room + EXACT else full


def _full(portions: Sequence[Portion], start: int, count: int, room: float) -> tuple[int, ...]:
    ends = [start]
    for _ in range(count):
        ends.append(_end(portions, ends[-1], room))
    return tuple(ends[1:])


def _end(portions: Sequence[Portion], start: int, room: float) -> int:
    """Where a column ends that begins with `start` and is as full as it can be."""
    last = len(portions)
    fit = [end for end in range(start + 1, last + 1) if height(portions[start:end]) <= room + EXACT]
    whole = [end for end in fit if end == last or portions[end].cost < NEVER]
    return max(whole or fit or [min(start + 1, last)])
