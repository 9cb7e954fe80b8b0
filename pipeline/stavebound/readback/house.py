"""House: the reader's table for a house that shapes signs in its own way.

In: the reader's own table, and how a house's styles shape signs. Out: the table by
which that house's ink is read. Size and weight are laid on the reader's own rows;
a sign that the house draws anew has the rows that its drawing measures. What the
engraver draws from is not looked at.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from typing import TypeVar

from stavebound.plan.book import DrawnPiece
from stavebound.plan.house_signs import Shaping, Shapings
from stavebound.readback.shapes import band, stroke
from stavebound.readback.table import MarkRow, ShapeRow, SignPart, SignRow, Table
from stavebound.readback.values import ShapeRead

R = TypeVar("R", SignRow, MarkRow)
Pieces = tuple[tuple[SignPart, ShapeRow], ...]

# A level form turned over is level too, and is so called whichever way it was measured.
LEVEL = 0.5


def house_table(table: Table, shapings: Shapings) -> Table:
    """The table with the house's rows; of the forms those that some sign still has."""
    if not shapings:
        return table
    shapes = {row.name: row for row in table.shape}
    used: dict[str, ShapeRow] = {}

    def housed(row: R) -> R:
        pieces = _pieces(row, shapings.get(row.name), shapes)
        used.update({shape.name: shape for _, shape in pieces})
        return row.model_copy(update={"parts": tuple(part for part, _ in pieces)})

    signs = tuple(housed(row) for row in table.sign)
    marks = tuple(housed(row) for row in table.mark)
    own = {"shape": tuple(used.values()), "sign": signs, "mark": marks, "foot": table.house_foot}
    return table.model_copy(update=own)


def _pieces(row: SignRow | MarkRow, shaping: Shaping | None, shapes: dict[str, ShapeRow]) -> Pieces:
    if shaping is None:
        return tuple((part, shapes[part.shape]) for part in row.parts)
    if shaping.drawing:
        return tuple(_drawn(row.name, shaping))
    return tuple(_scaled(row.name, part, shapes[part.shape], shaping) for part in row.parts)


def _scaled(
    sign: str, part: SignPart, shape: ShapeRow, shaping: Shaping
) -> tuple[SignPart, ShapeRow]:
    """Places and lengths by the size; widths by the weight too. A disc has no width."""
    size, name = shaping.size, f"{shape.name} of “{sign}”"
    own = {
        "name": name,
        "length": shape.length * size,
        "width": shape.width * size * shaping.weight,
        "bulge": shape.bulge * size,
    }
    at = (part.at[0] * size, part.at[1] * size)
    return part.model_copy(update={"shape": name, "at": at}), shape.model_copy(update=own)


def _drawn(sign: str, shaping: Shaping) -> Iterator[tuple[SignPart, ShapeRow]]:
    for number, drawn in enumerate(shaping.drawing, 1):
        shape, name = _measured(drawn, shaping), f"piece {number} of “{sign}”"
        level = min(shape.angle, 180 - shape.angle) < LEVEL
        yield (
            SignPart(shape=name, at=(shape.x, shape.y)),
            ShapeRow.model_validate(
                {
                    "name": name,
                    "kind": shape.kind,
                    "description": "drawn by the house",
                    "length": shape.length,
                    "width": shape.width,
                    "angle": 0.0 if level else shape.angle,
                    "bulge": shape.bulge,
                }
            ),
        )


def _measured(drawn: DrawnPiece, shaping: Shaping) -> ShapeRead:
    numbers = [float(number) * shaping.size for number in drawn.numbers]
    return MEASURES[drawn.kind](numbers, shaping.weight)


def _stroke(numbers: list[float], weight: float) -> ShapeRead:
    x1, y1, x2, y2, width = numbers
    return stroke((x1, y1), (x2, y2), width * weight)


def _disc(numbers: list[float], weight: float) -> ShapeRead:
    del weight
    x, y, diameter = numbers
    return ShapeRead("disc", x, y, diameter)


def _ring(numbers: list[float], weight: float) -> ShapeRead:
    x, y, diameter, width = numbers
    return ShapeRead("ring", x, y, diameter, width * weight)


def _curve(numbers: list[float], weight: float) -> ShapeRead:
    """By its ends and its middle, where a cubic has an eighth of either end and three
    eighths of either control point."""
    *points, width = numbers
    xs, ys = points[0::2], points[1::2]
    mx, my = ((a + 3 * b + 3 * c + d) / 8 for a, b, c, d in (xs, ys))
    return band((xs[0], ys[0]), (mx, my), (xs[3], ys[3]), width * weight)


MEASURES: dict[str, Callable[[list[float], float], ShapeRead]] = {
    "strokes": _stroke,
    "discs": _disc,
    "rings": _ring,
    "curves": _curve,
}
