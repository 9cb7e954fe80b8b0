"""Bows: the small stroke or dot beside the middle of a line that bows to the front or behind.

In: a chosen line, the lines beside it, and the boxes of signs. Out: its mark. It stands over the
middle of the line; where something is too near to it there, it stands under it, farther off it, or
a little along it: so of two lines that go side by side, the mark of the upper one rises and that of
the lower one hangs. A mark by a line of the stave would be read as a hand there, by a sign as
a part of that; behind a line it would no longer belong to its own.

         ╵
    ▬───────────▬
     ▬───────────▬
          ╷
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from itertools import pairwise, product
from math import hypot

from stavebound.drawing.courses import Course, Spot
from stavebound.drawing.figures import Figure
from stavebound.engrave.outline import outline
from stavebound.engrave.way_costs import crossings
from stavebound.geometry import Box
from stavebound.score.model import Bow
from stavebound.trade.catalogue import Catalogue
from stavebound.trade.movement import BowLine

# What a bowing line has beside its middle, as a bent part of the body has beside its bow.
BOW_SIGN = {bow: f"bow {bow}" for bow in Bow}


def bow_mark(
    bow: Bow,
    course: Course,
    lines: Sequence[tuple[Spot, ...]],
    boxes: Sequence[Box],
    catalogue: Catalogue,
) -> Iterator[Figure]:
    """Beside the middle of a line; `lines` are the spots of all others. Of its places the first
    that has most room, of as much as it wants."""
    table = catalogue.moves.way.bow
    away = table.white
    stave = range(len(catalogue.ruling.line))

    def room(place: tuple[Spot, Spot]) -> float:
        foot, spot = place
        if any(crossings(place, line) for line in lines):
            return 0.0
        rooms = [away["sign"], *_from_lines(spot, lines, away), *_from_boxes(spot, boxes)]
        rooms += [abs(spot[1] - line) * away["sign"] / away["stave"] for line in stave]
        low, high = sorted((spot[1], foot[1]))
        parted = any(low < line < high and abs(line - foot[1]) > away["at"] for line in stave)
        return min(away["parted"], *rooms) if parted else min(rooms)

    _, at = max(_places(course, table), key=room)
    for figure in outline(catalogue.sign(BOW_SIGN[bow])):
        yield figure.moved(*at)


def _places(course: Course, table: BowLine) -> Iterator[tuple[Spot, Spot]]:
    """Where it may stand, the best first, each behind its foot by the line."""
    (x, y), (nx, ny) = course.middle, _upwards(course)
    for rise, along, side in product(table.rises, table.along, (1, -1)):
        foot = x + along * ny, y - along * nx
        yield foot, (foot[0] + side * rise * nx, foot[1] + side * rise * ny)


def _upwards(course: Course) -> Spot:
    """At a right angle to the middle of a line, and up."""
    (x1, y1), (x2, y2) = course.nearing, course.parting
    length = hypot(x2 - x1, y2 - y1)
    up = 1 if x2 >= x1 else -1
    return up * (y1 - y2) / length, up * (x2 - x1) / length


def _from_lines(
    spot: Spot, lines: Iterable[Iterable[Spot]], away: Mapping[str, float]
) -> Iterator[float]:
    """How far a spot is from each piece of the lines, by what it wants from lines."""
    for line in lines:
        for piece in pairwise(line):
            yield _from_piece(spot, *piece) * away["sign"] / away["line"]


def _from_boxes(spot: Spot, boxes: Iterable[Box]) -> Iterator[float]:
    x, y = spot
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
