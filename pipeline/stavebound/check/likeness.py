"""Likeness: how far two drawings differ, as an eye sees them side by side.

In: rows of the sign table. Out: how far apart they are, where 1 is as near as two signs may
be. What differs is counted in ink: once as the drawings are, laid over each other as well as
may be, and once stretched to one box, so that only their forms are left. Two are alike where
neither tells them apart: a dot from a larger dot is told by size alone, a stroke from a cross
of its length by form alone.

    ▒▒██▒▒      two drawings: ▒ is in one of them only, █ in both;
      ██        what differs is ▒, as a share of the ink of both

Always holds: a drawing that changes a little is a little nearer to others, or a little
further; a cell of the grid is inked so far as it is covered, so that none of its steps is seen.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass
from itertools import pairwise
from math import ceil, floor, hypot, inf

from stavebound.geometry import Box, Point, bounds, union
from stavebound.remembering import remembered
from stavebound.trade.tables import Sign

# What two drawings must have apart: a share of the ink of both, and square spaces.
LEAST_SHARE = 0.18
LEAST_INK = 0.009
# The side of a cell in spaces; how many cells a row may have, from one end of the largest
# drawing to the other and beyond; and how many the common box of two forms has.
CELL = 0.04
ROW = 256
FORM = 12
# An eye does not see a shift of so many cells between two signs that stand apart.
NEAR = range(-2, 3)
SHIFTS = tuple(dx + dy * ROW for dx in NEAR for dy in NEAR)
# Of a curve, the pieces that are taken for straight.
STEPS = 16
# How many drawings are remembered: more than a house has with its own, either way round.
REMEMBERED = 512

Inked = Callable[[float, float], float]
Cells = Mapping[int, float]


@dataclass(frozen=True, slots=True)
class _Piece:
    """A piece of a drawing: its box, and how far it covers the cell round a point."""

    box: Box
    inked: Inked


@dataclass(frozen=True, slots=True)
class _Ink:
    """How far each cell is inked, from 0 to 1, round the middle of a drawing; how far each row
    and each column is; and all of it."""

    cells: Cells
    rows: Cells
    columns: Cells
    whole: float


def unlike(one: Sign, other: Sign) -> float:
    """How far two drawings are apart, the least of all ways in which either is turned over.
    Of those that are not alike, which have 1 or more, it is the least that is sure."""
    return min(_unlike(one, other, mirrored) for mirrored in (False, True))


def unlike_turned_over(sign: Sign) -> float:
    """The same of a drawing and itself turned over, right to left."""
    return _unlike(sign, sign, True)


def drawing_box(sign: Sign) -> Box:
    """The box round a drawing."""
    return union(piece.box for piece in _pieces(sign, 1))


def _unlike(one: Sign, other: Sign, mirrored: bool) -> float:
    apart = _apart(_ink(one, False), _ink(other, mirrored))
    return apart if apart >= 1 else max(apart, _apart_in_form(one, other, mirrored))


def _apart(one: _Ink, other: _Ink) -> float:
    """Most drawings are told apart by their rows or columns, which are looked at first: they
    never have less in common than the cells."""
    apart = 0.0
    for cells, others, shifts in (
        (one.rows, other.rows, NEAR),
        (one.columns, other.columns, NEAR),
        (one.cells, other.cells, SHIFTS),
    ):
        both = one.whole + other.whole
        differs = both - 2 * max(_common(cells, others, by) for by in shifts)
        apart = min(differs / both / LEAST_SHARE, differs * CELL * CELL / LEAST_INK)
        if apart >= 1:
            break
    return apart


def _common(cells: Cells, others: Cells, by: int) -> float:
    """What is inked in both, where the one is shifted by so many cells."""
    return sum([min(inked, others.get(cell + by, 0.0)) for cell, inked in cells.items()])


def _apart_in_form(one: Sign, other: Sign, mirrored: bool) -> float:
    pairs = list(zip(_form(one, False), _form(other, mirrored), strict=True))
    return sum(abs(a - b) for a, b in pairs) / sum(a + b for a, b in pairs) / LEAST_SHARE


@remembered(REMEMBERED)
def _form(sign: Sign, mirrored: bool) -> tuple[float, ...]:
    """How far the drawing is inked in each part of its box."""
    pieces = tuple(_pieces(sign, -1 if mirrored else 1))
    box = union(piece.box for piece in pieces)
    parts = [(part + 0.5) / FORM for part in range(FORM)]
    places = [(box.left + x * box.width, box.bottom + y * box.height) for x in parts for y in parts]
    return tuple(max(piece.inked(*place) for piece in pieces) for place in places)


@remembered(REMEMBERED)
def _ink(sign: Sign, mirrored: bool) -> _Ink:
    pieces = tuple(_pieces(sign, -1 if mirrored else 1))
    box = union(piece.box for piece in pieces)
    x, y = (box.left + box.right) / 2, (box.bottom + box.top) / 2
    cells: dict[tuple[int, int], float] = {}
    for piece in pieces:
        for column in _range(piece.box.left - x, piece.box.right - x):
            for row in _range(piece.box.bottom - y, piece.box.top - y):
                inked = piece.inked(x + column * CELL, y + row * CELL)
                if inked > cells.get((column, row), 0.0):
                    cells[column, row] = inked
    rows, columns = defaultdict[int, float](float), defaultdict[int, float](float)
    for (column, row), inked in cells.items():
        columns[column] += inked
        rows[row] += inked
    found = {column + row * ROW: inked for (column, row), inked in cells.items()}
    return _Ink(found, rows, columns, sum(cells.values()))


def _range(low: float, high: float) -> range:
    return range(floor(low / CELL), ceil(high / CELL) + 1)


def _covered(middle: float, low: float, high: float) -> float:
    """The part of a cell's width that lies between two places."""
    half = CELL / 2
    return max(0.0, min(middle + half, high) - max(middle - half, low)) / CELL


def _pieces(sign: Sign, way: int) -> Iterator[_Piece]:
    for x1, y1, x2, y2, width in sign.strokes:
        yield _stroke(way * x1, y1, way * x2, y2, width)
    for x, y, diameter in sign.discs:
        yield _ring(way * x, y, diameter, inf)
    for x, y, diameter, width in sign.rings:
        yield _ring(way * x, y, diameter, width)
    for *numbers, width in sign.curves:
        xs, ys = [way * x for x in numbers[0::2]], numbers[1::2]
        places = [(_along(xs, step / STEPS), _along(ys, step / STEPS)) for step in range(STEPS + 1)]
        for step, ((x1, y1), (x2, y2)) in enumerate(pairwise(places), 1):
            # Each but the last goes on into the next, so that nothing is white between them.
            yield _stroke(x1, y1, x2, y2, width, CELL * (step > 1), CELL * (step < STEPS))


def _along(values: list[float], t: float) -> float:
    """A coordinate of a cubic at t."""
    a, b, c, d = values
    s = 1 - t
    return s * s * s * a + 3 * s * s * t * b + 3 * s * t * t * c + t * t * t * d


def _stroke(
    x1: float,
    y1: float,
    x2: float,
    y2: float,
    width: float,
    before: float = 0.0,
    after: float = 0.0,
) -> _Piece:
    """A straight stroke, longer by so much at its ends."""
    length, half = hypot(x2 - x1, y2 - y1), width / 2
    ux, uy = (x2 - x1) / length, (y2 - y1) / length

    def inked(x: float, y: float) -> float:
        along, aside = (x - x1) * ux + (y - y1) * uy, (x - x1) * uy - (y - y1) * ux
        return _covered(along, -before, length + after) * _covered(aside, -half, half)

    ends = bounds((Point(x1, y1), Point(x2, y2)))
    wide, high = abs(uy) * half, abs(ux) * half
    return _Piece(
        Box(ends.left - wide, ends.bottom - high, ends.right + wide, ends.top + high), inked
    )


def _ring(x: float, y: float, diameter: float, width: float) -> _Piece:
    outer = diameter / 2
    inner = outer - width

    def inked(px: float, py: float) -> float:
        return _covered(hypot(px - x, py - y), inner, outer)

    return _Piece(Box(x - outer, y - outer, x + outer, y + outer), inked)
