"""Courses: a line of movement from its start by its middle to its end, two cubics in a row.

In: seven points, x and y in whatever unit the caller counts in, y upwards. Out: spots along
them, halves of them, and the closed outline of a line that is so thick at start, middle and
end. An outline is six cubics: one side out, the end, the other side back, the start.

           c ·        · c
      c ·      ╭──m──╮      · c
          ╭────╯     ╰────╮
          s               e
"""

from __future__ import annotations

from collections.abc import Iterable
from itertools import pairwise
from math import hypot
from typing import NamedTuple

from stavebound.drawing.figures import Figure
from stavebound.geometry import Point

Spot = tuple[float, float]
Widths = tuple[float, float, float]
# Each half of a course is looked at in so many pieces.
PIECES = 6
# What the points of a cubic weigh at the end of each piece.
WEIGHTS = tuple(
    ((1 - t) ** 3, 3 * t * (1 - t) ** 2, 3 * t * t * (1 - t), t**3)
    for t in (piece / PIECES for piece in range(1, PIECES + 1))
)
# Where two cubics meet in a point, their sides are drawn on no further than by this cosine.
SHARPEST = 0.35


# A start, two controls, and an end.
Half = tuple[Spot, Spot, Spot, Spot]


class Course(NamedTuple):
    """Start, two controls, middle, two controls, end."""

    start: Spot
    leaving: Spot
    nearing: Spot
    middle: Spot
    parting: Spot
    arriving: Spot
    end: Spot

    @property
    def halves(self) -> tuple[Half, Half]:
        """From start to middle, and from there to the end."""
        return self[:4], self[3:]


def straight(start: Spot, end: Spot) -> Course:
    """A course without any bend."""
    (x1, y1), (x2, y2) = start, end
    return Course(*[(x1 + (x2 - x1) * at / 6, y1 + (y2 - y1) * at / 6) for at in range(7)])


def halved(start: Spot, one: Spot, other: Spot, end: Spot) -> Course:
    """A cubic, cut in its middle."""
    a, b, c = _between(start, one), _between(one, other), _between(other, end)
    d, e = _between(a, b), _between(b, c)
    return Course(start, a, d, _between(d, e), e, c, end)


def _between(a: Spot, b: Spot) -> Spot:
    return (a[0] + b[0]) / 2, (a[1] + b[1]) / 2


def along(half: Half) -> tuple[Spot, ...]:
    """Spots from start to end."""
    (x1, y1), (x2, y2), (x3, y3), (x4, y4) = half
    spots = [
        (a * x1 + b * x2 + c * x3 + d * x4, a * y1 + b * y2 + c * y3 + d * y4)
        for a, b, c, d in WEIGHTS
    ]
    return half[0], *spots


def ribbon(course: Course, widths: Widths) -> Figure:
    """The outline of a line along a course. ZeroDivisionError where two of its points are one."""
    across = _across(course, widths)
    left = _side(course, across, 1)
    right = _side(course, across, -1)[::-1]
    points = (*left, *_thirds(left[-1], right[0]), *right, *_thirds(right[-1], left[0]), left[0])
    return Figure(tuple([Point(*point) for point in points]), curved=True)


def _across(course: Course, widths: Widths) -> tuple[Spot, Spot, Spot]:
    """From start, middle and end to the left edge of the line."""
    begin, end = _normal(*course[0:2]), _normal(*course[5:7])
    into, out = _normal(*course[2:4]), _normal(*course[3:5])
    x, y = into[0] + out[0], into[1] + out[1]
    length = hypot(x, y)
    x, y = x / length, y / length
    sharp = max(x * into[0] + y * into[1], SHARPEST)
    one, two, three = (width / 2 for width in widths)
    return (
        (begin[0] * one, begin[1] * one),
        (x * two / sharp, y * two / sharp),
        (end[0] * three, end[1] * three),
    )


def _normal(a: Spot, b: Spot) -> Spot:
    dx, dy = b[0] - a[0], b[1] - a[1]
    length = hypot(dx, dy)
    return -dy / length, dx / length


def _side(course: Course, across: Iterable[Spot], way: int) -> list[Spot]:
    """Each cubic moved to the side: its legs go where they went, and are as much longer or
    shorter as the outer or the inner side of a bend is."""
    shifts = [(dx * way, dy * way) for dx, dy in across]
    found: list[Spot] = [_moved(course.start, shifts[0])]
    for (a, b, c, d), (one, other) in zip(course.halves, pairwise(shifts), strict=True):
        before, after = hypot(*one) * way, hypot(*other) * way
        found += (
            _drawn_out(a, b, c, one, (2 * before + after) / 3),
            _drawn_out(d, c, b, other, -(before + 2 * after) / 3),
            _moved(d, other),
        )
    return found


def _drawn_out(a: Spot, b: Spot, c: Spot, shift: Spot, thick: float) -> Spot:
    """Where the leg from a to b ends, once it and the next, to c, are moved to the left so far."""
    long = hypot(b[0] - a[0], b[1] - a[1])
    share = max(long + _longer(a, b, c, thick), 0.0) / long
    return a[0] + shift[0] + (b[0] - a[0]) * share, a[1] + shift[1] + (b[1] - a[1]) * share


def _longer(a: Spot, b: Spot, c: Spot, thick: float) -> float:
    """How much longer the leg from a to b is, so far to the left of it and of the next, to c."""
    (nx, ny), (ox, oy) = _normal(a, b), _normal(b, c)
    return thick * (ny * ox - nx * oy) / max(1 + nx * ox + ny * oy, SHARPEST)


def inner_leg(half: Half, width: float) -> float:
    """How long the shorter leg of a half is on its inner side, below nought where a line so thick
    can't be bent so."""
    a, b, c, d = half
    legs = ((a, b, c), (d, c, b))
    return min(
        hypot(q[0] - p[0], q[1] - p[1]) - abs(_longer(p, q, r, width / 2)) for p, q, r in legs
    )


def _moved(spot: Spot, by: Spot) -> Spot:
    return spot[0] + by[0], spot[1] + by[1]


def _thirds(a: Spot, b: Spot) -> tuple[Spot, Spot]:
    """The controls of a straight line."""
    dx, dy = (b[0] - a[0]) / 3, (b[1] - a[1]) / 3
    return (a[0] + dx, a[1] + dy), (b[0] - dx, b[1] - dy)
