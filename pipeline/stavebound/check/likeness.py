"""Likeness: how far two drawings differ, as an eye sees them side by side.

In: rows of the sign table. Out: shares of ink. A drawing is laid on a grid of cells, those
that it inks are counted, and two drawings are laid over each other as well as may be.

    ▒▒██▒▒      two drawings: ▒ is in one of them only, █ in both;
      ██        what differs is ▒, as a share of the ink of both
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass
from functools import cache
from itertools import pairwise
from math import hypot

from stavebound.geometry import Box, Point, bounds, union
from stavebound.trade.tables import Sign

# The side of a cell in spaces, and how many cells a drawing may reach from its middle.
CELL = 0.02
REACH = 60
ROW = 2 * REACH
# An eye does not see a shift of so many cells between two signs that stand apart.
NEAR = range(-4, 5)
STEPS = 16

Holds = Callable[[float, float], bool]


@dataclass(frozen=True, slots=True)
class _Piece:
    """A piece of a drawing: its box, and whether it inks a point."""

    box: Box
    holds: Holds


def unlike(one: Sign, other: Sign) -> tuple[float, float]:
    """What is in one drawing only, as a share of the ink of both, and in square spaces;
    the least of all ways in which either is turned over."""
    cells = _cells(one, False)
    return min(_measured(cells, _cells(other, mirrored)) for mirrored in (False, True))


def unlike_turned_over(sign: Sign) -> tuple[float, float]:
    """The same of a drawing and itself turned over, right to left."""
    return _measured(_cells(sign, False), _cells(sign, True))


def drawing_box(sign: Sign) -> Box:
    """The box round a drawing."""
    return union(piece.box for piece in _pieces(sign, 1))


def _measured(one: int, other: int) -> tuple[float, float]:
    apart = _apart(one, other)
    return apart / (one.bit_count() + other.bit_count()), apart * CELL * CELL


def _apart(one: int, other: int) -> int:
    if one.bit_count() > 2 * other.bit_count() or other.bit_count() > 2 * one.bit_count():
        return (one ^ other).bit_count()
    return min((one ^ _shifted(other, dx + dy * ROW)).bit_count() for dx in NEAR for dy in NEAR)


def _shifted(cells: int, by: int) -> int:
    return cells << by if by > 0 else cells >> -by


@cache
def _cells(sign: Sign, mirrored: bool) -> int:
    """A bit for every cell that is inked, round the middle of the drawing."""
    pieces = tuple(_pieces(sign, -1 if mirrored else 1))
    box = union(piece.box for piece in pieces)
    x, y = (box.left + box.right) / 2, (box.bottom + box.top) / 2
    found = 0
    for piece in pieces:
        for column in _range(piece.box.left - x, piece.box.right - x):
            for row in _range(piece.box.bottom - y, piece.box.top - y):
                if piece.holds(x + (column + 0.5) * CELL, y + (row + 0.5) * CELL):
                    found |= 1 << (column + REACH + (row + REACH) * ROW)
    return found


def _range(low: float, high: float) -> range:
    return range(max(int(low / CELL) - 1, 4 - REACH), min(int(high / CELL) + 1, REACH - 4))


def _pieces(sign: Sign, way: int) -> Iterator[_Piece]:
    for x1, y1, x2, y2, width in sign.strokes:
        yield _stroke(way * x1, y1, way * x2, y2, width)
    for x, y, diameter in sign.discs:
        yield _ring(way * x, y, diameter, diameter / 2)
    for x, y, diameter, width in sign.rings:
        yield _ring(way * x, y, diameter, width)
    for *numbers, width in sign.curves:
        xs, ys = [way * x for x in numbers[0::2]], numbers[1::2]
        places = [(_along(xs, step / STEPS), _along(ys, step / STEPS)) for step in range(STEPS + 1)]
        for (x1, y1), (x2, y2) in pairwise(places):
            yield _stroke(x1, y1, x2, y2, width)


def _along(values: list[float], t: float) -> float:
    """A coordinate of a cubic at t."""
    a, b, c, d = values
    s = 1 - t
    return s * s * s * a + 3 * s * s * t * b + 3 * s * t * t * c + t * t * t * d


def _stroke(x1: float, y1: float, x2: float, y2: float, width: float) -> _Piece:
    length = hypot(x2 - x1, y2 - y1)
    ux, uy = (x2 - x1) / length, (y2 - y1) / length

    def holds(x: float, y: float) -> bool:
        along, aside = (x - x1) * ux + (y - y1) * uy, (x - x1) * uy - (y - y1) * ux
        return 0 <= along <= length and abs(aside) <= width / 2

    ends = bounds((Point(x1, y1), Point(x2, y2)))
    wide, high = abs(uy) * width / 2, abs(ux) * width / 2
    return _Piece(
        Box(ends.left - wide, ends.bottom - high, ends.right + wide, ends.top + high), holds
    )


def _ring(x: float, y: float, diameter: float, width: float) -> _Piece:
    outer, inner = diameter / 2, diameter / 2 - width

    def holds(px: float, py: float) -> bool:
        return inner <= hypot(px - x, py - y) <= outer

    return _Piece(Box(x - outer, y - outer, x + outer, y + outer), holds)
