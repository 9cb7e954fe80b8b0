"""Widening: how far two frames stand apart, so that the lines of movement between them can pass
all signs.

In: columns in the order of time, and the gaps between them. Out: two columns and the room between
them that their lines ask for. More is asked for only where it helps: lines that come into a sign
at every width are as they are, and cost what they cost.

    ▬ ╲▪╱ ▬             ▬ ─╮     ▪     ╭─ ▬
                             ╰─────────╯
"""

from __future__ import annotations

from collections.abc import Collection, Iterator, Sequence
from fractions import Fraction
from typing import NamedTuple

from stavebound.engrave.choosing import Going, stopped
from stavebound.engrave.clear import Cleared
from stavebound.engrave.columns import Cell, Column
from stavebound.engrave.gather import own_marks
from stavebound.engrave.springs import room_behind, room_between
from stavebound.engrave.style import Setting
from stavebound.engrave.ways import Way
from stavebound.geometry import Box
from stavebound.trade.catalogue import Catalogue


class Room(NamedTuple):
    """Two columns by their numbers, and the room between their axes."""

    first: int
    last: int
    room: float


def asked(
    columns: Sequence[Column],
    rooms: Sequence[tuple[float, float]],
    begun: Collection[Fraction],
    setting: Setting,
) -> Iterator[Room]:
    """What lines of movement ask for beyond the `rooms` of the gaps, each the least and the
    natural; at the moments that are `begun` lines come from a bar line, and ask for nothing."""
    for at in range(len(columns[0].cells)):
        before: int | None = None
        for last, column in enumerate(columns):
            cell = column.cells[at]
            if column.time in begun:
                before = None
            ways = _of_limbs(cell, setting.catalogue)
            yield from _marked(columns, before, last, at, setting)
            if before is not None and ways:
                own = columns[before].cells[at], cell._replace(ways=ways)
                least, natural = (sum(each) for each in zip(*rooms[before:last], strict=True))
                room = _room(*own, least, setting)
                if room > least:
                    yield Room(before, last, room)
                elif least < natural:
                    # What is clear at the least room may not be at more: a bow swings farther.
                    room = _room(*own, natural, setting)
                    if room > natural:
                        yield Room(before, last, room)
            if cell.signs:
                before = last


def _marked(
    columns: Sequence[Column], before: int | None, last: int, at: int, setting: Setting
) -> Iterator[Room]:
    """What the marks of springs ask for. Their point is farther to the right where one begins
    behind other lines of weight; where no sign stands next before it, it may come from an edge."""
    catalogue, cell = setting.catalogue, columns[last].cells[at]
    springs = [way for way in cell.ways if way.beats or way.air]
    if before is not None:
        first = columns[before].cells[at]
        weight = [way for way in first.ways if way.kind in catalogue.moves.transfer]
        late = max([0.0, *[way.end.x for way in weight]])
        for way in springs:
            yield Room(before, last, room_between(way, first.low, cell.low, late, catalogue))
    if springs and last and before != last - 1:
        yield Room(last - 1, last, room_behind(springs, cell.low, catalogue))


def _of_limbs(cell: Cell, catalogue: Catalogue) -> tuple[Way, ...]:
    """The lines of limbs; those of the weight are in lanes of their own."""
    return tuple([way for way in cell.ways if way.kind not in catalogue.moves.transfer])


def _room(before: Cell, cell: Cell, have: float, setting: Setting) -> float:
    """The least of some rooms in which the fewest lines come into a sign; what they have where
    all are clear."""
    catalogue, room = setting.catalogue, setting.catalogue.moves.way.room
    least, best = _stopped(before, cell, have, catalogue), have
    for step in range(1, round(room["most"] / room["step"]) + 1):
        if not least:
            break
        wider = have + step * room["step"]
        found = _stopped(before, cell, wider, catalogue)
        if found < least:
            least, best = found, wider
    return best


def _stopped(before: Cell, cell: Cell, room: float, catalogue: Catalogue) -> int:
    """How many lines between two cells cannot pass what stands there."""
    boxes = (*boxes_at(before, 0.0, catalogue), *boxes_at(cell, room, catalogue))
    going = [going_between(way, before, (0.0, room), cell, catalogue) for way in cell.ways]
    return stopped(going, boxes, catalogue)


def going_between(
    way: Way, before: Cell | None, axes: tuple[float, float], cell: Cell, catalogue: Catalogue
) -> Going:
    """What goes straight comes to its sign as it comes, past that sign's own marks, but not through
    the knee of its leg."""
    if not way.straight:
        return Going(way, axes)
    ends = zip((before, cell), axes, strict=True)
    own = [
        box
        for each, x in ends
        if each
        for cleared in each.signs
        if cleared.cluster.subjects == (way.subject,)
        for box in _boxes(cleared, x, catalogue)[: own_marks(cleared.cluster.inks, catalogue)]
    ]
    return Going(way, axes, tuple(own))


def boxes_at(cell: Cell, x: float, catalogue: Catalogue) -> Iterator[Box]:
    """Those of a cell's signs with the white that lines of movement keep from them."""
    return (box for cleared in cell.signs for box in _boxes(cleared, x, catalogue))


def _boxes(cleared: Cleared, x: float, catalogue: Catalogue) -> list[Box]:
    white = catalogue.moves.way.white["beside"]
    return [box.moved(x, 0.0).grown(white) for box in cleared.boxes]
