"""Kneeling: what may be done on the knees, and how it ends.

In: a `Danced`. Out: diagnostics. A dancer who kneels stands up where both feet are written in a
position, or where the leg of the knee that is down is freed and the foot in front has all the
weight. Before that no foot rises, springs or leaves the floor, and no knee bends or stretches.
"""

from __future__ import annotations

from collections.abc import Iterator

from stavebound.dance.danced import Danced, Moment
from stavebound.dance.pose import BOTH, Free, Pose, Standing
from stavebound.diagnostics import Diagnostic
from stavebound.score.model import (
    Change,
    FeetChange,
    FootChange,
    KneelChange,
    KneesChange,
    Side,
    Transfer,
)
from stavebound.trade.catalogue import Catalogue
from stavebound.trade.naming import kneels

STAND_UP = 'Stand up first: both feet in a position, such as <feet in="fifth" front="right"/>.'


def no_rise_on_the_knees(danced: Danced) -> Iterator[Diagnostic]:
    for moment in _begun_on_knees(danced):
        for change in moment.changes:
            if _stays(change, moment):
                yield Diagnostic(
                    "T376",
                    "the dancer kneels here, and something is said of feet that stand",
                    change.origin.span,
                    (STAND_UP,),
                )


def no_spring_from_the_knees(danced: Danced) -> Iterator[Diagnostic]:
    for moment in _begun_on_knees(danced):
        for change in moment.changes:
            if isinstance(change, FeetChange | FootChange) and change.by is Transfer.SPRING:
                yield Diagnostic(
                    "T377",
                    "the dancer kneels before this, and nobody springs from the knees",
                    change.origin.of("by"),
                    ("Stand up in a frame before it, and bend for the spring.",),
                )


def no_foot_lifted_from_under_the_knees(danced: Danced) -> Iterator[Diagnostic]:
    for moment in _begun_on_knees(danced):
        for change in moment.changes:
            if not isinstance(change, FootChange) or not _freed(change.side, moment.after):
                continue
            if not _stands_up_on(change.side.other, moment, danced.catalogue):
                yield Diagnostic(
                    "T378",
                    f"the dancer kneels, and without the {change.side} foot nobody stands",
                    change.origin.of("to", "place", "raised", "height"),
                    (
                        STAND_UP,
                        "Only the leg of the knee that is down may be freed by itself: "
                        "the foot in front then has the weight.",
                    ),
                )


def no_bend_on_the_knees(danced: Danced) -> Iterator[Diagnostic]:
    for moment in danced.moments:
        for change in moment.changes if on_knees(moment.after, danced.catalogue) else ():
            if isinstance(change, KneesChange):
                yield Diagnostic(
                    "T379",
                    "the dancer kneels here: how the knees are bent follows from that",
                    change.origin.of("bend"),
                    (
                        'Upright or sitting="back" is said of kneel. Delete this.',
                        "Where the dancer stands up, write the feet too.",
                    ),
                )


def on_knees(pose: Pose, catalogue: Catalogue) -> bool:
    return any(
        isinstance(foot, Standing) and kneels(catalogue, foot.position)
        for foot in (pose.feet.right, pose.feet.left)
    )


def _begun_on_knees(danced: Danced) -> Iterator[Moment]:
    """The moments before which the dancer kneels, and in which nothing says so anew."""
    for moment in danced.moments:
        anew = any(isinstance(change, KneelChange) for change in moment.changes)
        if on_knees(moment.before, danced.catalogue) and not anew:
            yield moment


def _freed(side: Side, after: Pose) -> bool:
    return isinstance(after.feet.of(side), Free)


def _stays(change: Change, moment: Moment) -> bool:
    """Whether it speaks of feet that stand, while the dancer stays on the knees."""
    if isinstance(change, FeetChange):
        return change.position is None
    if not isinstance(change, FootChange) or _freed(change.side, moment.after):
        return False
    return not any(_freed(side, moment.after) for side in BOTH)


def _stands_up_on(side: Side, moment: Moment, catalogue: Catalogue) -> bool:
    """Whether a foot may bear all the weight then: it was in front, or is written as it stands."""
    written = (change for change in moment.changes if isinstance(change, FootChange))
    if any(change.side is side and change.rise for change in written):
        return True
    foot = moment.before.feet.of(side)
    return isinstance(foot, Standing) and foot.front is side
