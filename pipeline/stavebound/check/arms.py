"""Arms: a palm and a line of the arm that belong to a hand and agree with its place.

In: a `Danced`. Out: diagnostics. How far a rounded and a stretched arm reach is
`shapes.toml`'s; a hand in a shape with a name may depart from it by a mark.
"""

from __future__ import annotations

from collections.abc import Iterator

from stavebound.body.skeleton import arm
from stavebound.check.hands import hand_goes, hand_says
from stavebound.check.phrasing import departures_of, listed, number
from stavebound.dance.danced import Danced, Moment
from stavebound.dance.points import hand_point
from stavebound.dance.pose import HandPose, Step
from stavebound.diagnostics import Diagnostic
from stavebound.score.departures import departure
from stavebound.score.model import Bend, ElbowChange, HandChange, Side
from stavebound.trade.catalogue import Catalogue
from stavebound.trade.naming import contact_row


def marks_of_a_known_hand(danced: Danced) -> Iterator[Diagnostic]:
    """A palm or a line of the arm alone goes with the hand as it is held."""
    for _, step, change in _hands(danced):
        held = step.before.hands.of(change.side)
        if not hand_says(change) or hand_goes(change) or held or change.side in step.doubtful:
            continue
        if contact_row(danced.catalogue, change.touching):
            continue
        written = departures_of(change)
        yield Diagnostic(
            "T336",
            f"the {listed(written)} of the {change.side} hand, and it is not known where it is",
            change.origin.of(*written),
            ('Write its place too: in="…", or height, out and depth.',),
        )


def line_of_the_arm_in_reach(danced: Danced) -> Iterator[Diagnostic]:
    """At a free place the hand's distance says how far the arm can be rounded or stretched."""
    arms = danced.catalogue.shapes.line
    for _, step, change in _hands(danced):
        hand = step.after.hands.of(change.side)
        line = departure(change.departures, "arm")
        if line is None or hand is None or hand.shape or change.side in step.doubtful:
            continue
        share = _share(hand, danced.catalogue)
        near = line == "stretched" and share < arms.stretched
        far = line == "rounded" and share > arms.rounded
        if near or far:
            least = f"from {number(arms.stretched)}" if near else f"up to {number(arms.rounded)}"
            yield Diagnostic(
                "T337",
                f"the {change.side} arm cannot be {line} where its hand is",
                change.origin.of("arm"),
                (
                    f"The hand is at {number(share)} of the arm's reach; "
                    f"an arm is {line} {least} of it.",
                    f"Move the hand {'further out' if near else 'nearer'}, or leave out arm.",
                ),
            )


def no_stretched_arm_with_a_bent_elbow(danced: Danced) -> Iterator[Diagnostic]:
    for moment, _, change in _hands(danced):
        bend = moment.after.elbows.of(change.side).bend
        if departure(change.departures, "arm") == "stretched" and bend is not Bend.NONE:
            elbow = written_elbow(moment, change.side)
            straight = f'<elbow side="{change.side}" bend="none"/>'
            yield Diagnostic(
                "T338",
                f"the {change.side} arm is stretched, and its elbow is bent",
                change.origin.of("arm"),
                (f"Leave out arm, or write {straight}.",),
                ((elbow.origin.of("bend"), "here it is bent"),) if elbow else (),
            )


def no_bent_elbow_at_full_reach(danced: Danced) -> Iterator[Diagnostic]:
    stretched = danced.catalogue.shapes.line.stretched
    for moment, step, change in _hands(danced):
        elbow, hand = written_elbow(moment, change.side), moment.after.hands.of(change.side)
        if elbow is None or hand is None or change.side in step.doubtful:
            continue
        share = _share(hand, danced.catalogue)
        if elbow.bend is not Bend.NONE and hand_goes(change) and stretched <= share <= 1:
            yield Diagnostic(
                "T339",
                f"the {change.side} elbow cannot be bent where its hand is",
                elbow.origin.of("bend"),
                (
                    f"The hand is at {number(share)} of the arm's reach; "
                    f"from {number(stretched)} of it on an arm is stretched.",
                ),
                ((change.origin.span, "the hand"),),
            )


def _share(hand: HandPose, catalogue: Catalogue) -> float:
    """To two places, as the table and the messages give it."""
    return round(arm(catalogue.person).share(hand_point(hand, catalogue)), 2)


def written_elbow(moment: Moment, side: Side) -> ElbowChange | None:
    """What the moment writes of an elbow."""
    found = (each for each in moment.changes if isinstance(each, ElbowChange))
    return next((each for each in found if each.side is side), None)


def _hands(danced: Danced) -> Iterator[tuple[Moment, Step, HandChange]]:
    for moment in danced.moments:
        for step in moment.steps:
            if isinstance(step.change, HandChange):
                yield moment, step, step.change
