"""Expected: what the ink must say, by what was written.

In: a pose with what was written in it, and how far signs were moved. Out: limbs
as a reader must find them: where they were written, and as much further as their
signs were moved.

Two feet written each by itself, standing alike and in no position, stand beside
each other: that is first.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass

from stavebound.diagnostics import Span
from stavebound.readback.values import (
    FeetRead,
    FootRead,
    FreeRead,
    HandRead,
    KneeRead,
    LimbRead,
)
from stavebound.score.model import Side, Way
from stavebound.score.pose import Free, Joint, Limb, Pose, Posed, Standing
from stavebound.score.state import BOTH
from stavebound.trade.catalogue import Catalogue

BESIDE = "first"
Shift = tuple[float, float]
Shifts = Mapping[Limb, Shift]


@dataclass(frozen=True, slots=True)
class Written:
    """One moment of a line as it was written and placed.

    `bar` counts the bar lines of the line before it. `shifts`: how far the sign of
    a limb was moved, across and up, in spaces. `span` is the frame's own.
    """

    count: str | None
    posed: Posed
    shifts: tuple[tuple[Limb, Shift], ...]
    bar: int
    span: Span
    step: str | None = None
    cue: str | None = None


@dataclass(frozen=True, slots=True)
class WrittenLine:
    """A line as it was written: `bars` bar lines end its bars, `final` where the last of
    them ends the score. `span` is the score's own."""

    moments: tuple[Written, ...]
    bars: int
    final: bool
    span: Span


def expected(written: Written, catalogue: Catalogue) -> tuple[LimbRead, ...]:
    shifts = dict(written.shifts)
    return (
        *_feet(written.posed, shifts, catalogue),
        *_knees(written.posed, shifts, catalogue),
        *_hands(written.posed, shifts, catalogue),
    )


def _feet(posed: Posed, shifts: Shifts, catalogue: Catalogue) -> Iterator[LimbRead]:
    feet = {side: posed.pose.feet.of(side) for side in BOTH if posed.origin(Limb("foot", side))}
    right, left = feet.get(Side.RIGHT), feet.get(Side.LEFT)
    if isinstance(right, Standing) and right == left:
        yield FeetRead(right.position or BESIDE, right.front, right.rise)
        return
    table = catalogue.feet.free
    places = {row.name: row for row in table.place}
    for side, foot in feet.items():
        if isinstance(foot, Standing):
            yield FootRead(side, foot.rise)
        elif isinstance(foot, Free):
            row = places[foot.place]
            x = row.side if foot.way is Way.SIDE else table.before
            y = row.front if foot.way is Way.FRONT else row.level
            at = _shifted(x, y, Limb("foot", side), shifts)
            yield FreeRead(side, foot.way, foot.place, at)


def is_readable(posed: Posed) -> bool:
    """Whether the reader knows every sign that this writes. It does not know yet the
    signs of head, body, hips and elbows, joints out of their usual place or plane,
    palms, lines of the arm, limbs across and the weight on one foot of two."""
    pose = posed.pose
    return all(_is_readable(limb, pose) for limb, _ in posed.written)


def _is_readable(limb: Limb, pose: Pose) -> bool:
    if limb.side is None or limb.kind == "elbow":
        return False
    if limb.kind == "knee":
        knee, foot = pose.knees.of(limb.side), pose.feet.of(limb.side)
        drawn_by_the_foot = isinstance(foot, Free) and foot.place == "knee"
        return knee == Joint(knee.bend) and not drawn_by_the_foot
    if limb.kind == "hand":
        hand = pose.hands.of(limb.side)
        return hand is None or (hand.out >= 0 and not hand.palm and not hand.arm)
    feet = (pose.feet.right, pose.feet.left)
    return all(foot.bears for foot in feet if isinstance(foot, Standing))


def _knees(posed: Posed, shifts: Shifts, catalogue: Catalogue) -> Iterator[LimbRead]:
    for side in BOTH:
        limb, bend = Limb("knee", side), posed.pose.knees.of(side).bend
        if posed.origin(limb):
            row = catalogue.feet.joint["knee"][bend]
            yield KneeRead(side, bend, _shifted(row.x, row.y or 0.0, limb, shifts))


def _hands(posed: Posed, shifts: Shifts, catalogue: Catalogue) -> Iterator[LimbRead]:
    across = catalogue.body.across.hand
    for side in BOTH:
        limb, hand = Limb("hand", side), posed.pose.hands.of(side)
        if hand and posed.origin(limb):
            out, height = _shifted(hand.out * across.slope, hand.height, limb, shifts)
            yield HandRead(side, hand.depth, height, out / across.slope)


def _shifted(x: float, y: float, limb: Limb, shifts: Shifts) -> tuple[float, float]:
    """A place out from the axis and up, and as much further as the sign was moved."""
    dx, dy = shifts.get(limb, (0.0, 0.0))
    return x + (limb.side.sign if limb.side else 0) * dx, y + dy
