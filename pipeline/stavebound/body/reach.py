"""Reach: how far a hand can be from its shoulder.

In: the body table and the place of a hand's tips. Out: lengths in statures. The body stands
upright, seen from behind; the joint of the shoulder lies half the shoulders'
width out, at the height of the shoulder line, in the body's own plane.

            out →
     centre │    ○ shoulder joint (.129, .818, 0)
            │     ╲  at most .440
            │      ╲
            │       ● finger tips (out, height, forward)

Lengths: Drillis & Contini, "Body Segment Parameters", 1966, as reproduced in
D. A. Winter, "Biomechanics and Motor Control of Human Movement"; the arm is
upper arm, forearm and hand in one line.
"""

from __future__ import annotations

from math import hypot, sqrt
from typing import Protocol

from stavebound.trade.scale import statures
from stavebound.trade.tables import Body

SLACK = 1e-9


class Tips(Protocol):
    """Where the tips of a hand are: height in spaces, out and forward in statures."""

    @property
    def height(self) -> float: ...
    @property
    def out(self) -> float: ...
    @property
    def forward(self) -> float: ...


def arm_length(body: Body) -> float:
    """From the joint of the shoulder to the finger tips of a stretched arm."""
    lengths = _measures(body)
    return lengths["upper arm"] + lengths["forearm"] + lengths["hand"]


def shoulder_joint(body: Body) -> tuple[float, float, float]:
    """Out, height and forward of the joint of a shoulder."""
    measures = _measures(body)
    return measures["half shoulder width"], measures["shoulder"], 0.0


def distance_to_hand(body: Body, hand: Tips) -> float:
    """From the joint of the shoulder to the finger tips."""
    out, height, forward = shoulder_joint(body)
    return hypot(hand.out - out, statures(body, hand.height) - height, hand.forward - forward)


def in_reach(body: Body, hand: Tips) -> bool:
    return distance_to_hand(body, hand) <= arm_length(body) + SLACK


def reach_out(body: Body, hand: Tips) -> tuple[float, float] | None:
    """The least and the most a hand can be out at its height and so far forward; below 0 it
    is across the centre line.

    None where no hand of that height reaches so far forward.
    """
    out, height, forward = shoulder_joint(body)
    aside = hypot(statures(body, hand.height) - height, hand.forward - forward)
    if aside > arm_length(body):
        return None
    across = sqrt(arm_length(body) ** 2 - aside**2)
    return out - across, out + across


def elbow_to_tips(body: Body) -> float:
    """Forearm and hand in one line."""
    return measure(body, "forearm") + measure(body, "hand")


def measure(body: Body, name: str) -> float:
    """A height or length of the body table, in statures. KeyError where it has none."""
    return _measures(body)[name]


def share_of_reach(body: Body, hand: Tips) -> float:
    """How far the finger tips are from the joint of the shoulder, 1 for a stretched arm."""
    return distance_to_hand(body, hand) / arm_length(body)


def reach_forward(body: Body, hand: Tips, share: float = 1.0) -> float | None:
    """How far forward or back a hand can be at its height and so far out, on an arm that is
    stretched to that share of its length.

    None where no hand of that height reaches so far out.
    """
    out, height, _ = shoulder_joint(body)
    across, up = hand.out - out, statures(body, hand.height) - height
    return beside(share * arm_length(body), hypot(across, up))


def beside(length: float, aside: float) -> float | None:
    """How far a joint of that length still reaches when its end is so far aside; None where
    it does not reach so far."""
    return sqrt(max(length**2 - aside**2, 0.0)) if aside <= length + SLACK else None


def _measures(body: Body) -> dict[str, float]:
    return {row.name: row.value for row in body.measure}
