"""Points, boxes and polygons on the page.

In: numbers. Out: frozen values. Units are whatever the caller works in (stave
spaces inside the engraver, millimetres at the page's edge). Here y grows
*upwards*, as on the stave; only `svg` turns it over.

            top ┌───────────┐
                │    Box    │
         bottom └───────────┘
              left        right
"""

from __future__ import annotations

from collections.abc import Iterable
from typing import NamedTuple


class Point(NamedTuple):
    x: float
    y: float

    def moved(self, dx: float, dy: float) -> Point:
        return Point(self.x + dx, self.y + dy)


class Box(NamedTuple):
    """A rectangle with left ≤ right and bottom ≤ top."""

    left: float
    bottom: float
    right: float
    top: float

    @property
    def width(self) -> float:
        return self.right - self.left

    @property
    def height(self) -> float:
        return self.top - self.bottom

    def moved(self, dx: float, dy: float) -> Box:
        return Box(self.left + dx, self.bottom + dy, self.right + dx, self.top + dy)

    def scaled(self, by: float) -> Box:
        """The same round nought, so many times as large."""
        return Box(self.left * by, self.bottom * by, self.right * by, self.top * by)

    def grown(self, by: float) -> Box:
        return Box(self.left - by, self.bottom - by, self.right + by, self.top + by)

    def overlaps(self, other: Box) -> bool:
        """True where the two share an area; boxes that only touch do not."""
        return (
            self.left < other.right
            and other.left < self.right
            and self.bottom < other.top
            and other.bottom < self.top
        )

    def touches(self, other: Box) -> bool:
        """True where the two share an area, an edge or a corner."""
        return (
            self.left <= other.right
            and other.left <= self.right
            and self.bottom <= other.top
            and other.bottom <= self.top
        )

    def contains(self, other: Box, slack: float = 1e-9) -> bool:
        return (
            self.left <= other.left + slack
            and self.bottom <= other.bottom + slack
            and self.right >= other.right - slack
            and self.top >= other.top - slack
        )


def union(boxes: Iterable[Box]) -> Box:
    """The smallest box round all of them. ValueError where there is none."""
    every = tuple(boxes)
    if len(every) == 1:
        return every[0]
    return Box(
        min([box.left for box in every]),
        min([box.bottom for box in every]),
        max([box.right for box in every]),
        max([box.top for box in every]),
    )


def bounds(points: Iterable[Point]) -> Box:
    """The smallest box round all the points. ValueError where there is none."""
    xs, ys = zip(*points, strict=True)
    return Box(min(xs), min(ys), max(xs), max(ys))
