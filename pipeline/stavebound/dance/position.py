"""Position: a whole pose as it would be written, were it the first of a score.

In: a pose, the catalogue, and the school whose names are written. Out: the changes of a start.
Always holds: folded from nothing, they are that pose, its numbers to a hundredth, which is all
that the dialect can write. Of the ways in which a limb can be written the shortest is taken:
by its name, else without the numbers that go without saying, else with all of them.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator
from decimal import Decimal
from math import isclose
from typing import NamedTuple, TypeVar

from stavebound.dance.pose import BOTH, FootPose, Free, HandPose, Joint, Pose, Sided, Standing
from stavebound.dance.state import apply
from stavebound.score.attitude import STRAIGHT
from stavebound.score.departures import departures
from stavebound.score.lanes import DIRECTIONS, FacingChange
from stavebound.score.measures import Height
from stavebound.score.model import (
    ArmsChange,
    CentreChange,
    CentrePart,
    Change,
    Depth,
    ElbowChange,
    FeetChange,
    FootChange,
    HandChange,
    KneelChange,
    KneesChange,
    Side,
    Weight,
)
from stavebound.trade.catalogue import Catalogue
from stavebound.trade.naming import (
    arms_of,
    contact_rows,
    hand_row,
    kneeling_name,
    kneels,
    nearest_line,
    own_name,
)
from stavebound.trade.tables import HandShape, School

SLACK = 1e-6

ChangeT = TypeVar("ChangeT", bound=Change)
Place = tuple[Depth | None, Height | None, Decimal | None]


class _Tables(NamedTuple):
    """By what names and places are written."""

    catalogue: Catalogue
    school: School

    def folded(self, changes: Iterable[Change], pose: Pose) -> Pose:
        for change in changes:
            pose = apply(change, pose, self.catalogue, self.school)
        return pose

    def height(self, value: float) -> Height:
        return Height(*nearest_line(self.catalogue.ruling, value))


def position(pose: Pose, catalogue: Catalogue, school: School) -> tuple[Change, ...]:
    """Arms, legs, the body's centre, and where the dancer faces."""
    tables = _Tables(catalogue, school)
    feet = tuple(_feet(pose.feet, tables))
    knees = _knees(pose, tables.folded(feet, Pose()), tables)
    elbows = tuple(_elbows(pose, tables))
    hands = _hands(pose, tables.folded(elbows, Pose()), tables)
    facing = (FacingChange(DIRECTIONS[pose.facing]),) if pose.facing else ()
    return (*hands, *elbows, *feet, *knees, *_centre(pose), *facing)


def alike(a: object, b: object, slack: float = SLACK) -> bool:
    """Whether two poses, limbs or numbers are the same, numbers but for the slack."""
    if isinstance(a, float) and isinstance(b, float):
        return isclose(a, b, abs_tol=slack)
    if isinstance(a, tuple) and isinstance(b, tuple):
        same = type(a) is type(b) and len(a) == len(b)
        return same and all(alike(one, other, slack) for one, other in zip(a, b, strict=True))
    return a == b


def _shortest(
    ways: Iterable[ChangeT], before: Pose, reaches: Callable[[Pose], bool], tables: _Tables
) -> ChangeT:
    """The first that leads where it should, else the last, which has all that can be written."""
    every = tuple(ways)
    return next((way for way in every if reaches(tables.folded((way,), before))), every[-1])


def _number(value: float) -> Decimal:
    """Without a sign where it is nought."""
    return Decimal(f"{round(value, 2) + 0.0:.2f}")


# ---------------------------------------------------------------- arms


def _hands(pose: Pose, bent: Pose, tables: _Tables) -> Iterator[Change]:
    for arms in _arms(pose.hands, tables):
        if alike(tables.folded((arms,), bent).hands, pose.hands):
            yield arms
            return
    for side in BOTH:
        if hand := pose.hands.of(side):
            yield _hand(side, hand, bent, tables)


def _arms(hands: Sided[HandPose | None], tables: _Tables) -> Iterator[ArmsChange]:
    """Both arms by the names of shapes that have these two hands."""
    right, left = hands
    if right is None or left is None or right.shape is None or left.shape is None:
        return
    for shape in arms_of(tables.catalogue, (right.shape, left.shape)):
        leads = Side.RIGHT if shape.hands[0] == right.shape else Side.LEFT
        lead = None if right.shape == left.shape else leads
        for joined in (False, True):
            yield ArmsChange(own_name(shape.name, tables.school), lead, joined)


def _hand(side: Side, hand: HandPose, bent: Pose, tables: _Tables) -> HandChange:
    row = hand_row(tables.catalogue, hand.shape) if hand.shape else None
    ways = _by_name(side, hand, row, tables) if row else _by_place(side, hand, tables)
    return _shortest(ways, bent, lambda pose: alike(pose.hands.of(side), hand), tables)


def _by_name(side: Side, hand: HandPose, row: HandShape, tables: _Tables) -> Iterator[HandChange]:
    """A hand in a shape; where it is a little beside its place, with the numbers of that."""
    arms = arms_of(tables.catalogue, (row.name, row.name))
    names = (*(own_name(shape.name, tables.school) for shape in arms), row.name)
    for name in names:
        yield HandChange(side, name, departures=hand.departures)
    yield HandChange(
        side,
        names[0],
        None if alike(hand.height, row.height) else tables.height(hand.height),
        None if alike(hand.out, row.out) else _number(hand.out),
        None if hand.depth == row.depth else hand.depth,
        None if alike(hand.forward, row.forward) else _number(hand.forward),
        hand.departures,
    )


def _by_place(side: Side, hand: HandPose, tables: _Tables) -> Iterator[HandChange]:
    """A hand on a place of the body or the barre, or anywhere."""
    others = {name: value for name, value in hand.departures if name != "touching"}
    for contact in contact_rows(tables.catalogue):
        yield HandChange(side, departures=departures({**others, "touching": contact.name}))
    depth = None if hand.depth is Depth.LEVEL else hand.depth
    height, out = tables.height(hand.height), _number(hand.out)
    for forward in (None, _number(hand.forward)):
        yield HandChange(side, None, height, out, depth, forward, hand.departures)


# ---------------------------------------------------------------- joints


def _elbows(pose: Pose, tables: _Tables) -> Iterator[ElbowChange]:
    for side in BOTH:
        joint = pose.elbows.of(side)
        if joint != Joint():
            ways = [ElbowChange(joint.bend, side, *place) for place in _places(joint, tables)]
            yield _shortest(ways, Pose(), _bends("elbows", side, joint), tables)


def _knees(pose: Pose, stood: Pose, tables: _Tables) -> Iterator[KneesChange]:
    """Of both knees, where one word is enough, else of each that is not straight."""
    both = KneesChange(pose.knees.right.bend)
    if pose.knees == stood.knees:
        return
    if alike(tables.folded((both,), stood).knees, pose.knees):
        yield both
        return
    for side in BOTH:
        joint = pose.knees.of(side)
        if joint != Joint():
            ways = [KneesChange(joint.bend, side, *place) for place in _places(joint, tables)]
            yield _shortest(ways, stood, _bends("knees", side, joint), tables)


def _bends(joints: str, side: Side, joint: Joint) -> Callable[[Pose], bool]:
    def reaches(pose: Pose) -> bool:
        return alike((pose.knees if joints == "knees" else pose.elbows).of(side), joint)

    return reaches


def _places(joint: Joint, tables: _Tables) -> Iterator[Place]:
    """How the place of a joint can be written, the shortest first."""
    depth = None if joint.depth is Depth.LEVEL else joint.depth
    height = None if joint.height is None else tables.height(joint.height)
    out = None if joint.out is None else _number(joint.out)
    yield from ((depth, None, None), (depth, height, None), (depth, None, out))
    yield (depth, height, out)


# ---------------------------------------------------------------- feet


def _feet(feet: Sided[FootPose | None], tables: _Tables) -> Iterator[Change]:
    """Both feet in a position, and each foot that is otherwise than that says; a foot that is
    freed before one that stands, which is alone by that; then who bears no weight."""
    both = tuple(_both_feet(feet, tables.catalogue))
    reached = tables.folded(both, Pose()).feet
    single = [
        _foot(side, foot, tables)
        for side in BOTH
        if (foot := feet.of(side)) and foot != reached.of(side)
    ]
    single.sort(key=lambda change: change.rise is not None)
    yield from (*both, *single)
    for side in BOTH:
        foot = feet.of(side)
        if isinstance(foot, Standing) and not (foot.bears or both):
            yield FeetChange(weight=Weight(side.other.value))


def _both_feet(
    feet: Sided[FootPose | None], catalogue: Catalogue
) -> Iterator[FeetChange | KneelChange]:
    """In a position, or kneeling."""
    right, left = feet
    if not (isinstance(right, Standing) and isinstance(left, Standing) and right.position):
        return
    if kneels(catalogue, right.position):
        on = Weight(right.front.other.value) if right.front else Weight.BOTH
        upright = kneeling_name(on is Weight.BOTH, sitting=False)
        yield KneelChange(on, right.position != upright)
        return
    alone = None if right.bears is left.bears else Side.RIGHT if right.bears else Side.LEFT
    weight = Weight(alone.value) if alone else None
    yield FeetChange(right.position, right.front, right.rise, weight, right.departures)


def _foot(side: Side, foot: FootPose, tables: _Tables) -> FootChange:
    if isinstance(foot, Standing):
        return FootChange(side, rise=foot.rise, departures=foot.departures)
    ways = _free(side, foot, tables)
    return _shortest(ways, Pose(), lambda pose: alike(pose.feet.of(side), foot), tables)


def _free(side: Side, foot: Free, tables: _Tables) -> Iterator[FootChange]:
    to, own = foot.direction, foot.departures
    if foot.place:
        raised = int(foot.place) if foot.place.isdecimal() else None
        yield FootChange(side, to, None if raised else foot.place, raised, departures=own)
        return
    height = tables.height(foot.height or 0.0)
    for out in (None, _number(foot.out or 0.0)):
        yield FootChange(side, to, height=height, out=out, departures=own)


# ---------------------------------------------------------------- the centre


def _centre(pose: Pose) -> Iterator[CentreChange]:
    for part in CentrePart:
        if (attitude := pose.attitude(part)) != STRAIGHT:
            yield CentreChange(part, attitude)
