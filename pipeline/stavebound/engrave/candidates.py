"""Candidates: the courses that a line of movement may take between its axes.

In: a way, and where its axes are. Out: its courses, the plainest first, each with how it turns
off the plainest at its start and at its end. A line begins at the edge of its limb's sign and
stops white before the sign of arrival, and points at the middle of either.

         ╭────╮
      ▬ ╯      ╲ ▬       turned up at its start, plain at its end
"""

from __future__ import annotations

from collections.abc import Iterator
from itertools import product
from math import atan2, copysign, cos, hypot, pi, radians, sin
from typing import NamedTuple

from stavebound.drawing.courses import Course, Spot, halved, straight
from stavebound.engrave.ways import Limb, Way
from stavebound.engrave.weight import Part, weight_course
from stavebound.score.model import PathForm
from stavebound.trade.catalogue import Catalogue
from stavebound.trade.movement import WayLine

# Spots that part by less are one.
ROUNDING = 1e-6
# Controls of a curve are so far along its halves that it is round.
CONTROL = 1 / 3
Turns = tuple[int, int]
PLAIN: Turns = (0, 0)


class Candidate(NamedTuple):
    """A course, and how many steps up or down it turns at its start and at its end; `bend` is how
    much it does so in all."""

    course: Course
    turns: Turns = PLAIN
    bend: int = 0


def candidates(
    way: Way, axes: Spot, within: Spot, behind: float, catalogue: Catalogue
) -> Iterator[Candidate]:
    """`within` are the edges between which its middle stays."""
    if row := catalogue.moves.transfer.get(way.kind):
        ends = _under_feet(way, axes, behind)
        for bend, lane in enumerate((row, row.lowered(catalogue.moves.weight.deeper))):
            yield Candidate(weight_course(way.kind, lane, *ends, way.part), bend=bend)
        return
    table = catalogue.moves.way
    start, end = _at(way.start, axes[0]), _at(way.end, axes[1])
    if way.part is Part.LEAVING:
        yield from _out(start, end, table)
    elif way.via:
        x = (axes[0] + axes[1]) / 2 + way.via[0]
        middle = min(max(x, within[0]), within[1]), way.via[1]
        yield from _by(start, middle, end, way.part, table)
    elif way.path in (PathForm.OVER, PathForm.UNDER):
        for middle in _middles(start, end, table.sag[way.path], way.part, table):
            yield from _by(start, middle, end, way.part, table)
    elif way.part is Part.COMING:
        yield from _in(start, end, table)
    else:
        yield Candidate(_straight(start, end, table))


def _under_feet(way: Way, axes: Spot, behind: float) -> tuple[float, Spot]:
    """Where a line of weight begins across, and where it ends."""
    first, last = axes[0] + way.start.x, axes[1] + way.end.x
    trim = copysign(way.trim, last - first)
    if way.part is not Part.LEAVING and way.subject.side is None:
        last -= trim
    if way.part is Part.COMING:
        return first, (last, way.end.y)
    return max(first, behind) + trim if trim > 0 else first + trim, (last, way.end.y)


def _at(limb: Limb, axis: float) -> Limb:
    return limb._replace(x=limb.x + axis)


def _middles(start: Limb, end: Limb, sag: float, part: Part, table: WayLine) -> Iterator[Spot]:
    """Where a line over or under has its middle; one that comes from an edge is there over both
    its ends, or under them."""
    x = (start.x + end.x) / 2
    if part is Part.COMING:
        most = max if sag > 0 else min
        yield x, most(start.y, end.y) + copysign(table.edge["over"], sag)
        return
    for depth in table.depths:
        yield x, (start.y + end.y) / 2 + depth * sag


def _straight(start: Limb, end: Limb, table: WayLine) -> Course:
    angle = atan2(end.y - start.y, end.x - start.x)
    return straight(_from(start, angle, table), _to(end, angle, table))


def _from(limb: Limb, angle: float, table: WayLine) -> Spot:
    """At the edge of a limb's sign, in the direction of the angle."""
    reach = _reach(limb, angle) + (table.white["start"] if limb.across else 0.0)
    return limb.x + reach * cos(angle), limb.y + reach * sin(angle)


def _to(limb: Limb, angle: float, table: WayLine) -> Spot:
    """White before a limb's sign, come to by the angle."""
    reach = _reach(limb, angle) + (table.white["end"] if limb.across else 0.0)
    return limb.x - reach * cos(angle), limb.y - reach * sin(angle)


def _reach(limb: Limb, angle: float) -> float:
    """From the middle of a sign to its edge."""
    if not limb.across:
        return 0.0
    along, up = abs(cos(angle)) / limb.across, abs(sin(angle)) / limb.up
    return 1 / max(along, up)


def _by(start: Limb, middle: Spot, end: Limb, part: Part, table: WayLine) -> Iterator[Candidate]:
    """By a middle, in which it goes as from start to end; the plainest is a parabola."""
    heading = atan2(end.y - start.y, end.x - start.x)
    corner = 2 * middle[0] - (start.x + end.x) / 2, 2 * middle[1] - (start.y + end.y) / 2
    out = 0.0 if part is Part.COMING else _angle((start.x, start.y), corner, middle)
    into = _angle(corner, (end.x, end.y), middle, back=True)
    firsts = (0,) if part is Part.COMING else table.turns
    for one, other in sorted(product(firsts, table.turns), key=_bend):
        angles = _turned(out, one, table), heading, _turned(into, -other, table)
        course = _through(start, middle, end, angles, table)
        yield Candidate(course, (one, other), _bend((one, other)))


def _bend(turns: Turns) -> int:
    return abs(turns[0]) + abs(turns[1])


def _angle(a: Spot, b: Spot, instead: Spot, back: bool = False) -> float:
    """From a to b; by way of another spot where these are one."""
    if hypot(b[0] - a[0], b[1] - a[1]) < ROUNDING:
        a, b = (instead, b) if back else (a, instead)
    return atan2(b[1] - a[1], b[0] - a[0])


def _turned(angle: float, steps: int, table: WayLine) -> float:
    """So many steps up, whichever way the line goes."""
    up = steps if abs(angle) <= pi / 2 else -steps
    return angle + radians(up * table.turn)


def _through(
    start: Limb, middle: Spot, end: Limb, angles: tuple[float, float, float], table: WayLine
) -> Course:
    out, heading, into = angles
    first, last = _from(start, out, table), _to(end, into, table)
    one = CONTROL * hypot(middle[0] - first[0], middle[1] - first[1])
    other = CONTROL * hypot(last[0] - middle[0], last[1] - middle[1])
    return Course(
        first,
        (first[0] + one * cos(out), first[1] + one * sin(out)),
        (middle[0] - one * cos(heading), middle[1] - one * sin(heading)),
        middle,
        (middle[0] + other * cos(heading), middle[1] + other * sin(heading)),
        (last[0] - other * cos(into), last[1] - other * sin(into)),
        last,
    )


def _out(start: Limb, end: Limb, table: WayLine) -> Iterator[Candidate]:
    """To the edge of a line of the score, which it comes to level."""
    corner = (start.x + end.x) / 2, end.y
    plain = atan2(corner[1] - start.y, corner[0] - start.x)
    for turn in table.turns:
        angle = _turned(plain, turn, table)
        yield Candidate(_eased(start, end, (angle, 0.0), table), (turn, 0), abs(turn))


def _in(start: Limb, end: Limb, table: WayLine) -> Iterator[Candidate]:
    """From the edge of a line of the score, which it leaves level."""
    corner = (start.x + end.x) / 2, start.y
    plain = atan2(end.y - corner[1], end.x - corner[0])
    for turn in table.turns:
        angle = _turned(plain, -turn, table)
        yield Candidate(_eased(start, end, (0.0, angle), table), (0, turn), abs(turn))


def _eased(start: Limb, end: Limb, angles: tuple[float, float], table: WayLine) -> Course:
    out, into = angles
    first, last = _from(start, out, table), _to(end, into, table)
    far = min(hypot(last[0] - first[0], last[1] - first[1]) * CONTROL, table.edge["ease"])
    one = first[0] + far * cos(out), first[1] + far * sin(out)
    other = last[0] - far * cos(into), last[1] - far * sin(into)
    return halved(first, one, other, last)
