"""Springs: what the small marks under a spring and over it say.

In: the line of a spring, and all such marks that are found. Out: those of this line, the first
of a row first, and which foot is in front at a beat. The marks of a row stand evenly at the middle
of the line, or from the edge on from which it comes; where any other stands there, none of them is
of this line.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator

from stavebound.readback.claims import ReadingKey
from stavebound.readback.values import ShapeRead, SignRead, WayRead
from stavebound.score.model import Flight, Legs, Side, Size

BEAT = "beat"
AIR = frozenset(
    name
    for flight in (*[Flight(legs=legs) for legs in Legs], *[Flight(size=size) for size in Size])
    for name in flight.names
)
# Both a line and its marks are rounded.
SLACK = 2


def marks_of(
    line: ShapeRead, way: WayRead, marks: Iterable[SignRead], key: ReadingKey
) -> tuple[SignRead, ...]:
    """All of this line, beats first."""
    every = tuple(marks)
    rows = {"beats": {BEAT}, "air": AIR}
    return tuple(
        mark
        for row, names in rows.items()
        for mark in _row(line, way, [one for one in every if one.name in names], row, key)
    )


def _row(
    line: ShapeRead, way: WayRead, marks: list[SignRead], row: str, key: ReadingKey
) -> Iterator[SignRead]:
    table, near = key.table.ways.marks[row], key.table.tolerance.place * SLACK
    left, right = sorted(x for x, _ in line.ends)
    own = sorted((mark for mark in marks if left <= mark.x <= right), key=lambda mark: mark.x)
    first = line.middle[0] - table["apart"] * (len(own) - 1) / 2
    if way.at_edge:
        first = line.ends[0][0] + table["edge"]
    y = table["y"] + (table["over"] if len(own) > 1 else 0.0)
    places = (first + at * table["apart"] for at in range(len(own)))
    if all(
        abs(mark.x - x) <= near and abs(mark.y - y) <= near
        for mark, x in zip(own, places, strict=True)
    ):
        yield from own


def front_foot(mark: SignRead) -> Side:
    """The dot is the foot behind, on its own side."""
    return Side.LEFT if mark.turned > 0 else Side.RIGHT


def flight_of(way: WayRead) -> Flight:
    """What a line says of its spring, without its beats."""
    said = [_said(name) for name in way.air]
    return Flight(
        legs=next((one.legs for one in said if one.legs), None),
        size=next((one.size for one in said if one.size), None),
    )


def _said(name: str) -> Flight:
    found = [Flight(legs=legs) for legs in Legs] + [Flight(size=size) for size in Size]
    return next(flight for flight in found if flight.names == (name,))
