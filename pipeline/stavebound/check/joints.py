"""Joints: knees and elbows at places to which thigh, upper arm and forearm reach.

In: a `Danced`. Out: diagnostics. How far forward a joint is, is not written: its
depth leaves a stretch for it, and the place that fits best is held against the
body's lengths (Drillis & Contini, 1966, as reproduced in Winter).
"""

from __future__ import annotations

from collections.abc import Iterator
from math import inf

from stavebound.body.skeleton import elbow_to_tips, forearm_with_hand, knee_height, thigh, upper_arm
from stavebound.check.hands import hand_goes
from stavebound.check.phrasing import listed
from stavebound.dance.danced import Danced, Moment
from stavebound.dance.points import hand_point, joint_point
from stavebound.dance.pose import Free, Joint, Pose, Standing, Step
from stavebound.dance.state import BOTH
from stavebound.diagnostics import Diagnostic
from stavebound.score.model import (
    Bend,
    Change,
    Depth,
    ElbowChange,
    HandChange,
    KneesChange,
    Rise,
    Side,
)
from stavebound.trade.catalogue import Catalogue
from stavebound.trade.naming import free_row

SLACK = 1e-6
# From memory: below this a knee's sign would be among those of standing feet.
LOWEST = 0.40
PLACE = ("depth", "height", "out")


def no_place_of_a_straight_joint(danced: Danced) -> Iterator[Diagnostic]:
    for step in danced.steps:
        change = step.change
        if not isinstance(change, KneesChange | ElbowChange) or change.bend is not Bend.NONE:
            continue
        written = [name for name in PLACE if getattr(change, name) is not None]
        if written:
            yield Diagnostic(
                "T371",
                f"a straight {_kind(change)} has no place of its own",
                change.origin.of(*written),
                (f"Delete {listed(written)}, or bend it.",),
            )


def elbow_in_reach(danced: Danced) -> Iterator[Diagnostic]:
    reach, catalogue = upper_arm(danced.catalogue.person), danced.catalogue
    for _, step, change in _elbows(danced):
        if not _is_placed(change):
            continue
        elbow = step.after.elbows.of(change.side)
        far = reach.distance(joint_point("elbow", elbow, None, catalogue))
        if far > reach.length + SLACK:
            yield Diagnostic(
                "T372",
                f"the {change.side} elbow is too far from its shoulder",
                change.origin.of("out", "height"),
                (_far("upper arm", far, reach.length),),
            )


def knee_in_reach(danced: Danced) -> Iterator[Diagnostic]:
    """Of a free leg from the hip; a standing leg's is counted from the floor, as its foot is."""
    for moment in danced.moments:
        for step in moment.steps:
            change = step.change
            if not isinstance(change, KneesChange) or not _is_placed(change):
                continue
            side = change.side or Side.RIGHT
            foot, knee = moment.after.feet.of(side), step.after.knees.of(side)
            hint = _free_knee(knee, foot, danced) if isinstance(foot, Free) else None
            if isinstance(foot, Standing) and foot.rise is Rise.WHOLE:
                hint = _standing_knee(knee, danced)
            if hint:
                whence = "floor" if isinstance(foot, Standing) else "hip"
                message = f"the {side} knee is too far from its {whence}"
                yield Diagnostic("T373", message, change.origin.of("out", "height"), (hint,))


def _free_knee(knee: Joint, foot: Free, danced: Danced) -> str | None:
    """What is wrong with it."""
    reach = thigh(danced.catalogue.person)
    far = reach.distance(joint_point("knee", knee, foot, danced.catalogue))
    return _far("thigh", far, reach.length) if far > reach.length + SLACK else None


def _standing_knee(knee: Joint, danced: Danced) -> str | None:
    height = joint_point("knee", knee, None, danced.catalogue).height
    if height <= knee_height(danced.catalogue.person) + SLACK:
        return None
    return "On a whole foot a bent knee is no higher than the knee line."


def hand_within_reach_of_its_elbow(danced: Danced) -> Iterator[Diagnostic]:
    """Where a frame writes both of them."""
    most = forearm_with_hand(danced.catalogue.person)
    for moment, _, elbow in _elbows(danced):
        written = _written_hand(moment, elbow.side)
        if not _is_placed(elbow) or written is None or _doubtful(moment, elbow):
            continue
        far = _elbow_to_hand(moment.after, elbow, danced.catalogue)
        if far is not None and far > most + SLACK:
            yield Diagnostic(
                "T374",
                f"the {elbow.side} hand is too far from its elbow",
                elbow.origin.of("out", "height"),
                (_far("forearm with its hand", far, most, " at least"),),
                ((written.origin.span, "the hand"),),
            )


def knee_of_a_foot_at_the_leg(danced: Danced) -> Iterator[Diagnostic]:
    """A foot that touches the other leg has its own knee bent."""
    for moment in danced.moments:
        for change in moment.changes:
            if not isinstance(change, KneesChange) or change.bend is not Bend.NONE:
                continue
            for side in BOTH:
                foot = moment.after.feet.of(side)
                if change.side not in (None, side) or not isinstance(foot, Free):
                    continue
                if foot.place and free_row(danced.catalogue, foot.place).touch:
                    yield _bent_all_the_same(side, foot, change)


def no_knee_in_the_floor(danced: Danced) -> Iterator[Diagnostic]:
    """A sign as low as that would be the knee's of a dancer who kneels."""
    for step in danced.steps:
        change = step.change
        if not isinstance(change, KneesChange) or change.height is None or not _is_placed(change):
            continue
        height = step.after.knees.of(change.side or Side.RIGHT).height
        if height is not None and height < LOWEST - SLACK:
            yield Diagnostic(
                "T380",
                "a knee as low as this is on the floor",
                change.origin.of("height"),
                (
                    'Write <kneel on="…"/> for a knee with weight on the floor.',
                    f"A height of a knee begins at floor+{LOWEST:.2f}.",
                ),
            )


def _bent_all_the_same(side: Side, foot: Free, change: KneesChange) -> Diagnostic:
    other = side.other
    return Diagnostic(
        "T375",
        f"the {side} knee cannot be straight with its foot at the other {foot.place}",
        change.origin.of("bend"),
        (f'For the other leg alone write <knee side="{other}" bend="none"/>.',),
    )


def _elbows(danced: Danced) -> Iterator[tuple[Moment, Step, ElbowChange]]:
    for moment in danced.moments:
        for step in moment.steps:
            if isinstance(step.change, ElbowChange):
                yield moment, step, step.change


def _written_hand(moment: Moment, side: Side) -> Change | None:
    """What moves the hand at this moment, if it is one hand."""
    found = (each for each in moment.changes if isinstance(each, HandChange))
    return next((each for each in found if each.side is side and hand_goes(each)), None)


def _doubtful(moment: Moment, elbow: ElbowChange) -> bool:
    return any(elbow.side in step.doubtful for step in moment.steps)


def _kind(change: KneesChange | ElbowChange) -> str:
    return "knee" if isinstance(change, KneesChange) else "elbow"


def _is_placed(change: KneesChange | ElbowChange) -> bool:
    where = change.height is not None or change.out is not None
    return where and change.bend is not Bend.NONE


def _elbow_to_hand(pose: Pose, change: ElbowChange, catalogue: Catalogue) -> float | None:
    """The least distance that the depths allow; None where the elbow itself is out of reach."""
    person, hand = catalogue.person, pose.hands.of(change.side)
    elbow = joint_point("elbow", pose.elbows.of(change.side), None, catalogue)
    reach = upper_arm(person)
    if hand is None or reach.distance(elbow) > reach.length + SLACK:
        return None
    level = catalogue.shapes.tolerance.forward
    depths = {Depth.LEVEL: (-level, level), Depth.FRONT: (0.0, inf), Depth.BEHIND: (-inf, 0.0)}
    depth = depths[change.depth or Depth.LEVEL]
    return elbow_to_tips(person, elbow, depth, hand_point(hand, catalogue))


def _far(what: str, far: float, most: float, least: str = "") -> str:
    article = "an" if what[0] in "aeiou" else "a"
    return (
        f"It is {far:.3f} of the dancer's height away{least}, "
        f"and {article} {what} is {most:.3f} long."
    )
