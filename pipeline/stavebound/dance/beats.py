"""Beats: which foot is in front as the legs beat in a spring.

In: what is said of a spring, and the pose before it. Out: the front foot at each beat, by its
side. `same` and `other` go by the foot that is in front at the take-off; where none is, they
say nothing, and `check` reports it.
"""

from __future__ import annotations

from stavebound.dance.pose import BOTH, FootPose, Free, Sided, Standing
from stavebound.score.model import Beat, LegDirection, Side


def front_foot(feet: Sided[FootPose | None]) -> Side | None:
    """The foot that is in front of the other; None where they are side by side or apart."""
    for side in BOTH:
        foot = feet.of(side)
        if isinstance(foot, Standing) and foot.front:
            return foot.front
        if isinstance(foot, Free) and foot.direction is not LegDirection.SIDE:
            return side if foot.direction is LegDirection.FRONT else side.other
    return None


def beaten(beats: tuple[Beat, ...], before: Sided[FootPose | None]) -> tuple[Side, ...]:
    """The front foot at each beat, the feet having stood like that; none where it is not known."""
    front = front_foot(before)
    sides = [_side(beat, front) for beat in beats]
    known = tuple(side for side in sides if side)
    return known if len(known) == len(sides) else ()


def _side(beat: Beat, front: Side | None) -> Side | None:
    if beat in (Beat.RIGHT, Beat.LEFT):
        return Side(beat.value)
    if front is None:
        return None
    return front if beat is Beat.SAME else front.other
