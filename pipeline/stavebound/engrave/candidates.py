"""Candidates: the courses that a line of movement may take between its axes.

In: a way, and where its axes are. Out: its courses, the plainest first, each with how it turns
off the plainest at its start and at its end. A line begins at the edge of its limb's sign and
stops white before the sign of arrival, and points at the middle of either.

         ╭────╮
      ▬ ╯      ╲ ▬       turned up at its start, plain at its end
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from functools import cache
from itertools import islice, product
from math import atan2, copysign, cos, hypot, pi, radians, sin
from typing import NamedTuple

from stavebound.drawing.courses import Course, Half, Spot, halved, straight
from stavebound.engrave.ways import Limb, Way
from stavebound.engrave.weight import Part, weight_course
from stavebound.remembering import remembered
from stavebound.score.model import PathForm
from stavebound.trade.catalogue import Catalogue
from stavebound.trade.movement import WayLine

# Spots that part by less are one.
ROUNDING = 1e-6
# Controls of a curve are so far along its halves that it is round.
CONTROL = 1 / 3
# How many orders of turns are remembered.
ORDERS = 16
# Whether a line passes its place there, over or under it, by whether another passes it abreast.
ABREAST = {False: (0,), True: (0, 1, -1)}
# Which of its middles a line goes by, and how many steps up it turns at its start and at its end;
# or that it begins or ends over the middle of its sign, or under it, and turns by a step then.
Turns = tuple[int, int, int]
PLAIN: Turns = (0, 0, 0)
OVER, UNDER = 10, -10
# A turn is worth so many steps more than beginning or ending over a sign.
TURNING = 3


class Candidate(NamedTuple):
    """Both halves of a course, and how it turns off the plainest; `bend` is how much it does so
    in all."""

    halves: tuple[Half, Half]
    turns: Turns = PLAIN
    bend: float = 0

    @property
    def course(self) -> Course:
        first, second = self.halves
        return Course(*first, *second[1:])


def candidates(
    way: Way, axes: Spot, within: Spot, behind: float, abreast: bool, catalogue: Catalogue
) -> Iterator[Candidate]:
    """`within` are the edges between which its middle stays; `abreast`: another limb passes its
    place beside this one, and their lines may pass it one over the other."""
    if row := catalogue.moves.transfer.get(way.kind):
        ends = _under_feet(way, axes, behind)
        for lane in way.lanes:
            form = row.lowered(lane * catalogue.moves.weight.deeper)
            yield Candidate(weight_course(way.kind, form, *ends, way.part).halves, bend=lane)
        return
    table = catalogue.moves.way
    start, end = _levelled(_at(way.start, axes[0]), _at(way.end, axes[1]), way, table)
    if way.part is Part.LEAVING:
        yield from _out(start, end, way.path is PathForm.STRAIGHT, table)
    elif way.via:
        x = _passed(way.via, start, end, sum(axes) / 2, within, way.part)
        apart = table.abreast["apart"] if abreast else 0.0
        middles = {depth: (x, way.via[1] + depth * apart) for depth in ABREAST[abreast]}
        yield from _by(start, middles, end, way.part, table)
    elif way.path in (PathForm.OVER, PathForm.UNDER):
        middles = dict(enumerate(_middles(start, end, way, table)))
        yield from _by(start, middles, end, way.part, table)
    elif way.part is Part.COMING:
        yield from _in(start, end, table)
    else:
        yield from _nearly_straight(start, end, table)
        middle = (start.x + end.x) / 2, (start.y + end.y) / 2
        yield from islice(_by(start, {0: middle}, end, way.part, table), 1, None)


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


def _levelled(start: Limb, end: Limb, way: Way, table: WayLine) -> tuple[Limb, Limb]:
    """Both ends at one height, that of the place between them, where they are nearly so; not those
    over or under which a line may stand."""
    if way.part is not Part.WHOLE or start.apart or end.apart or not (way.via or way.straight):
        return start, end
    level = way.via[1] if way.via else (start.y + end.y) / 2
    if max(abs(start.y - level), abs(end.y - level)) > table.low["level"]:
        return start, end
    return start._replace(y=level), end._replace(y=level)


def _passed(via: Spot, start: Limb, end: Limb, between: float, within: Spot, part: Part) -> float:
    """Where a line passes its place; one that comes from an edge does so halfway."""
    if part is Part.COMING:
        return (start.x + end.x) / 2
    return min(max(between + via[0], within[0]), within[1])


def _middles(start: Limb, end: Limb, way: Way, table: WayLine) -> Iterator[Spot]:
    """Where a line over or under has its middle, not among the counts; one that comes from an
    edge is there over both its ends, or under them."""
    x, sag = (start.x + end.x) / 2, table.sag[way.path] if way.path else 0.0
    highest = max(table.counts["from"], max(start.y, end.y) + table.counts["rise"])
    if way.part is Part.COMING:
        most = max if sag > 0 else min
        y = most(start.y, end.y) + copysign(table.edge["over"], sag)
        yield x, min(y, highest)
        return
    for depth in way.depths:
        yield x, min((start.y + end.y) / 2 + depth * sag, highest)


def _nearly_straight(start: Limb, end: Limb, table: WayLine) -> Iterator[Candidate]:
    """From sign to sign without any bend, or bowed so little that it is no form of its own; not so
    near to the counts that lines over it are no higher."""
    x, y = (start.x + end.x) / 2, (start.y + end.y) / 2
    length = hypot(end.x - start.x, end.y - start.y)
    rise = min(table.bowed["step"], table.bowed["share"] * length)
    lowest = table.counts["from"] - table.bowed["under"]
    bows = [each for each in (0, *table.bows) if y + each * rise < lowest]
    ends = product(_tips(start, "start", table), _tips(end, "end", table))
    tried = sorted(product(bows, ends), key=lambda each: abs(each[0]) + _tipped(each[1]))
    for steps, (one, other) in tried:
        middle = x, y + steps * rise
        (a, first), (b, last) = one, other
        angles = _bent((first.x, first.y), middle, (last.x, last.y))
        if not steps:
            angles = (atan2(last.y - first.y, last.x - first.x),) * 3
        if _is_free(a, angles[0], start, table) and _is_free(b, angles[2] + pi, end, table):
            course = (
                _bowed(first, middle, last, angles, table)
                if steps
                else _straight(first, last, table)
            )
            yield Candidate(course, (0, a, b), abs(steps) + _tipped((one, other)))


def _bowed(
    start: Limb, middle: Spot, end: Limb, angles: tuple[float, float, float], table: WayLine
) -> tuple[Half, Half]:
    out, heading, into = angles
    first = _cubic(_from(start, out, table), out, middle, heading, table)
    return first, _cubic(middle, heading, _to(end, into, table), into, table)


Tip = tuple[int, Limb]


def _tips(limb: Limb, white: str, table: WayLine) -> tuple[Tip, ...]:
    """The middle of a sign, at which a line points, and the spots over and under that of a hand
    or a standing foot, white apart, in which it may begin or end as well."""
    if not limb.apart:
        return ((0, limb),)
    away = limb.up + table.white[white]
    over, under = (limb._replace(y=limb.y + y, across=0.0) for y in (away, -away))
    return (0, limb), (OVER, over), (UNDER, under)


def _tipped(tips: Iterable[Tip]) -> int:
    return sum([bool(tip) for tip, _ in tips])


def _is_free(tip: int, angle: float, limb: Limb, table: WayLine) -> bool:
    """Whether a line that leaves the spot over a sign, or under it, in this direction is clear of
    the sign."""
    drop = -copysign(1, tip) * sin(angle)
    return not tip or drop * limb.across <= table.white["start"] / 2 * abs(cos(angle))


def _straight(start: Limb, end: Limb, table: WayLine) -> tuple[Half, Half]:
    angle = atan2(end.y - start.y, end.x - start.x)
    return straight(_from(start, angle, table), _to(end, angle, table)).halves


def _from(limb: Limb, angle: float, table: WayLine) -> Spot:
    """At the edge of a limb's sign, in the direction of the angle."""
    reach = _reach(limb, angle, 1) + (table.white["start"] if limb.across else 0.0)
    return limb.x + reach * cos(angle), limb.y + reach * sin(angle)


def _to(limb: Limb, angle: float, table: WayLine) -> Spot:
    """White before a limb's sign, come to by the angle."""
    reach = _reach(limb, angle, -1) + (table.white["end"] if limb.across else 0.0)
    return limb.x - reach * cos(angle), limb.y - reach * sin(angle)


def _reach(limb: Limb, angle: float, way: int) -> float:
    """From the middle of a sign to its edge, towards the angle, or away from it below nought."""
    if not limb.across:
        return 0.0
    across, high = limb.reaches(way * cos(angle))
    along, up = abs(cos(angle)) / across, abs(sin(angle)) / high
    return 1 / max(along, up)


def _by(
    start: Limb, middles: Mapping[int, Spot], end: Limb, part: Part, table: WayLine
) -> Iterator[Candidate]:
    """By a middle; the plainest is a parabola, and those by the first middle come first."""
    starts, ends = dict(_tips(start, "start", table)), dict(_tips(end, "end", table))

    @cache
    def bent(at: int, one: int, other: int) -> tuple[float, float, float]:
        first, last = starts[one], ends[other]
        return _bent((first.x, first.y), middles[at], (last.x, last.y))

    @cache
    def first(at: int, turn: int, tips: tuple[int, int]) -> Half:
        out, heading, _ = bent(at, *tips)
        out = _turned(out, turn, table)
        half = _cubic(_from(starts[tips[0]], out, table), out, middles[at], heading, table)
        return _near(half, table) if turn else half

    @cache
    def second(at: int, turn: int, tips: tuple[int, int]) -> Half:
        _, heading, into = bent(at, *tips)
        into = _turned(into, -turn, table)
        half = _cubic(middles[at], heading, _to(ends[tips[1]], into, table), into, table)
        return _near(half[::-1], table)[::-1] if turn else half

    for turns in _orders(tuple(middles), (*starts,), (*ends,), part is Part.COMING, table.turns):
        at = turns[0]
        tips = _tip(turns[1]), _tip(turns[2])
        out, _, into = bent(at, *tips)
        one, other = turns[1] - tips[0], turns[2] - tips[1]
        out, into = _turned(out, one, table), _turned(into, -other, table)
        if _is_free(tips[0], out, start, table) and _is_free(tips[1], into + pi, end, table):
            yield Candidate((first(at, one, tips), second(at, other, tips)), turns, _bend(turns))


@remembered(ORDERS)
def _orders(
    middles: tuple[int, ...],
    starts: tuple[int, ...],
    ends: tuple[int, ...],
    by_edge: bool,
    turns: tuple[int, ...],
) -> tuple[Turns, ...]:
    """All turns, the least first; where a line comes from an edge, none at its start."""
    ones = (0,) if by_edge else (*_away(starts), *turns)
    others = *_away(ends), *turns
    return tuple(sorted({*product(middles, ones, others)}, key=lambda each: (_bend(each), each)))


def _away(tips: Iterable[int]) -> Iterator[int]:
    """Spots over and under a sign, and the same with a step of turning away from it."""
    for tip in tips:
        yield tip
        if tip:
            yield tip + (1 if tip > 0 else -1)


def _bend(turns: Turns) -> int:
    at, *ends = turns
    return min(abs(at), 1) + sum([_worth(each) for each in ends])


def _worth(turn: int) -> int:
    tip = _tip(turn)
    return bool(tip) + (abs(turn - tip) + TURNING if turn != tip else 0)


def is_tip(turn: int) -> bool:
    """Whether a line begins or ends over its sign, or under it."""
    return bool(_tip(turn))


def _tip(turn: int) -> int:
    """Whether a line is over its sign there, or under it."""
    return 0 if abs(turn) < OVER else OVER if turn > 0 else UNDER


def _bent(start: Spot, middle: Spot, end: Spot) -> tuple[float, float, float]:
    """The angles of a parabola at its start, in its middle and at its end: it is as long in
    either half as that is far."""
    before, after = hypot(*_apart(start, middle)), hypot(*_apart(middle, end))
    if before < ROUNDING or after < ROUNDING:
        angle = _angle(start, end, end)
        return angle, angle, angle
    t = before / (before + after)
    weights = (1 - t) ** 2, t**2, 2 * t * (1 - t)
    x, y = (
        (at - weights[0] * one - weights[1] * other) / weights[2]
        for one, at, other in zip(start, middle, end, strict=True)
    )
    (ax, ay), (bx, by) = _apart(start, (x, y)), _apart((x, y), end)
    heading = atan2((1 - t) * ay + t * by, (1 - t) * ax + t * bx)
    out = _angle(start, (x, y), middle)
    return out, heading, _angle((x, y), end, middle, back=True)


def _apart(a: Spot, b: Spot) -> Spot:
    return b[0] - a[0], b[1] - a[1]


def _angle(a: Spot, b: Spot, instead: Spot, back: bool = False) -> float:
    """From a to b; by way of another spot where these are one."""
    if hypot(b[0] - a[0], b[1] - a[1]) < ROUNDING:
        a, b = (instead, b) if back else (a, instead)
    return atan2(b[1] - a[1], b[0] - a[0])


def _turned(angle: float, steps: int, table: WayLine) -> float:
    """So many steps up, whichever way the line goes."""
    up = steps if abs(angle) <= pi / 2 else -steps
    return angle + radians(up * table.turn)


def _cubic(a: Spot, out: float, b: Spot, into: float, table: WayLine) -> Half:
    """From a in the direction of one angle to b in that of the other."""
    far = CONTROL * hypot(b[0] - a[0], b[1] - a[1])
    return a, _control(a, out, far, table), _control(b, into + pi, far, table), b


def _control(spot: Spot, angle: float, far: float, table: WayLine) -> Spot:
    """So far from a spot, or less where that would be near the counts: no curve is higher than
    all its controls and ends."""
    (x, y), steep = spot, sin(angle)
    if steep > 0:
        far = min(far, max((table.counts["from"] - y) / steep, table.counts["least"]))
    return x + far * cos(angle), y + far * steep


def _near(half: Half, table: WayLine) -> Half:
    """The half with a control that is no farther from its start than a turn reaches."""
    (x, y), (x1, y1), nearing, end = half
    share = min(1.0, table.reach / hypot(x1 - x, y1 - y))
    return (x, y), (x + share * (x1 - x), y + share * (y1 - y)), nearing, end


def _out(start: Limb, end: Limb, plain: bool, table: WayLine) -> Iterator[Candidate]:
    """To the edge of a line of the score, straight if it is `plain`, or coming to it level."""
    if plain:
        yield Candidate(_straight(start, end, table))
    for turn, (tip, limb) in product(table.eased, _tips(start, "start", table)):
        corner = (limb.x + end.x) / 2, end.y
        angle = _turned(atan2(corner[1] - limb.y, corner[0] - limb.x), turn, table)
        if _is_free(tip, angle, start, table):
            course = _eased(limb, end, (angle, 0.0), table)
            yield Candidate(course.halves, (0, tip or turn, 0), abs(turn) + bool(tip) + plain)


def _in(start: Limb, end: Limb, table: WayLine) -> Iterator[Candidate]:
    """From the edge of a line of the score, straight, or leaving it level; none is so far over both
    its ends, or under them, that it would be one that goes over or under."""
    yield Candidate(_straight(start, end, table))
    low, high = sorted((start.y, end.y))
    most = table.edge["over"] / 2
    for turn, (tip, limb) in product(table.eased, _tips(end, "end", table)):
        corner = (start.x + limb.x) / 2, start.y
        angle = _turned(atan2(limb.y - corner[1], limb.x - corner[0]), -turn, table)
        course = _eased(start, limb, (0.0, angle), table)
        level = low - most <= course.middle[1] <= high + most
        if (level or not turn) and _is_free(tip, angle + pi, end, table):
            yield Candidate(course.halves, (0, 0, tip or turn), abs(turn) + bool(tip) + 1)


def _eased(start: Limb, end: Limb, angles: tuple[float, float], table: WayLine) -> Course:
    out, into = angles
    first, last = _from(start, out, table), _to(end, into, table)
    far = min(hypot(last[0] - first[0], last[1] - first[1]) * CONTROL, table.edge["ease"])
    one, other = _control(first, out, far, table), _control(last, into + pi, far, table)
    return halved(first, one, other, last)
