"""Breaks: a line of movement that goes over the end of a line of the score is drawn as two.

In: ways, and the edges of their lines. Out: the part that leaves the line before, the part
that comes into the next, and the room that each needs. Both meet their edges at one height,
halfway to where the limb goes or what it passes; the right limb's goes over the left one's. The
first is level there, and the second has the whole form; what goes straight is so in both.

         ▬──____                │  ╭──▬
       ═════════│               │ ╯
       leaves at its edge       comes from its edge
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import replace

from stavebound.engrave.ways import Limb, Way
from stavebound.engrave.weight import Part
from stavebound.score.model import PathForm
from stavebound.trade.movement import WayLine


def coming(way: Way, edge: float, table: WayLine) -> tuple[Way, float]:
    """The part after the break, and the axis to measure its start from."""
    start = Limb(0.0, way.breaks)
    return replace(way, start=start, part=Part.COMING), edge + table.edge["inset"]


def leaving(way: Way, edge: float, table: WayLine) -> tuple[Way, float]:
    """The part before the break, and the axis to measure its end from."""
    end = Limb(0.0, way.breaks)
    path = PathForm.STRAIGHT if way.straight else None
    part = replace(way, end=end, via=None, path=path, bow=None, part=Part.LEAVING)
    return part, edge - table.edge["inset"]


def room_before(ways: Iterable[Way], table: WayLine) -> float:
    """How far the axis of these ways stays from the edge, for what comes to be seen."""
    begin = table.edge["inset"] + table.edge["run"]
    past = table.edge["past"]
    rooms = (begin + 2 * way.trim - way.end.x + (past if way.via else 0.0) for way in ways)
    return max(rooms, default=0.0)


def room_after(ways: Iterable[Way], table: WayLine) -> float:
    """How far the axis from which these ways go stays from the edge."""
    edge = table.edge
    rooms = (way.start.x + way.trim + edge["run"] + edge["inset"] for way in ways)
    return max(rooms, default=0.0)
