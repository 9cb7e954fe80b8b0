"""Lasting: lines under the turns that last, from the moment at which one begins to its own.

In: the ends of a line and its height. Out: its figures, with a hook at either end; a line that
goes on in the next one of the score, or comes from the one before, is open there: it has no hook
and ends short of the stave's end, so that it is not as long as the stave's own lines.

    1    2    3    4    5          3    4    │   5
                        ↷ ½                      ↷ ½
    └──────────────────┘·          └──────────  ─┘·
"""

from __future__ import annotations

from dataclasses import dataclass

from stavebound.drawing.figures import Figure, stroke
from stavebound.geometry import Box
from stavebound.trade.lanes import LastingLine


@dataclass(frozen=True, slots=True)
class PlacedLasting:
    """The line of a turn at its place."""

    figures: tuple[Figure, ...]
    box: Box


def lasting_line(
    left: float, right: float, y: float, is_open: tuple[bool, bool], row: LastingLine
) -> PlacedLasting:
    half = row.line / 2
    figures = [stroke(left, y, right, y, row.line)]
    for x, opened in zip((left + half, right - half), is_open, strict=True):
        if not opened:
            figures.append(stroke(x, y - half, x, y + row.hook, row.line))
    top = y + (half if all(is_open) else row.hook)
    return PlacedLasting(tuple(figures), Box(left, y - half, right, top))
