"""Outlines: a sign's drawing in the table as closed figures.

In: a row of the sign table. Out: figures round the sign's own centre, in spaces, y upwards;
and the box round them. A mirrored sign has its x turned over.
"""

from __future__ import annotations

from stavebound.drawing.figures import Figure, curve, disc, ring, stroke
from stavebound.geometry import Box, Point, bounds
from stavebound.remembering import remembered
from stavebound.trade.tables import Sign

# How many drawings are remembered; a house has some sixty, either way round.
REMEMBERED = 1024


@remembered(REMEMBERED)
def outline(sign: Sign, mirrored: bool = False) -> tuple[Figure, ...]:
    figures = (
        *(stroke(*row) for row in sign.strokes),
        *(disc(*row) for row in sign.discs),
        *(edge for row in sign.rings for edge in ring(*row)),
        *(curve(*row) for row in sign.curves),
    )
    return tuple(_mirror(figure) for figure in figures) if mirrored else figures


@remembered(REMEMBERED)
def sign_box(sign: Sign, mirrored: bool = False) -> Box:
    """The box round the ink; of a curve, round its control points, which hold it."""
    return bounds(point for figure in outline(sign, mirrored) for point in figure.points)


def _mirror(figure: Figure) -> Figure:
    """Turned over, and back to front, so that it runs the same way round."""
    turned = tuple(Point(-point.x, point.y) for point in reversed(figure.points))
    return Figure(turned, figure.curved)
