"""Placings: where limbs are in a pose, by the rows of the key that show a place.

In: a `Posed`, or a score as it is danced. Out: names such as "hand height ribs", "free front 45",
"unmarked side" of an arm that no mark stands by, or "named arms side". They are no ways of
writing: each is read by the features of the key, and has a page of its first use.
"""

from __future__ import annotations

from collections.abc import Iterator

from stavebound.dance.danced import Danced
from stavebound.dance.features import Span, found_in
from stavebound.dance.pose import FootPose, Free, HandPose, Posed
from stavebound.score.departures import departure
from stavebound.trade.catalogue import Catalogue
from stavebound.trade.naming import arms_of


def score_placings(danced: Danced, span: Span = (None, None)) -> frozenset[str]:
    """Those of all its poses, or of what begins within a span."""
    return found_in(danced, span, placings)


def placings(posed: Posed, catalogue: Catalogue) -> frozenset[str]:
    """Those of what is written there."""
    return frozenset(_placings(posed, catalogue))


def _placings(posed: Posed, catalogue: Catalogue) -> Iterator[str]:
    hands, feet = posed.pose.hands, posed.pose.feet
    written = [subject for subject, _ in posed.written if subject.side]
    for subject in written:
        if subject.side and subject.kind == "foot":
            yield from _of_foot(feet.of(subject.side))
        elif subject.side and subject.kind == "hand" and (hand := hands.of(subject.side)):
            yield from _of_hand(hand, catalogue)
    if any(subject.kind == "hand" for subject in written) and hands.right and hands.left:
        both = hands.right.shape or "", hands.left.shape or ""
        yield from (f"named arms {row.name}" for row in arms_of(catalogue, both))


def _of_foot(foot: FootPose | None) -> Iterator[str]:
    if isinstance(foot, Free) and foot.place:
        yield f"free {foot.direction} {foot.place}"


def _of_hand(hand: HandPose, catalogue: Catalogue) -> Iterator[str]:
    *_, height = (row for row in catalogue.key.height if hand.height >= row.at_least)
    yield f"hand height {height.name}"
    if hand.shape and departure(hand.departures, "arm") is None:
        yield f"unmarked {hand.shape}"
