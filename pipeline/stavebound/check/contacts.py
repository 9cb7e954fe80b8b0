"""Contacts: hands that touch each other or the body are where they can.

In: a `Danced`. Out: diagnostics. A hand written anew touches only what is
written with it, so that both hands are written where they touch each other.
"""

from __future__ import annotations

from collections.abc import Iterator
from math import inf

from stavebound.body.reach import from_line
from stavebound.body.skeleton import arm, hip, thigh
from stavebound.check.hands import hand_goes
from stavebound.check.phrasing import listed, number
from stavebound.dance.danced import Danced, Moment
from stavebound.dance.points import hand_point, leg_end
from stavebound.dance.pose import Free, HandPose, Step, joined
from stavebound.dance.state import BOTH
from stavebound.diagnostics import Diagnostic
from stavebound.score.model import ArmsChange, Bend, Depth, HandChange, Side
from stavebound.trade.naming import arms_shape, contact_row, hand_row

# From memory, in statures: how far from the centre line hands can meet.
MEET = 0.15
# From memory, in statures: how far finger tips may be from the line of a leg that they hold.
HELD = 0.12
# From memory: nearer than this share of the reach an elbow goes without saying only
# where the shape has a name.
NEAR = 0.80


def both_hands_touch(danced: Danced) -> Iterator[Diagnostic]:
    for moment, _, change in _hands(danced):
        partners = (each for _, each in _steps(moment) if each.side is change.side.other)
        partner = next(partners, None)
        if change.touching != "hand" or (partner and partner.touching == "hand"):
            continue
        other = change.side.other
        yield Diagnostic(
            "T401",
            f"the {change.side} hand touches the {other}, and the {other} is not written so",
            change.origin.of("touching"),
            (f'Write <hand side="{other}" … touching="hand"/> in the same frame.',),
            ((partner.origin.span, f"the {other} hand"),) if partner else (),
        )


def hands_that_touch_are_together(danced: Danced) -> Iterator[Diagnostic]:
    for moment in danced.moments:
        hands = [moment.after.hands.of(side) for side in BOTH]
        written = [change for _, change in _steps(moment) if change.touching == "hand"]
        known = [hand for hand in hands if hand is not None]
        if len(written) < len(BOTH) or len(known) < len(BOTH):
            continue
        if not joined(*hands) or any(abs(hand.out) > MEET for hand in known):
            first, second = written[:2]
            yield Diagnostic(
                "T402",
                "hands that touch each other are at one height and depth, at the centre line",
                second.origin.of("touching"),
                (
                    f"They are {_apart(known)}.",
                    f"Write both with the same height and depth, and out up to {number(MEET)}.",
                ),
                ((first.origin.span, "the first hand"),),
            )


def _apart(hands: list[HandPose]) -> str:
    """In what two hands differ, in words."""
    one, other = hands
    if one.depth is not other.depth:
        return f"{one.depth} and {other.depth}"
    if one.height != other.height:
        return f"{abs(one.height - other.height):.2f} spaces apart in height"
    return f"{number(one.out)} and {number(other.out)} out from the centre line"


def shapes_that_bring_hands_together(danced: Danced) -> Iterator[Diagnostic]:
    catalogue = danced.catalogue
    for change in (step.change for step in danced.steps):
        if not isinstance(change, ArmsChange) or not change.joined:
            continue
        shape = arms_shape(catalogue, danced.school, change.name)
        rows = [hand_row(catalogue, name) for name in shape.hands] if shape else []
        if len(set(rows)) > 1 or any(row and row.out > MEET for row in rows):
            yield Diagnostic(
                "T403",
                f"the hands cannot be joined in “{change.name}”",
                change.origin.of("hands"),
                ("They meet where both are at one place near the centre line.",),
            )


def one_place_of_a_touching_hand(danced: Danced) -> Iterator[Diagnostic]:
    for _, _, change in _hands(danced):
        if contact_row(danced.catalogue, change.touching) and hand_goes(change):
            places = ("name", "height", "out", "depth", "forward")
            written = [
                "in" if name == "name" else name
                for name in places
                if getattr(change, name) is not None
            ]
            yield Diagnostic(
                "T404",
                f"touching=“{change.touching}” says where the hand is already",
                change.origin.of(*written),
                (f'Delete {listed(written)}, or write touching="body" with another place.',),
            )


def the_body_is_there(danced: Danced) -> Iterator[Diagnostic]:
    surface = danced.catalogue.shapes.surface
    for _, step, change in _hands(danced):
        hand = step.after.hands.of(change.side)
        if change.touching != "body" or hand is None or change.side in step.doubtful:
            continue
        if abs(hand.out) > surface.out or abs(hand.forward) > surface.forward:
            yield Diagnostic(
                "T405",
                f"the {change.side} hand touches the body, and the body is not there",
                change.origin.of("touching"),
                (
                    f"It is {number(hand.out)} out and {number(hand.forward)} forward; "
                    f"the body ends at {number(surface.out)} and {number(surface.forward)}.",
                ),
            )


def the_leg_is_there(danced: Danced) -> Iterator[Diagnostic]:
    """A leg that is held is raised, and the hand is at it, somewhere from hip to toes."""
    for moment, step, change in _hands(danced):
        hand = step.after.hands.of(change.side)
        if change.touching != "leg" or hand is None or change.side in step.doubtful:
            continue
        near = [_from_leg(change.side, hand, side, moment, danced) for side in BOTH]
        if min(near) > HELD:
            far = min(near)
            yield Diagnostic(
                "T407",
                f"the {change.side} hand holds a leg, and no raised leg is there",
                change.origin.of("touching"),
                (
                    'Raise the leg in this frame or an earlier one, such as raised="90".'
                    if far == inf
                    else f"It is {number(far)} of the dancer's height away from the leg.",
                ),
            )


def _from_leg(hand_side: Side, hand: HandPose, side: Side, moment: Moment, danced: Danced) -> float:
    """How far a hand is from the leg on a side, which is straight or bent between hip and toes, in
    statures; endless where that stands."""
    foot, catalogue = moment.after.feet.of(side), danced.catalogue
    if not isinstance(foot, Free):
        return inf
    point = hand_point(hand, catalogue)
    own = point if hand_side is side else point._replace(out=-point.out)
    bent = moment.after.knees.of(side).bend is not Bend.NONE
    joint, toes = hip(catalogue.person), leg_end(foot, catalogue)
    return from_line(own, joint, toes) - (thigh(catalogue.person).length / 2 if bent else 0.0)


def elbow_of_a_near_hand(danced: Danced) -> Iterator[Diagnostic]:
    """The ink does not say how far in front or behind a hand is: near the body, the elbow does.

    A distance that is not written is none that a reader could miss; where the hand on
    the barre is, the barre says.
    """
    reach, barre = arm(danced.catalogue.person), danced.score.barre
    for moment, step, change in _hands(danced):
        hand = step.after.hands.of(change.side)
        if change.forward is None or hand is None or hand.shape or change.touching:
            continue
        if change.side is barre:
            continue
        if hand.forward * {Depth.LEVEL: 0, Depth.FRONT: 1, Depth.BEHIND: -1}[hand.depth] <= 0:
            continue
        straight = moment.after.elbows.of(change.side).bend is Bend.NONE
        share = reach.share(hand_point(hand, danced.catalogue))
        if straight and share < NEAR:
            yield Diagnostic(
                "T406",
                f"the {change.side} hand is near, and its elbow is not said to be bent",
                change.origin.of("forward"),
                (
                    f"It is at {share:.2f} of the arm's reach; from {number(NEAR)} downwards "
                    "it would look like one that reaches further.",
                    f'Write <elbow side="{change.side}" bend="half"/>, or the name of a shape.',
                ),
            )


def _hands(danced: Danced) -> Iterator[tuple[Moment, Step, HandChange]]:
    for moment in danced.moments:
        for step, change in _steps(moment):
            yield moment, step, change


def _steps(moment: Moment) -> Iterator[tuple[Step, HandChange]]:
    for step in moment.steps:
        if isinstance(step.change, HandChange):
            yield step, step.change
