"""Hands: a place that is said in full, agrees with its name, and can be reached.

In: a `Danced`. Out: diagnostics. A hand that rests on a name which nobody knows is
not judged.
"""

from __future__ import annotations

from collections.abc import Iterator
from math import ceil, trunc

from stavebound.body.skeleton import arm
from stavebound.check.phrasing import hints, listed, number
from stavebound.dance.danced import Danced
from stavebound.dance.points import hand_point
from stavebound.dance.pose import HandPose, Step
from stavebound.dance.state import height_value
from stavebound.diagnostics import Diagnostic
from stavebound.score.lexical import height_text
from stavebound.score.measures import Height
from stavebound.score.model import Depth, HandChange
from stavebound.trade.catalogue import Catalogue
from stavebound.trade.naming import hand_shape, nearest_line, strays
from stavebound.trade.tables import HandShape

SLACK = 1e-9


def hand_says_something(danced: Danced) -> Iterator[Diagnostic]:
    for _, change in _hands(danced):
        if not hand_says(change):
            yield Diagnostic(
                "T331",
                f"the {change.side} hand has neither a name nor a place",
                change.origin.span,
                (
                    'Write in="…" for a shape with a name, or height, out and depth for a place.',
                    "Leave the hand out where it stays as it is.",
                ),
            )


def place_in_full(danced: Danced) -> Iterator[Diagnostic]:
    """A hand of which nothing is known yet needs its whole place."""
    for step, change in _hands(danced):
        if change.name or step.before.hands.of(change.side) or _is_doubtful(step, change):
            continue
        if hand_goes(change) and (change.height is None or change.out is None):
            wanted = {"height": change.height, "out": change.out}
            missing = [name for name, value in wanted.items() if value is None]
            yield Diagnostic(
                "T332",
                f"the place of the {change.side} hand lacks its {listed(missing)}",
                change.origin.span,
                (f"Nothing is held from before: write {listed(missing)} too, or a name.",),
            )


def name_and_place_agree(danced: Danced) -> Iterator[Diagnostic]:
    catalogue = danced.catalogue
    for _, change in _hands(danced):
        shape = hand_shape(catalogue, danced.school, change.name) if change.name else None
        apart = list(_apart(change, shape, catalogue)) if shape else []
        if shape and apart:
            yield Diagnostic(
                "T333",
                f"this hand does not agree with “{change.name}” in {listed(apart)}",
                change.origin.of(*apart),
                (
                    _place(change.name or "", shape, catalogue),
                    "Leave out the name to write another place, or the numbers to keep the shape.",
                ),
            )


def depth_and_forward_agree(danced: Danced) -> Iterator[Diagnostic]:
    level = danced.catalogue.shapes.tolerance.forward
    for step, change in _hands(danced):
        hand = step.after.hands.of(change.side)
        if change.forward is None or hand is None or _is_doubtful(step, change):
            continue
        if not _fits(hand.depth, float(change.forward), level):
            yield Diagnostic(
                "T334",
                f"a hand that is {_depth_words(hand.depth)} cannot have forward {change.forward}",
                change.origin.of("forward"),
                (
                    "Forward is above 0 in front, below 0 behind, "
                    f"and at most {number(level)} either way where the hand is level.",
                ),
            )


def hand_in_reach(danced: Danced) -> Iterator[Diagnostic]:
    catalogue, reach = danced.catalogue, arm(danced.catalogue.person)
    for step, change in _hands(danced):
        hand = step.after.hands.of(change.side)
        if hand is None or not hand_goes(change) or _is_doubtful(step, change):
            continue
        tips = hand_point(hand, catalogue)
        if not reach.holds(tips):
            yield Diagnostic(
                "T335",
                f"the {change.side} hand is out of reach",
                change.origin.of("out", "height", "forward", "depth", "slightly", "in"),
                hints(
                    f"It is {reach.distance(tips):.3f} of the dancer's height from its shoulder, "
                    f"and an arm is {reach.length:.3f} long.",
                    _none_in_reach(change, hand),
                    _reachable(hand, catalogue),
                ),
            )


def hand_goes(change: HandChange) -> bool:
    """Whether the hand has a name, or some of a place."""
    return bool(change.name) or any(
        value is not None for value in (change.height, change.out, change.depth, change.forward)
    )


def hand_says(change: HandChange) -> bool:
    """Whether anything is said of the hand: where it goes, what it touches, its marks."""
    return hand_goes(change) or bool(change.departures or change.slightly)


def _hands(danced: Danced) -> Iterator[tuple[Step, HandChange]]:
    for step in danced.steps:
        if isinstance(step.change, HandChange):
            yield step, step.change


def _is_doubtful(step: Step, change: HandChange) -> bool:
    return change.side in step.doubtful


def _apart(change: HandChange, shape: HandShape, catalogue: Catalogue) -> Iterator[str]:
    """The attributes in which a hand strays too far from a shape."""
    height = height_value(change.height, catalogue) if change.height is not None else None
    out = float(change.out) if change.out is not None else None
    return strays(shape, height, out, change.depth, catalogue)


def _place(name: str, shape: HandShape, catalogue: Catalogue) -> str:
    """Where a shape's hand is, in the dialect's words, and how far it may stray."""
    tolerance, across = catalogue.shapes.tolerance, catalogue.ruling.across.hand
    return (
        f"“{name}” is height {_height_words(shape.height, catalogue)} "
        f"(give or take {number(tolerance.height)}), out {number(shape.out)} "
        f"(give or take {number(tolerance.across / across.slope)}), depth {shape.depth}."
    )


def _height_words(height: float, catalogue: Catalogue) -> str:
    """A height in spaces as the dialect writes it, from the nearest line of the stave."""
    return height_text(Height(*nearest_line(catalogue.ruling, height)))


def _fits(depth: Depth, forward: float, level: float) -> bool:
    if depth is Depth.LEVEL:
        return abs(forward) <= level + SLACK
    return forward > 0 if depth is Depth.FRONT else forward < 0


def _depth_words(depth: Depth) -> str:
    return "in front" if depth is Depth.FRONT else str(depth)


def _none_in_reach(change: HandChange, hand: HandPose) -> str | None:
    """Why no distance forward was taken for one that was not written."""
    if change.forward is not None or hand.shape:
        return None
    return (
        "Forward is not written, and at this height and so far out no distance "
        f"is within reach of a hand that is {_depth_words(hand.depth)}."
    )


def _reachable(hand: HandPose, catalogue: Catalogue) -> str | None:
    """How far out it could be instead."""
    found = arm(catalogue.person).out(hand_point(hand, catalogue))
    if found is None:
        return None
    return (
        f"At this height and forward {number(hand.forward)}, out can be "
        f"{number(ceil(found[0] * 100) / 100)} to {_rounded_in(found[1])}."
    )


def _rounded_in(value: float) -> str:
    """To two places and not beyond."""
    return number(trunc(value * 100) / 100)
