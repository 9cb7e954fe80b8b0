"""The skeleton: where a person's joints are, and how long the limbs that hang on them.

In: a person's measures. Out: reaches, places and lengths in statures. The body stands upright,
seen from behind, its joints in its own plane.

     centre │  ○ shoulder  half the shoulders' width out
            │  │ upper arm
            │  ○ elbow
            │  │ forearm with the hand
            │  ●
            │○ hip         half the hips' width out; thigh to the knee
"""

from __future__ import annotations

from math import hypot

from stavebound.body.reach import BodyPoint, Reach, left_of
from stavebound.trade.tables import Person


def shoulder(person: Person) -> BodyPoint:
    return BodyPoint(person.of("half shoulder width"), person.of("shoulder"))


def hip(person: Person) -> BodyPoint:
    return BodyPoint(person.of("half hip width"), person.of("hip"))


def arm(person: Person) -> Reach:
    """From the shoulder to the finger tips: upper arm, forearm and hand in one line."""
    length = person.of("upper arm") + person.of("forearm") + person.of("hand")
    return Reach(shoulder(person), length)


def upper_arm(person: Person) -> Reach:
    """From the shoulder to the elbow."""
    return Reach(shoulder(person), person.of("upper arm"))


def forearm_with_hand(person: Person) -> float:
    return person.of("forearm") + person.of("hand")


def thigh(person: Person) -> Reach:
    """From the hip to the knee."""
    return Reach(hip(person), person.of("hip") - knee_height(person))


def knee_height(person: Person) -> float:
    return person.of("knee")


def leg(person: Person) -> Reach:
    """From the hip to the tips of stretched toes."""
    return Reach(hip(person), person.of("hip to toes"))


def leg_aside(person: Person, height: float) -> float:
    """How far out the toes of a leg are that is stretched to the side, at that height; at the
    hip's own out where it does not reach so high or low."""
    joint, length = leg(person)
    return joint.out + (left_of(length, joint.height - height) or 0.0)


def elbow_to_tips(
    person: Person, elbow: BodyPoint, depth: tuple[float, float], tips: BodyPoint
) -> float:
    """The least distance from an elbow, which the upper arm leaves free to be forward as far
    as it reaches and as `depth` says (from, to), to the finger tips."""
    most = upper_arm(person).forward(elbow) or 0.0
    least, greatest = (min(max(end, -most), most) for end in depth)
    forward = min(max(tips.forward, least), greatest)
    return hypot(tips.out - elbow.out, tips.height - elbow.height, tips.forward - forward)
