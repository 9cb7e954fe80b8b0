"""Figures: closed outlines, and the strokes, discs, rings and curves that are made of them.

In: places, in whatever unit the caller counts in, y upwards. Out: polygons and rings of
cubic curves. All outlines run clockwise and holes the other way, so that where two of
them overlap there is ink.

    a stroke  x1,y1 ════════ x2,y2      width across
"""

from __future__ import annotations

from math import hypot
from typing import NamedTuple

from stavebound.geometry import Point

# The cubic that stands for a quarter circle keeps within 0.03 % of its radius.
QUARTER = 0.5522847498
# A curve is drawn as so many chords. At either end of each: what start, controls and end of a
# cubic weigh there, and what the three lines between these weigh in its direction.
STEPS = 16
CHORDS = tuple(
    (
        (1 - t) ** 3, 3 * t * (1 - t) ** 2, 3 * t * t * (1 - t), t**3,
        (1 - t) ** 2, 2 * t * (1 - t), t * t,
    )
    for t in (step / STEPS for step in range(STEPS + 1))
)  # fmt: skip


class Figure(NamedTuple):
    """A closed outline. `curved`: after the start, the points come in threes, a
    cubic each; else every point is a corner."""

    points: tuple[Point, ...]
    curved: bool = False

    def moved(self, dx: float, dy: float) -> Figure:
        return Figure(tuple(point.moved(dx, dy) for point in self.points), self.curved)

    def scaled(self, by: float) -> Figure:
        """The same round nought, so many times as large."""
        return Figure(tuple(Point(x * by, y * by) for x, y in self.points), self.curved)


def stroke(x1: float, y1: float, x2: float, y2: float, width: float) -> Figure:
    dx, dy = _across(x2 - x1, y2 - y1, width)
    corners = ((x1 + dx, y1 + dy), (x2 + dx, y2 + dy), (x2 - dx, y2 - dy), (x1 - dx, y1 - dy))
    return Figure(tuple(Point(*corner) for corner in corners))


def disc(x: float, y: float, diameter: float) -> Figure:
    r = diameter / 2
    k = r * QUARTER
    ring = (
        (r, 0), (r, -k), (k, -r), (0, -r), (-k, -r), (-r, -k), (-r, 0),
        (-r, k), (-k, r), (0, r), (k, r), (r, k), (r, 0),
    )  # fmt: skip
    return Figure(tuple(Point(x + px, y + py) for px, py in ring), curved=True)


def ring(x: float, y: float, diameter: float, width: float) -> tuple[Figure, Figure]:
    """A disc and, running the other way round, the hole in it."""
    hole = disc(x, y, diameter - 2 * width)
    return disc(x, y, diameter), Figure(tuple(reversed(hole.points)), curved=True)


def curve(
    x1: float, y1: float, x2: float, y2: float,
    x3: float, y3: float, x4: float, y4: float, width: float,
) -> Figure:  # fmt: skip
    """A cubic of even width: one side out, the other side back, as short chords."""
    over, under = [], []
    for a, b, c, d, e, f, g in CHORDS:
        x, y = a * x1 + b * x2 + c * x3 + d * x4, a * y1 + b * y2 + c * y3 + d * y4
        dx, dy = _across(
            e * (x2 - x1) + f * (x3 - x2) + g * (x4 - x3),
            e * (y2 - y1) + f * (y3 - y2) + g * (y4 - y3),
            width,
        )
        over.append(Point(x + dx, y + dy))
        under.append(Point(x - dx, y - dy))
    return Figure((*over, *reversed(under)))


def _across(dx: float, dy: float, width: float) -> tuple[float, float]:
    """Half the width, at a right angle to a direction."""
    length = hypot(dx, dy)
    return -dy / length * width / 2, dx / length * width / 2
