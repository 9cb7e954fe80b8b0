"""Phrasing: bows over the counts, and from which frame to which they go.

In: shapes that taper, the frames of a stave and the ends of its lines. Out: the ends of
each bow, by the numbers of the frames, None where it is open; faults for ink that is no
such bow, or that goes from or to no count.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from stavebound.readback.claims import ReadingKey, near
from stavebound.readback.stave import LINES
from stavebound.readback.values import Ends, Fault, FrameRead, ShapeRead, Spot


def phrasings(
    tapers: Iterable[ShapeRead], frames: Sequence[FrameRead], edges: Spot, key: ReadingKey
) -> tuple[tuple[Ends, ...], tuple[Fault, ...]]:
    """From left to right. `edges` are the stave's ends."""
    found: list[Ends] = []
    faults: list[Fault] = []
    for taper in sorted(tapers, key=lambda each: each.x):
        ends = [
            _ends_at(x, way, frames, edge, key)
            for (x, _), way, edge in zip(taper.ends, (1, -1), edges, strict=True)
        ]
        if not _is_bow(taper, key):
            what = "a figure that tapers, and is no bow of a phrasing"
            faults.append(Fault("shape", what, taper.x, taper.y))
        elif [] in ends:
            what = "a bow of a phrasing that goes from or to no count"
            faults.append(Fault("unread", what, taper.x, taper.y))
        else:
            found.append((ends[0][0], ends[1][0]))
    return tuple(found), tuple(faults)


def _is_bow(taper: ShapeRead, key: ReadingKey) -> bool:
    row, limit = key.table.phrasing, key.table.tolerance.width
    sized = abs(taper.width - row.thick) <= limit and abs(taper.bulge - row.tip) <= limit
    return sized and min(y for _, y in taper.ends) > LINES - 1


def _ends_at(
    x: float, way: int, frames: Sequence[FrameRead], edge: float, key: ReadingKey
) -> list[int | None]:
    """The frame at which a bow ends; None where it is open there, nothing where it is neither."""
    if near(x, edge, key):
        return [None]
    axis = x - way * key.table.phrasing.inset
    found: list[int | None] = []
    for number, frame in enumerate(frames):
        if frame.count is not None and near(axis, frame.axis, key):
            found.append(number)
    return found[:1]
