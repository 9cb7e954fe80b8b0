"""Beats: the small marks under a spring's point, one for each time that the legs beat in the air.

In: a line of the spring with its beats. Out: its marks, and the room that they ask for. A mark is
a small fifth, which shows the foot in front. Where the line comes from the edge of a line of the
score, all of them stand there, since what is before the edge is not danced yet.

    ─────╱╲─────
        ▬• •▬        the right foot behind, then the left one
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator

from stavebound.drawing.courses import Course
from stavebound.drawing.figures import Figure
from stavebound.engrave.outline import outline, sign_box
from stavebound.engrave.ways import Way
from stavebound.engrave.weight import Part
from stavebound.score.model import Side
from stavebound.trade.catalogue import Catalogue

BEAT_SIGN = "beat"


def beat_marks(way: Way, course: Course, catalogue: Catalogue) -> Iterator[Figure]:
    """In their order, with the middle of all under the point, or the first behind the edge."""
    row = catalogue.moves.beats
    first = course.middle[0] - row.apart * (len(way.beats) - 1) / 2
    if way.part is Part.COMING:
        first = course.start[0] + row.edge
    for at, front in enumerate(way.beats):
        # The dot, which is the foot behind, is drawn on the right.
        for figure in outline(catalogue.sign(BEAT_SIGN), mirrored=front is Side.RIGHT):
            yield figure.moved(first + row.apart * at, row.y)


def beats_width(way: Way, catalogue: Catalogue) -> float:
    """How wide the marks of a line are with the white on both sides; nought where it has none."""
    if not way.beats:
        return 0.0
    row = catalogue.moves.beats
    ink = sign_box(catalogue.sign(BEAT_SIGN)).width + row.apart * (len(way.beats) - 1)
    return ink + 2 * row.white


def room_beaten(ways: Iterable[Way], left: float, catalogue: Catalogue) -> float:
    """How far from the edge from which lines may come the axis is at which they end, what stands
    there reaching so far to the `left`; nought where none has beats."""
    row, inset = catalogue.moves.beats, catalogue.moves.way.edge["inset"]
    last = inset + row.edge + sign_box(catalogue.sign(BEAT_SIGN)).right + row.white + left
    rooms = [last + row.apart * (len(way.beats) - 1) for way in ways if way.beats]
    return max(rooms, default=0.0)
