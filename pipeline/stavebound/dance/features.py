"""Features: which ways of writing a pose uses, for the key.

In: a `Posed`, or a score as it is danced. Out: names such as "feet fifth" or "free
pointed", one for each thing a reader must know to read what is written there;
`trade/key.toml` has a row for each of them.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator
from fractions import Fraction

from stavebound.dance.danced import Danced
from stavebound.dance.pose import (
    FootPose,
    Free,
    HandPose,
    Joint,
    Move,
    Posed,
    Subject,
)
from stavebound.score.attitude import STRAIGHT, Attitude
from stavebound.score.counts import phrased
from stavebound.score.departures import Departures
from stavebound.score.lanes import TravelPath, TurnedOn
from stavebound.score.model import Bend, CentrePart, Depth, PathForm
from stavebound.trade.catalogue import Catalogue
from stavebound.trade.centre import Centre
from stavebound.trade.naming import kneels

LANES = ("facing", "turn", "travel")


# From a moment on, up to another; None where there is no end to it.
Span = tuple[Fraction | None, Fraction | None]


def score_features(danced: Danced, span: Span = (None, None)) -> frozenset[str]:
    """Those of all its poses, and of what goes from one to another; or of what begins within a
    span, the starting position with all that has no beginning."""
    found = found_in(danced, span, features)
    bows = any(_within(bow.start, span) for bow in phrased(danced.timeline))
    return found | {"phrasing"} if bows else found


def found_in(
    danced: Danced, span: Span, of: Callable[[Posed, Catalogue], Iterable[str]]
) -> frozenset[str]:
    """What is found in the poses that begin within a span."""
    return frozenset(
        name
        for moment in danced.moments
        if _within(moment.event.time if moment.event else None, span)
        for name in of(moment.posed, danced.catalogue)
    )


def _within(time: Fraction | None, span: Span) -> bool:
    start, end = span
    if time is None:
        return start is None
    return (start is None or start <= time) and (end is None or time < end)


def features(posed: Posed, catalogue: Catalogue) -> frozenset[str]:
    written = (name for subject, _ in posed.written for name in _of_limb(subject, posed, catalogue))
    return frozenset((*written, *(name for move in posed.moves for name in _of_move(move))))


def _of_move(move: Move) -> Iterator[str]:
    if move.kind != "way":
        yield f"by {move.kind}"
        yield from (f"beat {side} in front" for side in move.beats)
        yield from move.air
    elif move.via:
        yield "way via"
    else:
        yield f"way {move.path or PathForm.STRAIGHT}"
    if move.bow:
        yield f"bow {move.bow}"


def _of_limb(subject: Subject, posed: Posed, catalogue: Catalogue) -> Iterator[str]:
    pose = posed.pose
    if subject.kind in catalogue.lanes.whole_features:
        yield catalogue.lanes.whole_features[subject.kind]
    elif subject.kind in LANES:
        yield from _of_lane(subject.kind, posed)
    elif subject.side is None:
        yield subject.kind
        yield from _of_attitude(pose.attitude(CentrePart(subject.kind)), catalogue.centre)
    elif subject.kind == "knee":
        yield from _of_joint("knee", pose.knees.of(subject.side))
    elif subject.kind == "elbow":
        yield from _of_joint("elbow", pose.elbows.of(subject.side))
    elif subject.kind == "hand" and (hand := pose.hands.of(subject.side)):
        yield from (*_of_hand(hand), *_of_departures(hand.departures))
    elif subject.kind == "foot" and (foot := pose.feet.of(subject.side)):
        yield from (*_of_foot(foot, catalogue), *_of_departures(foot.departures))


def _of_lane(kind: str, posed: Posed) -> Iterator[str]:
    if kind == "facing":
        yield kind
    elif kind == "turn" and posed.turn:
        yield f"turn {posed.turn.to}"
        if posed.turn.on is not TurnedOn.BOTH:
            yield f"turn on {posed.turn.on}"
        if posed.turn.lasts:
            yield "turn lasting"
        if posed.turn.spotting:
            yield "turn spotting"
    elif kind == "travel" and posed.travel:
        yield f"travel by the {posed.travel.of}"
        if posed.travel.path is not TravelPath.STRAIGHT:
            yield f"travel {posed.travel.path.split(' ')[0]}"
        if posed.travel.steps:
            yield posed.travel.steps.sign


def _of_hand(hand: HandPose) -> Iterator[str]:
    yield f"hand {hand.depth}"
    if hand.out < 0:
        yield "hand across"


def _of_departures(departures: Departures) -> Iterator[str]:
    return (f"{name} {value}" for name, value in departures)


def _of_joint(kind: str, joint: Joint) -> Iterator[str]:
    plain = joint.bend is Bend.NONE or joint.depth is Depth.LEVEL
    yield f"{kind} {joint.bend}" if plain else f"{kind} {joint.bend} {joint.depth}"


def _of_attitude(attitude: Attitude, centre: Centre) -> Iterator[str]:
    for name, lean in attitude:
        yield f"{centre.leaning[name, lean.direction].key} {lean.amount}"
    if attitude == STRAIGHT:
        yield "straight"


def _of_foot(foot: FootPose, catalogue: Catalogue) -> Iterator[str]:
    if isinstance(foot, Free):
        yield f"free {foot.direction}"
        yield f"free {foot.place or 'height'}"
        if foot.out is not None and foot.out < 0:
            yield "foot across"
        return
    if kneels(catalogue, foot.position):
        yield f"kneeling {foot.position}"
        return
    yield f"rise {foot.rise}"
    if not foot.bears:
        yield "weight on one foot"
    yield f"feet {foot.position}" if foot.position else "foot alone"
