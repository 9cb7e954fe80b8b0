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

from collections.abc import Mapping
from math import copysign, hypot, inf

from stavebound.body.reach import beside, measure, reach_forward, shoulder_joint
from stavebound.dance.pose import FootPose, Free, HandPose, Joint
from stavebound.score.model import ArmLine, Bend, Depth, LegDirection
from stavebound.trade.catalogue import Catalogue
from stavebound.trade.scale import spaces, statures

# The least distance forward or back that can be written, in statures: what is in front
# or behind is no nearer to the body's own plane.
LEAST = 0.01
# An arm whose elbow is bent is less than stretched, by this share of its length.
LESS = 0.01


def hand_forward(hand: HandPose, bent: bool, catalogue: Catalogue) -> float:
    """How far forward a hand is that has the usual distance forward or the one it was held
    at, both of which the reach may forbid; `bent` is its elbow."""
    body, shapes = catalogue.body, catalogue.shapes
    level = hand.depth is Depth.LEVEL
    least = 0.0
    if hand.arm is ArmLine.STRETCHED:
        least = reach_forward(body, hand, shapes.line.stretched) or 0.0
    most = reach_forward(body, hand, _furthest(hand, bent, catalogue)) or 0.0
    most = min(most, shapes.tolerance.forward if level else inf)
    most = min(most, shapes.surface.forward if hand.touching == "body" else inf)
    forward = max(min(max(abs(hand.forward), least), most), 0.0 if level else LEAST)
    return copysign(forward, {Depth.FRONT: 1.0, Depth.BEHIND: -1.0}.get(hand.depth, hand.forward))


def _furthest(hand: HandPose, bent: bool, catalogue: Catalogue) -> float:
    """To what share of its length the arm is stretched at most."""
    line = catalogue.shapes.line
    if hand.arm is ArmLine.ROUNDED:
        return line.rounded
    return line.stretched - LESS if bent else 1.0


def joint_place(kind: str, joint: Joint, foot: FootPose | None, catalogue: Catalogue) -> Joint:
    """The joint with the number of its place that is not written, where the usual one is out
    of reach; `foot` is a knee's. Nothing is filled in where both are written or neither."""
    if joint.bend is Bend.NONE or (joint.height is None) is (joint.out is None):
        return joint
    above = _above(kind, foot, catalogue)
    if above is None:
        return joint
    out, height = usual_joint(kind, joint, foot, catalogue)
    if hypot(out - above["out"], height - above["height"]) <= above["length"]:
        return joint
    if joint.out is None:
        return joint._replace(out=_nearest(out, above, "out", height - above["height"]))
    found = _nearest(height, above, "height", out - above["out"])
    return joint._replace(height=spaces(catalogue.body, found))


def _nearest(usual: float, above: Mapping[str, float], along: str, aside: float) -> float:
    """On one axis, what of a joint's reach is nearest to the usual."""
    most = beside(above["length"], aside) or 0.0
    return above[along] + min(max(usual - above[along], -most), most)


def _above(kind: str, foot: FootPose | None, catalogue: Catalogue) -> Mapping[str, float] | None:
    """Where the joint above is, and how far from it a knee or an elbow can be; None where
    it is not counted from there, as a standing leg's knee."""
    body = catalogue.body
    if kind == "elbow":
        out, height, _ = shoulder_joint(body)
        return {"out": out, "height": height, "length": measure(body, "upper arm")}
    if not isinstance(foot, Free):
        return None
    hip, knee = measure(body, "hip"), measure(body, "knee")
    return {"out": measure(body, "half hip width"), "height": hip, "length": hip - knee}


def usual_joint(
    kind: str, joint: Joint, foot: FootPose | None, catalogue: Catalogue
) -> tuple[float, float]:
    """Out and height of a joint in statures; what is not written is usual."""
    row, across = catalogue.feet.joint[kind][joint.bend], catalogue.body.across.hand
    x, y = row.x, row.y or 0.0
    if kind == "knee" and isinstance(foot, Free) and foot.place is not None:
        places = {each.name: each for each in catalogue.feet.free.place}
        bend = places[foot.place].bend
        x, y = (bend["x"], bend["y"]) if bend else (x, y)
    out = (x - across.base) / across.slope if joint.out is None else joint.out
    return out, statures(catalogue.body, y if joint.height is None else joint.height)


def leg_out(direction: LegDirection, height: float, catalogue: Catalogue) -> float:
    """How far out the toes of a stretched leg are at a height in spaces, in statures: to the
    front and back straight before the hip, to the side as far as the leg reaches."""
    body = catalogue.body
    hip = measure(body, "half hip width")
    if direction is not LegDirection.SIDE:
        return hip
    fall = measure(body, "hip") - statures(body, height)
    return hip + (beside(measure(body, "hip to toes"), fall) or 0.0)
