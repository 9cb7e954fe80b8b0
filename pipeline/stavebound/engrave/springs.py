"""Springs: the small marks of what is done in the air, at the point of their lines.

In: a line of a spring with its beats and what else is said of it. Out: its marks, and the room
that they ask for. Under the point stand the beats, each a small fifth that shows the foot in front;
over it how the legs are held and how high it goes. Where the line comes from the edge of a line of
the score, all of them stand there, and none before it.

          ┴
    ─────╱╲─────
        ▬• •▬        the right foot behind, then the left one
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator
from typing import NamedTuple

from stavebound.drawing.courses import Course
from stavebound.drawing.figures import Figure
from stavebound.engrave.outline import outline, sign_box
from stavebound.engrave.ways import Way
from stavebound.engrave.weight import Part
from stavebound.score.model import Side
from stavebound.trade.catalogue import Catalogue
from stavebound.trade.movement import SpringMarks

BEAT_SIGN = "beat"
# How far what reaches down to a height reaches to the left and to the right of its axis.
Reach = Callable[[float], tuple[float, float]]


class _Marks(NamedTuple):
    """Signs of one row in their order, and whether each is turned over."""

    row: SpringMarks
    signs: tuple[tuple[str, bool], ...]

    def half(self, catalogue: Catalogue) -> float:
        """Half as wide as the widest of them."""
        return max([sign_box(catalogue.sign(name)).width for name, _ in self.signs]) / 2

    @property
    def y(self) -> float:
        """The height of their middles."""
        return self.row.y + (self.row.over if len(self.signs) > 1 else 0.0)

    @property
    def long(self) -> float:
        """From the middle of the first to that of the last."""
        return self.row.apart * (len(self.signs) - 1)


def spring_marks(way: Way, course: Course, catalogue: Catalogue) -> Iterator[Figure]:
    """With the middle of each row at the point, or the first sign of it behind the edge."""
    for marks in _rows(way, catalogue):
        row, first = marks.row, course.middle[0] - marks.long / 2
        if way.part is Part.COMING:
            first = course.start[0] + row.edge
        for at, (name, mirrored) in enumerate(marks.signs):
            for figure in outline(catalogue.sign(name), mirrored):
                yield figure.moved(first + row.apart * at, marks.y)


def mark_names(way: Way, catalogue: Catalogue) -> tuple[str, ...]:
    return tuple(name for marks in _rows(way, catalogue) for name, _ in marks.signs)


def room_between(way: Way, before: Reach, own: Reach, late: float, catalogue: Catalogue) -> float:
    """How far two axes are apart for the marks of a line between them, which begins so much
    `late` behind the first; nought where it has none."""
    rooms = [
        marks.long
        + 2 * (marks.half(catalogue) + marks.row.white)
        + 2 * max(before(marks.row.beside)[1], own(marks.row.beside)[0] + late / 2)
        for marks in _rows(way, catalogue)
    ]
    return max(rooms, default=0.0)


def room_behind(ways: Iterable[Way], own: Reach, catalogue: Catalogue) -> float:
    """How far from the edge from which lines may come the axis is at which they end; nought where
    none has marks."""
    inset = catalogue.moves.way.edge["inset"]
    rooms = [
        inset
        + marks.row.edge
        + marks.long
        + marks.half(catalogue)
        + marks.row.white
        + own(marks.row.beside)[0]
        for way in ways
        for marks in _rows(way, catalogue)
    ]
    return max(rooms, default=0.0)


def _rows(way: Way, catalogue: Catalogue) -> Iterator[_Marks]:
    """What has signs; a beat's dot, the foot behind, is drawn on the right."""
    if way.beats and way.part is not Part.LEAVING:
        beats = tuple((BEAT_SIGN, front is Side.RIGHT) for front in way.beats)
        yield _Marks(catalogue.moves.beats, beats)
    if way.air and way.part is not Part.LEAVING:
        yield _Marks(catalogue.moves.air, tuple((name, False) for name in way.air))
