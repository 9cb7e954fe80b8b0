"""Unclear: whether a course might not be read, or as that of another limb.

In: a course, its way, and where the signs of the other limbs of both its frames stand. Out: whether
a reader who sees where it points could take it for theirs, or could see no line at all.

A line points at the middle of the signs at its ends, or stands over or under them. Where one stands
on another, what is over the lower is under the upper:

        ▬  left hand
      ──            which of both comes here?
        ▬  right hand
"""

from __future__ import annotations

from math import hypot

from stavebound.drawing.courses import Half, Spot, inner_leg
from stavebound.engrave.ways import Limb, Way
from stavebound.engrave.weight import Part
from stavebound.trade.catalogue import Catalogue
from stavebound.trade.movement import WayLine


def is_pinched(half: Half, catalogue: Catalogue) -> bool:
    """Whether half of a line is bent more tightly than it is thick."""
    moves = catalogue.moves
    return inner_leg(half, moves.width) < moves.way.unclear["leg"]


def is_mistaken(halves: tuple[Half, Half], way: Way, axes: Spot, table: WayLine) -> bool:
    """Whether a line also comes to another limb; what begins at a sign also has to begin at that of
    the same limb. What leaves a line of the score is told by its beginning alone."""
    for one, other in way.others:
        if way.part is Part.LEAVING:
            if one and _begins_at(halves[0], one, axes[0], table):
                return True
        elif other and _ends_at(halves[1], other, axes[1], table):
            unseen = way.start.held or way.part is Part.COMING
            if unseen or (one and _begins_at(halves[0], one, axes[0], table)):
                return True
    return False


def _begins_at(half: Half, limb: Limb, axis: float, table: WayLine) -> bool:
    return _points_at(half[0], half[1], limb, axis, table.white["start"], table)


def _ends_at(half: Half, limb: Limb, axis: float, table: WayLine) -> bool:
    return _points_at(half[3], half[2], limb, axis, table.white["end"], table)


def _points_at(
    spot: Spot, inside: Spot, limb: Limb, axis: float, white: float, table: WayLine
) -> bool:
    """Whether a line that comes to a spot from another, inside it, points at the middle of a limb's
    sign from its edge, or nearly so where it is level, or stands over that sign or under it."""
    near, level = table.unclear["near"], table.low["level"]
    away, up = axis + limb.x - spot[0], limb.y - spot[1]
    reach = white + near
    if abs(up) > max(limb.up, limb.high) + reach:
        return False
    if limb.apart and abs(away) <= near and abs(abs(up) - limb.up - white) <= near:
        return True
    if abs(away) > max(limb.across, abs(limb.hook)) + reach:
        return False
    dx, dy = spot[0] - inside[0], spot[1] - inside[1]
    length = hypot(dx, dy)
    if not length:
        return False
    dx, dy = dx / length, dy / length
    far, aside = away * dx + up * dy, up * dx - away * dy
    across, high = limb.reaches(-dx)
    edge = 1 / max(abs(dx) / across, abs(dy) / high)
    near_by = near + level if abs(dy) <= near else near
    return abs(aside) <= near_by and abs(far - edge - white) <= near
