"""Gather: the signs that a frame's written limbs ask for, at their ideal places.

In: a `Posed` and the catalogue. Out: clusters of signs round the frame's axis
(x = 0), in spaces. The signs of a cluster belong together and move together.
The places come from the tables; nothing is cleared here.

    hand ▏        ▕ hand          knee ━╋━        ━╋━ knee
                                       feet ━━●
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from stavebound.engrave.outline import sign_box
from stavebound.geometry import Box
from stavebound.score.model import Bend, Depth, Origin, Palm, Part, Side, Way
from stavebound.score.pose import (
    STRAIGHT,
    Attitude,
    FootPose,
    Free,
    HandPose,
    Joint,
    Limb,
    Posed,
    Sided,
    Standing,
)
from stavebound.score.state import BOTH
from stavebound.trade.catalogue import Catalogue
from stavebound.trade.tables import FeetPosition, FreePlace, Marks, Placed, Scale

DEPTH_SIGN = {Depth.LEVEL: "level", Depth.FRONT: "front", Depth.BEHIND: "behind"}
FREE_SIGN = {Way.FRONT: "front", Way.SIDE: "level", Way.BACK: "behind"}


@dataclass(frozen=True, slots=True)
class Ink:
    """A sign with its centre at x, y from the frame's axis and the floor line, in spaces."""

    sign: str
    x: float
    y: float
    mirrored: bool = False

    def moved(self, dx: float, dy: float) -> Ink:
        return Ink(self.sign, self.x + dx, self.y + dy, self.mirrored)


@dataclass(frozen=True, slots=True)
class Cluster:
    """Signs that move together; the first of them is the sign that counts for clearance.

    `limbs` are what it writes, `fixed` what may not move (weight-bearing feet
    have three places of their own); `outward` is the side to which it gives way.
    """

    inks: tuple[Ink, ...]
    limbs: tuple[Limb, ...]
    origin: Origin
    fixed: bool = False

    @property
    def outward(self) -> int:
        side = self.limbs[0].side
        return side.sign if side else 0

    def moved(self, dx: float, dy: float) -> Cluster:
        inks = tuple(ink.moved(dx, dy) for ink in self.inks)
        return Cluster(inks, self.limbs, self.origin, self.fixed)


def ink_box(ink: Ink, catalogue: Catalogue) -> Box:
    return sign_box(catalogue.sign(ink.sign), ink.mirrored).moved(ink.x, ink.y)


def ink_boxes(cluster: Cluster, catalogue: Catalogue) -> tuple[Box, ...]:
    """The boxes of a cluster's signs, one each."""
    return tuple(ink_box(ink, catalogue) for ink in cluster.inks)


def gather(posed: Posed, catalogue: Catalogue) -> tuple[Cluster, ...]:
    """What is written at this moment: feet first, then joints, the centre line, then hands."""
    return (
        *_feet(posed, catalogue),
        *_joints(posed, catalogue),
        *_centre(posed, catalogue),
        *_hands(posed, catalogue),
    )


def _centre(posed: Posed, catalogue: Catalogue) -> Iterator[Cluster]:
    """Head, body and hips, each on the axis, its signs side by side."""
    for row in catalogue.centre.part:
        limb = Limb(row.name)
        origin = posed.origin(limb)
        if origin:
            signs = tuple(_attitude(posed.pose.attitude(Part(row.name))))
            left = -catalogue.centre.step * (len(signs) - 1) / 2
            inks = tuple(
                Ink(sign, left + index * catalogue.centre.step, row.y, mirrored)
                for index, (sign, mirrored) in enumerate(signs)
            )
            yield Cluster(inks, (limb,), origin)


def _attitude(attitude: Attitude) -> Iterator[tuple[str, bool]]:
    """The signs of an attitude, each with whether it is mirrored to the left."""
    for name, lean in (("tilt", attitude.tilt), ("turn", attitude.turn)):
        if lean:
            yield f"{name} {lean.amount}", lean.direction == "left"
    if attitude.bend:
        to, amount = attitude.bend.direction, attitude.bend.amount
        ahead = f" {to}" if to in ("front", "back") else ""
        yield f"bend{ahead} {amount}", to == "left"
    if attitude == STRAIGHT:
        yield "straight again", False


def _hands(posed: Posed, catalogue: Catalogue) -> Iterator[Cluster]:
    for side in BOTH:
        limb = Limb("hand", side)
        origin, hand = posed.origin(limb), posed.pose.hands.of(side)
        if origin and hand:
            sign = _hand(side, hand, catalogue)
            inks = (sign, *_marks(side, hand, sign, catalogue.marks))
            yield Cluster(inks, (limb,), origin)


def _hand(side: Side, hand: HandPose, catalogue: Catalogue) -> Ink:
    across = catalogue.body.across.hand
    return Ink(DEPTH_SIGN[hand.depth], side.sign * hand_x(hand.out, across), hand.height)


def hand_x(out: float, across: Scale) -> float:
    """How far from the axis, towards its own side, a hand's sign stands, in spaces."""
    return (across.base if out >= 0 else -across.base) + across.slope * out


def _marks(side: Side, hand: HandPose, sign: Ink, marks: Marks) -> Iterator[Ink]:
    """What stands by a hand's sign: a tick across it, the arm's line, the palm."""
    left, beside = side is Side.LEFT, marks.beside[sign.sign]
    if hand.out < 0:
        dx, dy = marks.across[sign.sign]
        yield Ink("across", sign.x + dx, sign.y + dy)
    if hand.arm:
        yield Ink(f"arm {hand.arm}", sign.x + side.sign * beside, sign.y, left)
    if hand.palm is Palm.IN:
        yield Ink("palm aside", sign.x - side.sign * beside, sign.y, not left)
    elif hand.palm is Palm.OUT:
        away = beside + (marks.step if hand.arm else 0.0)
        yield Ink("palm aside", sign.x + side.sign * away, sign.y, left)
    elif hand.palm:
        way = 1 if hand.palm is Palm.UP else -1
        yield Ink(f"palm {hand.palm}", sign.x, sign.y + way * marks.over[sign.sign])


def _joints(posed: Posed, catalogue: Catalogue) -> Iterator[Cluster]:
    """Knees, then elbows."""
    for kind, joints in (("knee", posed.pose.knees), ("elbow", posed.pose.elbows)):
        for side in BOTH:
            limb = Limb(kind, side)
            origin = posed.origin(limb)
            if origin:
                yield Cluster((_joint(kind, side, joints.of(side), catalogue),), (limb,), origin)


def _joint(kind: str, side: Side, joint: Joint, catalogue: Catalogue) -> Ink:
    row = catalogue.feet.joint[kind][joint.bend]
    plain = joint.bend is Bend.NONE or joint.depth is Depth.LEVEL
    across = catalogue.body.across.hand
    x = row.x if joint.out is None else hand_x(joint.out, across)
    y = (row.y or 0.0) if joint.height is None else joint.height
    sign = row.sign if plain else f"{row.sign} {joint.depth}"
    return Ink(sign, side.sign * x, y, mirrored=side is Side.LEFT)


def _feet(posed: Posed, catalogue: Catalogue) -> Iterator[Cluster]:
    written = [
        (side, foot, origin)
        for side in BOTH
        if (origin := posed.origin(Limb("foot", side))) and (foot := posed.pose.feet.of(side))
    ]
    standing = [(side, foot, at) for side, foot, at in written if isinstance(foot, Standing)]
    if len(standing) == 2 and standing[0][1].position == standing[1][1].position:
        _, foot, origin = standing[0]
        limbs = tuple(Limb("foot", side) for side in BOTH)
        inks = _pair(foot, catalogue)
        inks += tuple(_weight(posed.pose.feet, inks, catalogue))
        yield Cluster(inks, limbs, origin, fixed=True)
    else:
        for side, foot, origin in standing:
            alone = catalogue.feet.alone
            ink = _placed(alone, side, catalogue.feet.rise[foot.rise].level)
            yield Cluster((ink,), (Limb("foot", side),), origin, fixed=True)
    for side, free, origin in written:
        if isinstance(free, Free):
            yield Cluster(tuple(_free(side, free, catalogue)), (Limb("foot", side),), origin)


def _weight(
    feet: Sided[FootPose | None], inks: tuple[Ink, ...], catalogue: Catalogue
) -> Iterator[Ink]:
    """A dot under the foot that bears the weight where the other is on the floor without."""
    for side in BOTH:
        other = feet.of(side.other)
        if isinstance(other, Standing) and not other.bears:
            sign = next(ink for ink in inks if ink.mirrored is (side is Side.LEFT))
            yield Ink("weight", sign.x, sign.y - catalogue.marks.under)


def _pair(foot: Standing, catalogue: Catalogue) -> tuple[Ink, ...]:
    position = {row.name: row for row in catalogue.feet.position}[foot.position or "first"]
    rise = catalogue.feet.rise[foot.rise]
    return tuple(
        _placed(row, side, rise.front if row.sign == "front" else rise.level)
        for row, side in _sides(position, foot.front or Side.RIGHT)
    )


def _sides(position: FeetPosition, front: Side) -> Iterator[tuple[Placed, Side]]:
    if position.right:
        yield from ((position.right, side) for side in BOTH)
    if position.front and position.behind:
        yield position.front, front
        yield position.behind, front.other


def _placed(row: Placed, side: Side, y: float) -> Ink:
    return Ink(row.sign, side.sign * row.x, y, mirrored=side is Side.LEFT)


def _free(side: Side, foot: Free, catalogue: Catalogue) -> Iterator[Ink]:
    """The foot's sign, then what goes with it: hook, tail, bent knee."""
    table = catalogue.feet
    place = {row.name: row for row in table.free.place}[foot.place]
    sign = FREE_SIGN[foot.way]
    x, y = _free_place(side, foot.way, place, table.free.before)
    left = side is Side.LEFT
    yield Ink(sign, x, y)
    if place.hook:
        yield Ink("hook", x + side.sign * table.hook[sign], y, mirrored=left)
    if y >= table.tail.above:
        dx, dy = table.tail.at[sign]
        yield Ink("tail", x + side.sign * dx, y + dy, mirrored=left)
    if place.bend:
        yield Ink("half bend", side.sign * place.bend["x"], place.bend["y"], mirrored=left)


def _free_place(side: Side, way: Way, place: FreePlace, before: float) -> tuple[float, float]:
    x = place.side if way is Way.SIDE else before
    return side.sign * x, place.front if way is Way.FRONT else place.level
