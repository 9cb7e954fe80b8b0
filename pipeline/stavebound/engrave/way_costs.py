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
from stavebound.engrave.candidates import Candidate
from stavebound.geometry import Box
from stavebound.trade.catalogue import Catalogue
from stavebound.trade.movement import WayLine

Costs = dict[str, float]


class Run(NamedTuple):
    """Where a line runs: its spots, and the box round them."""

    along: tuple[Spot, ...]
    box: Box


def run_of(along: tuple[Spot, ...]) -> Run:
    xs, ys = zip(*along, strict=True)
    return Run(along, Box(min(xs), min(ys), max(xs), max(ys)))


def total(costs: Costs) -> float:
    return sum(costs.values())


def own_costs(run: Run, one: Candidate, boxes: Sequence[Box], catalogue: Catalogue) -> Costs:
    """What a line costs by itself."""
    table = catalogue.moves.way
    crossed = [box for box in boxes if box.touches(run.box)]
    pieces = [*pairwise(run.along)]
    numbers = table.counts["from"]
    counted = {
        "sign": sum([_inked(a, b, crossed) for a, b in pieces]) if crossed else 0,
        "count": sum([y > numbers for _, y in run.along]) if run.box.top > numbers else 0,
        "stave": _beside_lines(pieces, len(catalogue.ruling.line), table),
        "bend": one.bend,
        "length": sum([hypot(x2 - x1, y2 - y1) for (x1, y1), (x2, y2) in pieces]),
    }
    return {name: table.cost[name].value * number for name, number in counted.items()}


def _inked(a: Spot, b: Spot, boxes: Sequence[Box]) -> bool:
    """Whether the piece from a to b comes into one of the boxes, as far as its own box tells:
    a tail is thinner than the pieces are long."""
    left, right = (a[0], b[0]) if a[0] < b[0] else (b[0], a[0])
    bottom, top = (a[1], b[1]) if a[1] < b[1] else (b[1], a[1])
    for box in boxes:
        if left <= box.right and box.left <= right and bottom <= box.top and box.bottom <= top:
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


def pair_costs(a: Run, b: Run, table: WayLine) -> tuple[float, float]:
    """What two lines cost together, by running along each other and by crossing."""
    within = table.beside["within"]
    if not a.box.touches(b.box):
        return 0.0, 0.0
    aparts = _aparts(a.along, b.along)
    near = sum([abs(apart) < within for apart in aparts])
    crossed = sum([one * other < 0 for one, other in pairwise(aparts)])
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
