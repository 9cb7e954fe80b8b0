"""Lasting: lines under the turns that last, and from which frame to which they go.

In: the shapes of a stave, then its frames and ends. Out: which of the shapes are such lines with
their hooks; the ends of each, by the numbers of the frames, None where it is open; faults for a
line that goes from or to no frame.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass

from stavebound.readback.claims import ReadingKey, near
from stavebound.readback.values import Ends, Fault, FrameRead, ShapeRead, Spot

TURN = "turn"


@dataclass(frozen=True, slots=True)
class LastingRead:
    """A line, and its hooks at the left and at the right."""

    line: ShapeRead
    hooks: tuple[ShapeRead | None, ShapeRead | None]

    @property
    def shapes(self) -> tuple[ShapeRead, ...]:
        return (self.line, *(hook for hook in self.hooks if hook))


def lasting_lines(shapes: Sequence[ShapeRead], key: ReadingKey) -> tuple[LastingRead, ...]:
    """Level lines below the stave, longer than any part of a sign there, with the uprights that
    stand on their ends."""
    row, limit = key.table.lasting, key.table.tolerance
    strokes = [
        shape
        for shape in shapes
        if shape.kind == "stroke"
        and shape.y < row.highest
        and abs(shape.width - row.line) <= limit.width
    ]
    return tuple(
        LastingRead(
            line,
            (_hook(line, line.left, 1, strokes, key), _hook(line, line.right, -1, strokes, key)),
        )
        for line in strokes
        if line.angle <= limit.angle and line.length > row.least
    )


def _hook(
    line: ShapeRead, x: float, way: int, strokes: Iterable[ShapeRead], key: ReadingKey
) -> ShapeRead | None:
    row, limit = key.table.lasting, key.table.tolerance
    half = row.line / 2
    y = line.y + (row.hook - half) / 2
    for one in strokes:
        upright = abs(one.angle - 90) <= limit.angle
        long = abs(one.length - row.hook - half) <= limit.length
        if upright and long and near(one.x, x + way * half, key) and near(one.y, y, key):
            return one
    return None


def lasting_ends(
    found: Iterable[LastingRead], frames: Sequence[FrameRead], edges: Spot, key: ReadingKey
) -> tuple[tuple[Ends, ...], tuple[Fault, ...]]:
    """From left to right. `edges` are the stave's ends."""
    ends: list[Ends] = []
    faults: list[Fault] = []
    for one in sorted(found, key=lambda each: each.line.x):
        own = [*_ends_of(one, frames, edges, key)]
        if len(own) == 2 and near(one.line.y, _height(key), key):
            ends.append((own[0], own[1]))
        else:
            what = "a line of a turn that lasts which goes from or to no moment"
            faults.append(Fault("unread", what, one.line.x, one.line.y))
    return tuple(ends), tuple(faults)


def _height(key: ReadingKey) -> float:
    return key.lanes[TURN] + key.table.lasting.y


def _ends_of(
    one: LastingRead, frames: Sequence[FrameRead], edges: Spot, key: ReadingKey
) -> Iterator[int | None]:
    """The frames of both ends, None for one that is open; what is neither has none."""
    xs = one.line.left, one.line.right
    for x, way, edge, hook in zip(xs, (1, -1), edges, one.hooks, strict=True):
        axis = x - way * key.table.lasting.inset
        if hook is None and near(axis, edge, key):
            yield None
        elif hook:
            at = [n for n, frame in enumerate(frames) if near(axis, frame.axis, key)]
            yield from at[:1]
