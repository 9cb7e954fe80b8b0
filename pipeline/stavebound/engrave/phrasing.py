"""Phrasing: bows over the counts, from the first frame of what is danced in one breath to
its last.

In: the ends of a bow, and all that is below it. Out: its outline, thick in the middle and
fine at its ends, which point at their frames; a long one is level in between. A bow that goes
on in the next line, or comes from the one before, is open there: it ends at the stave's end,
and at its full height.

         ▂▄▄▄▄▄▄▂             ▂▄▄▄▄▄▄│
       ▁          ▁         ▁        │
      1    2       3       4         │
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

from stavebound.drawing.figures import Figure
from stavebound.geometry import Box, Point
from stavebound.trade.lanes import PhrasingLane

Spot = tuple[float, float]

# What the two controls of a cubic weigh together in its middle.
CONTROLS = 0.75
# So often the part of a bow that is left of a place is halved.
HALVINGS = 24


@dataclass(frozen=True, slots=True)
class PlacedPhrasing:
    """A bow at its place, and whether it is open at its left and at its right."""

    figures: tuple[Figure, ...]
    box: Box
    ends: tuple[Spot, Spot]
    is_open: tuple[bool, bool]


def bow(
    left: float, right: float, is_open: tuple[bool, bool], below: Iterable[Box], row: PhrasingLane
) -> PlacedPhrasing:
    """A bow from `left` to `right`, over all boxes between them."""
    rise = min(row.least + row.growth * (right - left), row.greatest)
    run = min(row.shoulder * (right - left), row.run) / (right - left)
    y = row.white + max(
        box.top - rise * min(_share((x - left) / (right - left), run, is_open) for x in spots)
        for box in below
        if box.left < right and left < box.right
        for spots in ((max(box.left, left), min(box.right, right)),)
    )
    ends = [
        (x, y + rise if opened else y) for x, opened in zip((left, right), is_open, strict=True)
    ]
    high = y + rise if any(is_open) else y + rise / CONTROLS
    controls = (left + run * (right - left), high), (right - run * (right - left), high)
    figure = _lens((ends[0], *controls, ends[1]), row)
    box = Box(left, min(end[1] for end in ends) - row.tip / 2, right, y + rise + row.thick / 2)
    return PlacedPhrasing((figure,), box, (ends[0], ends[1]), is_open)


def _share(u: float, run: float, is_open: tuple[bool, bool]) -> float:
    """How much of its full height a bow has at a part of its length, of which its controls are
    the part `run` from its ends."""
    low, high = 0.0, 1.0
    for _ in range(HALVINGS):
        t = (low + high) / 2
        across = 3 * t * (1 - t) * ((1 - t) * run + t * (1 - run)) + t**3
        low, high = (t, high) if across < u else (low, t)
    ends = [(1 - low) ** 3, low**3]
    under = sum(end for end, opened in zip(ends, is_open, strict=True) if not opened)
    return 4 * low * (1 - low) if not any(is_open) else 1 - under


def _lens(line: tuple[Spot, Spot, Spot, Spot], row: PhrasingLane) -> Figure:
    """Two curves along a line, joined by straight ends."""
    swell = row.tip / 2 + (row.thick - row.tip) / 2 / CONTROLS
    offs = (row.tip / 2, swell, swell, row.tip / 2)
    over = [Point(x, y + off) for (x, y), off in zip(line, offs, strict=True)]
    under = [Point(x, y - off) for (x, y), off in zip(line, offs, strict=True)][::-1]
    there, back = _straight(over[-1], under[0]), _straight(under[-1], over[0])
    return Figure((*over, *there, *under[1:], *back), curved=True)


def _straight(start: Point, end: Point) -> tuple[Point, Point, Point]:
    """A straight line as a cubic, without its start."""
    third = (end.y - start.y) / 3
    return Point(start.x, start.y + third), Point(start.x, start.y + 2 * third), end
