"""Points: where the limbs of a pose are in the dancer's body.

In: what a pose holds of a limb, the trade's tables. Out: places in statures, by the dancer's
own heights. Where a place is not written, it is the usual one.
"""

from __future__ import annotations

from stavebound.body.heights import statures
from stavebound.body.reach import BodyPoint
from stavebound.body.skeleton import hip, leg_aside
from stavebound.dance.pose import FootPose, Free, HandPose, Joint
from stavebound.remembering import remembered
from stavebound.score.model import LegDirection
from stavebound.trade.catalogue import Catalogue
from stavebound.trade.naming import free_row
from stavebound.trade.scale import out_at

# How many heights are remembered with what they are in statures; a book has some hundreds.
HEIGHTS = 4096


@remembered(HEIGHTS)
def in_statures(height: float, catalogue: Catalogue) -> float:
    """A height in spaces as one of the dancer."""
    return statures(catalogue.person, catalogue.ruling, height)


def hand_point(hand: HandPose, catalogue: Catalogue) -> BodyPoint:
    """Of the finger tips."""
    return BodyPoint(hand.out, in_statures(hand.height, catalogue), hand.forward)


def toes_point(foot: Free, catalogue: Catalogue) -> BodyPoint:
    """Of toes at a height of their own, as they are seen from behind."""
    return BodyPoint(foot.out or 0.0, in_statures(foot.height or 0.0, catalogue))


def leg_end(foot: Free, catalogue: Catalogue) -> BodyPoint:
    """Of the toes of a free leg, as far to the side, in front or behind as a stretched leg has
    them at their height."""
    row = free_row(catalogue, foot.place) if foot.place else None
    level = foot.direction is not LegDirection.FRONT
    spaces = foot.height if row is None else (row.level if level else row.front)
    height = in_statures(spaces or 0.0, catalogue)
    joint = hip(catalogue.person)
    far = leg_aside(catalogue.person, height) - joint.out
    ways = {LegDirection.SIDE: (far, 0.0), LegDirection.FRONT: (0.0, far)}
    out, forward = ways.get(foot.direction, (0.0, -far))
    return BodyPoint(joint.out + out, height, forward)


def joint_point(kind: str, joint: Joint, foot: FootPose | None, catalogue: Catalogue) -> BodyPoint:
    """Of a knee or an elbow, as it is seen from behind; `foot` is a knee's."""
    row = catalogue.feet.joint[kind][joint.bend]
    x, y = row.x, row.y or 0.0
    if kind == "knee" and isinstance(foot, Free) and foot.place is not None:
        bend = free_row(catalogue, foot.place).bend
        x, y = (bend["x"], bend["y"]) if bend else (x, y)
    out = out_at(x, catalogue.ruling.across.hand) if joint.out is None else joint.out
    return BodyPoint(out, in_statures(y if joint.height is None else joint.height, catalogue))
