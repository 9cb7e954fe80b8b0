"""Costs of ways: what a line of movement costs where it runs, alone and beside others.

In: spots along lines, the boxes of signs with their white, and the trade's table. Out: costs by
their names in moves.toml.
"""

from __future__ import annotations

from collections.abc import Sequence
from itertools import pairwise
from math import hypot
from typing import NamedTuple

from stavebound.drawing.courses import Spot
from stavebound.geometry import Box
from stavebound.trade.catalogue import Catalogue
from stavebound.trade.movement import WayLine

Costs = dict[str, float]


class Sampled(NamedTuple):
    """Where a line runs, or half of it: its spots, the box round them, and what it costs."""

    along: tuple[Spot, ...]
    box: Box
    costs: Costs
    total: float


def spots_of(along: tuple[Spot, ...]) -> Sampled:
    """Where a line runs, which costs nothing."""
    xs, ys = zip(*along, strict=True)
    return Sampled(along, Box(min(xs), min(ys), max(xs), max(ys)), {}, 0.0)


def run_of(along: tuple[Spot, ...], boxes: Sequence[Box], catalogue: Catalogue) -> Sampled:
    """Where a line runs, and what it costs by itself but for its turns."""
    run = spots_of(along)
    costs = _own_costs(run, boxes, catalogue)
    return run._replace(costs=costs, total=sum(costs.values()))


def _own_costs(run: Sampled, boxes: Sequence[Box], catalogue: Catalogue) -> Costs:
    table = catalogue.moves.way
    crossed = [box for box in boxes if box.touches(run.box)]
    pieces = [*pairwise(run.along)]
    numbers = table.counts["from"]
    counted = {
        "sign": sum([_inked(a, b, crossed) for a, b in pieces]) if crossed else 0,
        "count": sum([y > numbers for _, y in run.along]) if run.box.top > numbers else 0,
        "stave": _beside_lines(pieces, len(catalogue.ruling.line), table),
        "length": sum([hypot(x2 - x1, y2 - y1) for (x1, y1), (x2, y2) in pieces]),
    }
    return {name: table.cost[name].value * number for name, number in counted.items()}


def _inked(a: Spot, b: Spot, boxes: Sequence[Box]) -> bool:
    """Whether the piece from a to b comes into one of the boxes."""
    (x, y), (x2, y2) = a, b
    dx, dy = x2 - x, y2 - y
    left, right = (x, x2) if dx > 0 else (x2, x)
    bottom, top = (y, y2) if dy > 0 else (y2, y)
    for box in boxes:
        if left <= box.right and box.left <= right and bottom <= box.top and box.bottom <= top:
            low, high = dx * (box.bottom - y), dx * (box.top - y)
            one, other = dy * (box.left - x), dy * (box.right - x)
            if max(one, other) >= min(low, high) and min(one, other) <= max(low, high):
                return True
    return False


def _beside_lines(pieces: Sequence[tuple[Spot, Spot]], lines: int, table: WayLine) -> int:
    """How many pieces run along a line of the stave, too near to it."""
    within, slope = table.along["within"], table.along["slope"]
    found = 0
    for (x1, y1), (x2, y2) in pieces:
        if abs(y2 - y1) <= slope * abs(x2 - x1):
            middle = (y1 + y2) / 2
            line = round(middle)
            found += 0 <= line < lines and abs(middle - line) < within
    return found


def pair_costs(a: Sampled, b: Sampled, table: WayLine) -> tuple[float, float]:
    """What two lines cost together, by running along each other and by crossing."""
    within = table.beside["within"]
    near = crossed = 0
    for one, other in pairwise(_aparts(a.along, b.along)):
        near += abs(one) < within and abs(other) < within
        crossed += one * other < 0
    return table.cost["way"].value * near, table.cost["cross"].value * crossed


def _aparts(a: Sequence[Spot], b: Sequence[Spot]) -> list[float]:
    """How far the spots of one line are over the other, where there is any of that."""
    (x, y), *others = b if b[0][0] <= b[-1][0] else b[::-1]
    found: list[float] = []
    at, last = 0, len(others) - 1
    for ax, ay in a if a[0][0] <= a[-1][0] else a[::-1]:
        if ax < x:
            continue
        while at < last and others[at][0] < ax:
            x, y = others[at]
            at += 1
        nx, ny = others[at]
        if nx < ax:
            break
        found.append(ay - (y + (ny - y) * (ax - x) / (nx - x) if nx > x else ny))
    return found
