"""Numbers of a place that nobody wrote: the usual one, else the nearest to it within reach.

In: what is written of a limb, the usual numbers of the trade's tables, the body. Out:
numbers. Where no number at all is within reach, the one that comes nearest, for the
check to refuse. What was written is never touched.

    how far forward (seen from above)        how far out (seen from behind)
         ┊ usual, out of reach                shoulder ○╮ a circle as wide
      ╭──●──╮ nearest within reach                     │ ╲ as the limb reaches
      │  ○  │ shoulder                       height ───┴──● nearest   ┊ usual
"""

from __future__ import annotations

from math import copysign, inf

from stavebound.body.heights import spaces
from stavebound.body.reach import Reach
from stavebound.body.skeleton import arm, hip, leg_aside, thigh, upper_arm
from stavebound.dance.points import hand_point, in_statures, joint_point
from stavebound.dance.pose import FootPose, Free, HandPose, Joint
from stavebound.score.departures import departure
from stavebound.score.model import Bend, Depth, LegDirection
from stavebound.trade.catalogue import Catalogue

# The least distance forward or back that can be written, in statures: what is in front
# or behind is no nearer to the body's own plane.
LEAST = 0.01
# An arm whose elbow is bent is less than stretched, by this share of its length.
LESS = 0.01


def hand_forward(hand: HandPose, bent: bool, catalogue: Catalogue) -> float:
    """How far forward a hand is that has the usual distance forward or the one it was held
    at, both of which the reach may forbid; `bent` is its elbow."""
    reach, shapes = arm(catalogue.person), catalogue.shapes
    tips, level = hand_point(hand, catalogue), hand.depth is Depth.LEVEL
    least = 0.0
    if departure(hand.departures, "arm") == "stretched":
        least = reach.forward(tips, shapes.line.stretched) or 0.0
    most = reach.forward(tips, _furthest(hand, bent, catalogue)) or 0.0
    most = min(most, shapes.tolerance.forward if level else inf)
    most = min(most, shapes.surface.forward if hand.touching == "body" else inf)
    forward = max(min(max(abs(hand.forward), least), most), 0.0 if level else LEAST)
    return copysign(forward, {Depth.FRONT: 1.0, Depth.BEHIND: -1.0}.get(hand.depth, hand.forward))


def _furthest(hand: HandPose, bent: bool, catalogue: Catalogue) -> float:
    """To what share of its length the arm is stretched at most."""
    line = catalogue.shapes.line
    if departure(hand.departures, "arm") == "rounded":
        return line.rounded
    return line.stretched - LESS if bent else 1.0


def joint_place(kind: str, joint: Joint, foot: FootPose | None, catalogue: Catalogue) -> Joint:
    """The joint with the number of its place that is not written, where the usual one is out
    of reach; `foot` is a knee's. Nothing is filled in where both are written or neither."""
    if joint.bend is Bend.NONE or (joint.height is None) is (joint.out is None):
        return joint
    reach = _reach(kind, foot, catalogue)
    if reach is None:
        return joint
    usual = joint_point(kind, joint, foot, catalogue)
    if reach.holds(usual):
        return joint
    if joint.out is None:
        return joint._replace(out=reach.nearest_out(usual))
    height = spaces(catalogue.person, catalogue.ruling, reach.nearest_height(usual))
    return joint._replace(height=height)


def _reach(kind: str, foot: FootPose | None, catalogue: Catalogue) -> Reach | None:
    """Of an elbow from the shoulder, of a knee from the hip; None where it is not counted
    from there, as a standing leg's knee."""
    if kind == "elbow":
        return upper_arm(catalogue.person)
    return thigh(catalogue.person) if isinstance(foot, Free) else None


def leg_out(direction: LegDirection, height: float, catalogue: Catalogue) -> float:
    """How far out the toes of a stretched leg are at a height in spaces, in statures: to the
    front and back straight before the hip, to the side as far as the leg reaches."""
    if direction is not LegDirection.SIDE:
        return hip(catalogue.person).out
    return leg_aside(catalogue.person, in_statures(height, catalogue))
