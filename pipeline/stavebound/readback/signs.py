"""Signs: which shapes belong together.

In: named shapes. Out: signs with the marks attached to them, and faults for ink
that is part of no sign or could be part of two. Signs of several parts are found
before those of one, the rows of most parts first.

    joint ▬ + cross-bar │ → half bend ╪
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import replace

from stavebound.readback.table import MarkRow, SignRow, Table
from stavebound.readback.values import Fault, Mark, Shape, Sign

# How a shape is called where it fits no row.
KINDS = {
    "stroke": "a straight stroke",
    "disc": "a dot",
    "ring": "a ring",
    "band": "a curve",
    "strange": "a figure of an unknown form",
}

By = dict[str, list[Shape]]


def find_signs(shapes: Iterable[Shape], table: Table) -> tuple[tuple[Sign, ...], tuple[Fault, ...]]:
    """Spots of the centre line must have been taken out before."""
    by_name: By = {}
    faults: list[Fault] = []
    for shape in shapes:
        if shape.name is None:
            faults.append(_unknown(shape))
        else:
            by_name.setdefault(shape.name, []).append(shape)
    signs: list[Sign] = []
    for row in sorted(table.sign, key=lambda row: -len(row.parts)):
        signs += _of_row(row, by_name, table)
    for mark in table.mark:
        signs = _marked(mark, by_name, signs, faults, table)
    faults += (_alone(shape) for rest in by_name.values() for shape in rest)
    return tuple(signs), tuple(faults)


def _of_row(row: SignRow, by_name: By, table: Table) -> list[Sign]:
    """Every sign of the row; its shapes are taken out of `by_name`."""
    found = []
    for way in (1, -1):
        for shape in list(by_name.get(row.parts[0].shape, ())):
            x, y = shape.x - way * row.parts[0].at[0], shape.y - row.parts[0].at[1]
            parts = _parts(x, y, way, row, by_name, table)
            if parts and shape in by_name[row.parts[0].shape]:
                for part in parts:
                    by_name[part.name or ""].remove(part)
                found.append(Sign(row.name, x, y, turned=way))
    return found


def _parts(
    x: float, y: float, way: int, row: SignRow, by_name: By, table: Table
) -> list[Shape] | None:
    """The shapes of a sign at x, y; None where they are not all there."""
    found = [
        other
        for part in row.parts
        for other in by_name.get(part.shape, ())
        if _is_at(other, x + way * part.at[0], y + part.at[1], table)
        and (other.turned == way * part.turned or not _one_sided(other, table))
    ]
    return found if len(found) == len(row.parts) else None


def _one_sided(shape: Shape, table: Table) -> bool:
    """Whether the form turned over is another."""
    limit = table.tolerance
    if abs(shape.angle - 90) <= limit.angle:
        return abs(shape.bulge) > limit.width
    return min(shape.angle, 180 - shape.angle) > limit.angle


def _marked(
    row: MarkRow, by_name: By, signs: list[Sign], faults: list[Fault], table: Table
) -> list[Sign]:
    marked = list(signs)
    for shape in by_name.pop(row.shape, []):
        held = [
            (index, way)
            for index, sign in enumerate(marked)
            if (way := _holds(row, shape, sign, table)) is not None
        ]
        if len(held) == 1:
            ((index, way),) = held
            sign = marked[index]
            marked[index] = replace(sign, marks=(*sign.marks, Mark(row.name, way)))
        elif held:
            what = f"a {row.name} that belongs to two signs"
            faults.append(Fault("twofold", what, shape.x, shape.y))
        else:
            faults.append(_alone(shape))
    return marked


def _holds(row: MarkRow, shape: Shape, sign: Sign, table: Table) -> int | None:
    """The side on which the sign has the mark; None where it has not."""
    if sign.name not in row.at:
        return None
    dx, dy = row.at[sign.name]
    for way in (1, -1):
        turns = shape.bulge == 0 or shape.turned == way
        if turns and _is_at(shape, sign.x + way * dx, sign.y + dy, table):
            return way if dx or shape.bulge else 0
    return None


def _is_at(shape: Shape, x: float, y: float, table: Table) -> bool:
    near = table.tolerance.place
    return abs(shape.x - x) <= near and abs(shape.y - y) <= near


def _unknown(shape: Shape) -> Fault:
    size = f", {shape.length:.2f} long and {shape.width:.2f} thick" if shape.length else ""
    return Fault("shape", f"{KINDS[shape.kind]}{size}, that is no part of a sign", shape.x, shape.y)


def _alone(shape: Shape) -> Fault:
    return Fault("shape", f"a {shape.name} that belongs to no sign", shape.x, shape.y)
