"""Reach: how far from a joint the end of a limb can be.

In: a joint with the length of what hangs on it, and a place. Out: lengths and places in
statures. The body stands upright, seen from behind: out is towards the limb's own side from
the centre, height from the floor, forward from the body's own plane.

            out →
     centre │    ○ joint
            │     ╲  at most its length
            │      ╲
            │       ● end (out, height, forward)
"""

from __future__ import annotations

from math import hypot, sqrt
from typing import NamedTuple

SLACK = 1e-9


class BodyPoint(NamedTuple):
    """A place in the body, in statures; below 0, `out` is across the centre line."""

    out: float
    height: float
    forward: float = 0.0


def from_line(point: BodyPoint, start: BodyPoint, end: BodyPoint) -> float:
    """How far a point is from the straight line between two others."""
    along = [b - a for a, b in zip(start, end, strict=True)]
    away = [b - a for a, b in zip(start, point, strict=True)]
    length = sum(each * each for each in along)
    share = sum(a * b for a, b in zip(along, away, strict=True)) / length if length else 0.0
    at = min(max(share, 0.0), 1.0)
    return hypot(*(b - at * a for a, b in zip(along, away, strict=True)))


class Reach(NamedTuple):
    """A joint, and the length of the straight limb from it."""

    joint: BodyPoint
    length: float

    def distance(self, end: BodyPoint) -> float:
        out, height, forward = self.joint
        return hypot(end.out - out, end.height - height, end.forward - forward)

    def share(self, end: BodyPoint) -> float:
        """How far the end is from the joint, 1 where the limb is stretched."""
        return self.distance(end) / self.length

    def holds(self, end: BodyPoint) -> bool:
        return self.distance(end) <= self.length + SLACK

    def out(self, end: BodyPoint) -> tuple[float, float] | None:
        """The least and the most that the end can be out at its height and so far forward.

        None where the limb does not reach so far at that height.
        """
        aside = hypot(end.height - self.joint.height, end.forward - self.joint.forward)
        if aside > self.length:
            return None
        across = sqrt(self.length**2 - aside**2)
        return self.joint.out - across, self.joint.out + across

    def forward(self, end: BodyPoint, share: float = 1.0) -> float | None:
        """How far forward or back the end can be at its height and so far out, on a limb that
        is stretched to that share of its length.

        None where the limb does not reach so far out at that height.
        """
        out, height, _ = self.joint
        return left_of(share * self.length, hypot(end.out - out, end.height - height))

    def nearest_out(self, end: BodyPoint) -> float:
        """What is nearest to the end's out, of what the limb reaches at its height."""
        return self._nearest(end.out, self.joint.out, end.height - self.joint.height)

    def nearest_height(self, end: BodyPoint) -> float:
        """What is nearest to the end's height, of what the limb reaches so far out."""
        return self._nearest(end.height, self.joint.height, end.out - self.joint.out)

    def _nearest(self, wanted: float, joint: float, aside: float) -> float:
        most = left_of(self.length, aside) or 0.0
        return joint + min(max(wanted - joint, -most), most)


def left_of(length: float, aside: float) -> float | None:
    """How far a limb of that length still reaches when its end is so far aside; None where
    it does not reach so far."""
    return sqrt(max(length**2 - aside**2, 0.0)) if aside <= length + SLACK else None
