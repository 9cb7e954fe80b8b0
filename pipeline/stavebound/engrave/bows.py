"""Bows: the small stroke or dot beside the middle of a line that bows to the front or behind.

In: a chosen line, the lines beside it, and the boxes of signs. Out: its mark. It stands over the
line, and under it where it has more room there: of two lines that go side by side, the mark of the
upper one rises and that of the lower one hangs.

         ╵
    ▬───────────▬
     ▬───────────▬
          ╷
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from itertools import pairwise
from math import hypot

from stavebound.drawing.courses import Course, Spot
from stavebound.drawing.figures import Figure
from stavebound.engrave.outline import outline
from stavebound.geometry import Box
from stavebound.score.model import Bow
from stavebound.trade.catalogue import Catalogue

# What a bowing line has beside its middle, as a bent part of the body has beside its bow.
BOW_SIGN = {Bow.FRONT: "bow front", Bow.BEHIND: "bow behind"}


def bow_mark(
    bow: Bow,
    course: Course,
    lines: Sequence[tuple[Spot, ...]],
    boxes: Sequence[Box],
    catalogue: Catalogue,
) -> Iterator[Figure]:
    """At a right angle to the middle of a line; `lines` are the spots of all others."""
    table = catalogue.moves.way.bow
    (x, y), (nx, ny) = course.middle, _upwards(course)
    spots = [(x + side * table["rise"] * nx, y + side * table["rise"] * ny) for side in (1, -1)]
    at = max(spots, key=lambda spot: min([table["clear"], *_apart(spot, lines, boxes)]))
    for figure in outline(catalogue.sign(BOW_SIGN[bow])):
        yield figure.moved(*at)


def _upwards(course: Course) -> Spot:
    """At a right angle to the middle of a line, and up."""
    (x1, y1), (x2, y2) = course.nearing, course.parting
    length = hypot(x2 - x1, y2 - y1)
    up = 1 if x2 >= x1 else -1
    return up * (y1 - y2) / length, up * (x2 - x1) / length


def _apart(spot: Spot, lines: Iterable[Iterable[Spot]], boxes: Iterable[Box]) -> Iterator[float]:
    """How far a spot is from each piece of the lines and from each box."""
    x, y = spot
    for line in lines:
        for piece in pairwise(line):
            yield _from_piece(spot, *piece)
    for box in boxes:
        across = max(box.left - x, x - box.right, 0.0)
        yield hypot(across, max(box.bottom - y, y - box.top, 0.0))


def _from_piece(spot: Spot, a: Spot, b: Spot) -> float:
    (x, y), (ax, ay) = spot, a
    dx, dy = b[0] - ax, b[1] - ay
    square = dx * dx + dy * dy
    share = ((x - ax) * dx + (y - ay) * dy) / square if square else 0.0
    share = min(max(share, 0.0), 1.0)
    return hypot(ax + share * dx - x, ay + share * dy - y)
