"""Moves: how limbs come to their places, as far as it is written.

In: a change, and the poses before and after it. Out: a `Move` for every limb of
which the way or the transfer of weight is written. What cannot be understood
(a name the school does not have) is no move; `check` reports it.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator

from stavebound.dance.beats import beaten
from stavebound.dance.pose import (
    BOTH,
    FEET,
    HANDS,
    FootPose,
    Free,
    HandPose,
    Move,
    Pose,
    Standing,
    Subject,
)
from stavebound.score.model import (
    ArmsChange,
    Bow,
    Change,
    Depth,
    FeetChange,
    FootChange,
    HandChange,
    LegDirection,
    Rise,
    Side,
    Transfer,
)
from stavebound.trade.catalogue import Catalogue
from stavebound.trade.naming import arms_shape, hand_row, hand_shape
from stavebound.trade.tables import HandShape, School

# A way by a place in front of the body or behind it bows there, and the ink says so:
# the place itself has no sign.
BOWS = {"front": Bow.FRONT, "behind": Bow.BEHIND, "back": Bow.BEHIND, "side": Bow.SIDE}
# What can go by a way of its own.
GOING = (FootChange, HandChange, ArmsChange)


def moves(
    change: Change, before: Pose, after: Pose, catalogue: Catalogue, school: School
) -> Iterable[Move]:
    if isinstance(change, FeetChange):
        return _transfer(change, moving_foot(change, before), before)
    if not isinstance(change, GOING):
        return ()
    goes = change.via or change.path or change.bow
    if isinstance(change, FootChange):
        return _foot(change, before, after) if goes or change.by else ()
    return _hands(change, catalogue, school) if goes else ()


def _foot(change: FootChange, before: Pose, after: Pose) -> Iterator[Move]:
    yield from _transfer(change, change.side, before)
    if change.via or change.path or change.bow:
        via = foot_via(change, before, after)
        bow = change.bow or BOWS.get(change.via or "")
        yield Move("way", FEET[change.side], change.origin, via, change.path, bow)


def _hands(change: HandChange | ArmsChange, catalogue: Catalogue, school: School) -> Iterator[Move]:
    if isinstance(change, HandChange):
        row = hand_shape(catalogue, school, change.via) if change.via else None
        yield _hand(change.side, row, change)
        return
    shape = arms_shape(catalogue, school, change.via) if change.via else None
    rows = [hand_row(catalogue, name) for name in shape.hands] if shape else [None, None]
    lead = change.lead or Side.RIGHT
    for side, row in zip((lead, lead.other), rows, strict=True):
        yield _hand(side, row, change)


def moving_foot(change: FeetChange, before: Pose) -> Side | None:
    """The foot that slides or steps: as written, else the one that was free."""
    free = [side for side in BOTH if isinstance(before.feet.of(side), Free)]
    return change.moving or (free[0] if len(free) == 1 else None)


def _transfer(change: FeetChange | FootChange, side: Side | None, before: Pose) -> Iterator[Move]:
    if change.by is Transfer.SPRING:
        beats = beaten(change.flight.beats, before.feet)
        air = change.flight.names
        yield Move(change.by, Subject("feet"), change.origin, beats=beats, air=air)
    elif change.by and side:
        yield Move(change.by, FEET[side], change.origin)


def _hand(side: Side, row: HandShape | None, change: HandChange | ArmsChange) -> Move:
    via = HandPose(Depth(row.depth), row.height, row.out, row.forward) if row else None
    bow = change.bow or (BOWS.get(row.depth) if row else None)
    return Move("way", HANDS[side], change.origin, via, change.path, bow)


def foot_via(change: FootChange, before: Pose, after: Pose) -> FootPose | None:
    """Where a free foot passes: at the other leg, closed, or through a direction at the
    height to which it goes, else from which it comes."""
    if change.via is None:
        return None
    if change.via == "first":
        return Standing(Rise.WHOLE)
    direction = {
        "front": LegDirection.FRONT,
        "side": LegDirection.SIDE,
        "back": LegDirection.BACK,
    }.get(change.via)
    foot, held = after.feet.of(change.side), before.feet.of(change.side)
    at = next((each for each in (foot, held) if isinstance(each, Free)), None)
    if direction:
        return Free(direction, at.place if at and at.place else "pointed")
    return Free(at.direction if at else LegDirection.SIDE, change.via)
