"""Beats: what the small marks under a spring say.

In: the line of a spring, and all marks of beats that are found. Out: those of this line, the first
of them first, and which foot is in front at each. They stand evenly under the middle of the line,
or from the edge on from which it comes; where any other stands, none of them is of this line.
"""

from __future__ import annotations

from collections.abc import Iterable

from stavebound.readback.claims import ReadingKey
from stavebound.readback.values import ShapeRead, SignRead
from stavebound.score.model import Side

BEAT = "beat"
# Both a line and its marks are rounded.
SLACK = 2


def beats_under(
    line: ShapeRead, at_edge: bool, marks: Iterable[SignRead], key: ReadingKey
) -> tuple[SignRead, ...]:
    table, near = key.table.ways.beats, key.table.tolerance.place * SLACK
    left, right = sorted(x for x, _ in line.ends)
    own = sorted((mark for mark in marks if left <= mark.x <= right), key=lambda mark: mark.x)
    first = line.middle[0] - table["apart"] * (len(own) - 1) / 2
    if at_edge:
        first = line.ends[0][0] + table["edge"]
    fits = all(
        abs(mark.x - first - at * table["apart"]) <= near and abs(mark.y - table["y"]) <= near
        for at, mark in enumerate(own)
    )
    return tuple(own) if fits else ()


def front_foot(mark: SignRead) -> Side:
    """The dot is the foot behind, on its own side."""
    return Side.LEFT if mark.turned > 0 else Side.RIGHT
