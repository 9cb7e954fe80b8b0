"""Signs: which shapes belong together.

In: named shapes. Out: signs with the marks attached to them, the shapes that are part of no
sign, and faults for ink of no known form or that could be part of two. Signs of several parts
are found before those of one, the rows of most parts first: a shape may fit the rows of
several signs.

    joint ▬ + cross-bar │ → half bend ╪
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Iterator
from dataclasses import replace

from stavebound.readback.table import MarkRow, SignPart, SignRow, Table
from stavebound.readback.values import Fault, MarkRead, ShapeRead, SignRead

# How a shape is called where it fits no row.
KINDS = {
    "stroke": "a straight stroke",
    "disc": "a dot",
    "ring": "a ring",
    "band": "a curve",
    "strange": "a figure of an unknown form",
}

By = dict[str, list[ShapeRead]]
Parts = tuple[ShapeRead, ...]


def find_signs(
    shapes: Iterable[ShapeRead], table: Table
) -> tuple[tuple[SignRead, ...], tuple[ShapeRead, ...], tuple[Fault, ...]]:
    """Spots of the centre line must have been taken out before."""
    by_name: By = {}
    faults: list[Fault] = []
    for shape in shapes:
        if shape.name is None:
            faults.append(_unknown(shape))
        for name, turned in shape.fits:
            by_name.setdefault(name, []).append(shape._replace(turned=turned))
    signs: list[SignRead] = []
    for row in sorted(table.sign, key=lambda row: -len(row.parts)):
        signs += _of_row(row, by_name, table)
    for mark in table.mark:
        signs = _marked(mark, by_name, signs, faults, table)
    rest = {_ink(shape): shape for some in by_name.values() for shape in some}
    return tuple(signs), tuple(rest.values()), tuple(faults)


def _of_row(row: SignRow, by_name: By, table: Table) -> list[SignRead]:
    """Every sign of the row; its shapes are taken out of `by_name`."""
    found = []
    for way in (1, -1):
        for shape in list(by_name.get(row.parts[0].shape, ())):
            x, y = shape.x - way * row.parts[0].at[0], shape.y - row.parts[0].at[1]
            parts = _parts(x, y, way, row.parts, by_name, table)
            if parts and shape in by_name[row.parts[0].shape]:
                _take(parts, by_name)
                left = x - min(part.left for part in parts)
                right = max(part.right for part in parts) - x
                found.append(SignRead(row.name, x, y, turned=way, left=left, right=right))
    return found


def _take(parts: Parts, by_name: By) -> None:
    """The shapes out of `by_name`, under whatever name they stand there."""
    for part in parts:
        for name, turned in part.fits:
            by_name[name].remove(part._replace(turned=turned))


def _parts(
    x: float, y: float, way: int, parts: Iterable[SignPart], by_name: By, table: Table
) -> Parts | None:
    """The shapes of something at x, y; None where they are not all there, or one too many."""
    wanted = tuple(parts)
    found = tuple(
        other
        for part in wanted
        for other in by_name.get(part.shape, ())
        if _is_at(other, x + way * part.at[0], y + part.at[1], table)
        and (other.turned == way * part.turned or not _one_sided(other, table))
    )
    return found if len(found) == len(wanted) else None


def _one_sided(shape: ShapeRead, table: Table) -> bool:
    """Whether the form turned over is another."""
    limit = table.tolerance
    if abs(shape.angle - 90) <= limit.angle:
        return abs(shape.bulge) > limit.width
    return min(shape.angle, 180 - shape.angle) > limit.angle


def _marked(
    row: MarkRow, by_name: By, signs: list[SignRead], faults: list[Fault], table: Table
) -> list[SignRead]:
    """The signs with the row's marks at them; the shapes of these are taken out of `by_name`."""
    held = [
        (index, way, parts)
        for index, sign in enumerate(signs)
        for way, parts in _held(row, sign, by_name, table)
    ]
    owners = Counter(_ink(part) for _, _, parts in held for part in parts)
    marked = list(signs)
    taken: set[ShapeRead] = set()
    for index, way, parts in held:
        new = {_ink(part) for part in parts} - taken
        if any(owners[ink] > 1 for ink in new):
            what = f"a {row.name} that belongs to two signs"
            faults.append(Fault("twofold", what, parts[0].x, parts[0].y))
        elif new:
            sign = marked[index]
            marked[index] = replace(sign, marks=(*sign.marks, MarkRead(row.name, way)))
        if new:
            _take(tuple(part for part in parts if _ink(part) in new), by_name)
            taken |= new
    return marked


def _held(row: MarkRow, sign: SignRead, by_name: By, table: Table) -> Iterator[tuple[int, Parts]]:
    """The marks of the row at the sign, each with its side: 0 where it is on neither."""
    if sign.name not in row.at:
        return
    dx, dy = row.at[sign.name]
    right, left = (
        _parts(sign.x + way * dx, sign.y + dy, way, row.parts, by_name, table) for way in (1, -1)
    )
    if right and left and {_ink(part) for part in right} == {_ink(part) for part in left}:
        yield 0, right
        return
    if right:
        yield 1, right
    if left:
        yield -1, left


def _ink(shape: ShapeRead) -> ShapeRead:
    """The shape, whatever name it goes by."""
    return shape._replace(turned=1)


def _is_at(shape: ShapeRead, x: float, y: float, table: Table) -> bool:
    near = table.tolerance.place
    return abs(shape.x - x) <= near and abs(shape.y - y) <= near


def _unknown(shape: ShapeRead) -> Fault:
    size = f", {shape.length:.2f} long and {shape.width:.2f} thick" if shape.length else ""
    return Fault("shape", f"{KINDS[shape.kind]}{size}, that is no part of a sign", shape.x, shape.y)


def part_of_none(shape: ShapeRead) -> Fault:
    return Fault("shape", f"“{shape.name}” that belongs to no sign", shape.x, shape.y)
