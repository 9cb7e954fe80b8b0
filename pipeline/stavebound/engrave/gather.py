"""Gather: the signs that a frame's written limbs ask for, at their ideal places.

In: a `Posed` and the catalogue. Out: clusters of signs round the frame's axis
(x = 0), in spaces. The signs of a cluster belong together and move together.
The places come from the tables; nothing is cleared here.

    hand ▏        ▕ hand          knee ━╋━        ━╋━ knee
                                       feet ━━●
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace

from stavebound.engrave.outline import sign_box
from stavebound.geometry import Box, union
from stavebound.score.model import Bend, Depth, Origin, Palm, Part, Side, Turned, Way
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
    joined,
)
from stavebound.score.state import BARRE, BOTH
from stavebound.trade.catalogue import Catalogue
from stavebound.trade.tables import FeetPosition, FreePlace, Placed, Scale

DEPTH_SIGN = {Depth.LEVEL: "level", Depth.FRONT: "front", Depth.BEHIND: "behind"}
TURNED_SIGN = {Turned.PARALLEL: "parallel", Turned.IN: "turned in"}
JOINTS = {"knee", "elbow"}
SIDED = {"foot", "hand", *JOINTS}
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
    have three places of their own); `outward` is the side to which it gives way,
    away from the axis; 0 for a sign on the centre line, which gives way to either;
    None for two limbs that touch there, which give way to neither.
    """

    inks: tuple[Ink, ...]
    limbs: tuple[Limb, ...]
    origin: Origin
    fixed: bool = False

    @property
    def outward(self) -> int | None:
        if len(self.limbs) > 1:
            return None
        side = self.limbs[0].side
        if side is None:
            return 0
        crossed = self.inks[0].x * side.sign < 0
        return -side.sign if crossed else side.sign

    def moved(self, dx: float, dy: float) -> Cluster:
        inks = tuple(ink.moved(dx, dy) for ink in self.inks)
        return Cluster(inks, self.limbs, self.origin, self.fixed)


def ink_box(ink: Ink, catalogue: Catalogue) -> Box:
    return sign_box(catalogue.sign(ink.sign), ink.mirrored).moved(ink.x, ink.y)


def ink_boxes(cluster: Cluster, catalogue: Catalogue) -> tuple[Box, ...]:
    """The boxes of a cluster's signs, one each."""
    return tuple([ink_box(ink, catalogue) for ink in cluster.inks])


def gather(posed: Posed, catalogue: Catalogue) -> tuple[Cluster, ...]:
    """What is written at this moment: feet first, then joints, hands and the centre line,
    whose signs can give way to all others."""
    kinds = {limb.kind for limb, _ in posed.written}
    return (
        *(_feet(posed, catalogue) if "foot" in kinds else ()),
        *(_joints(posed, catalogue) if kinds & JOINTS else ()),
        *(_hands(posed, catalogue) if "hand" in kinds else ()),
        *(_centre(posed, catalogue) if kinds - SIDED else ()),
        *(_whole(posed, catalogue) if kinds - SIDED else ()),
    )


def _whole(posed: Posed, catalogue: Catalogue) -> Iterator[Cluster]:
    """What is said of several limbs, or of the whole dancer."""
    for row in catalogue.centre.whole:
        limb = Limb(row.name)
        if origin := posed.origin(limb):
            yield Cluster((Ink(row.sign, 0.0, row.y),), (limb,), origin)


def _centre(posed: Posed, catalogue: Catalogue) -> Iterator[Cluster]:
    """Head, body and hips, each on the axis, its signs side by side."""
    for row in catalogue.centre.part:
        limb = Limb(row.name)
        origin = posed.origin(limb)
        if origin:
            signs = tuple(_attitude(posed.pose.attitude(Part(row.name))))
            yield Cluster(tuple(_abreast(signs, row.y, catalogue)), (limb,), origin)


def _abreast(signs: tuple[tuple[str, bool], ...], y: float, catalogue: Catalogue) -> Iterator[Ink]:
    """Signs side by side, the whole of them round the axis."""
    widths = [sign_box(catalogue.sign(name)).width for name, _ in signs]
    left = -(sum(widths) + catalogue.centre.gap * (len(signs) - 1)) / 2
    for (name, mirrored), width in zip(signs, widths, strict=True):
        yield Ink(name, left + width / 2, y, mirrored)
        left += width + catalogue.centre.gap


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
        yield "upright again", False


def _hands(posed: Posed, catalogue: Catalogue) -> Iterator[Cluster]:
    joined = tuple(_joined(posed, catalogue))
    yield from joined
    for side in BOTH if not joined else ():
        limb = Limb("hand", side)
        origin, hand = posed.origin(limb), posed.pose.hands.of(side)
        if origin and hand:
            sign = _hand(side, hand, catalogue)
            inks = (sign, *_marks(side, hand, sign, catalogue))
            yield Cluster(inks, (limb,), origin)


def _hand(side: Side, hand: HandPose, catalogue: Catalogue) -> Ink:
    across = catalogue.body.across.hand
    return Ink(DEPTH_SIGN[hand.depth], side.sign * hand_x(hand.out, across), hand.height)


def _joined(posed: Posed, catalogue: Catalogue) -> Iterator[Cluster]:
    """Two hands that touch each other: signs that touch, on the centre line."""
    marks, limbs = catalogue.marks, tuple(Limb("hand", side) for side in BOTH)
    origin, hands = posed.origin(limbs[0]), [posed.pose.hands.of(side) for side in BOTH]
    if origin and posed.origin(limbs[1]) and joined(*hands):
        inks: list[Ink] = []
        for side, hand in zip(BOTH, hands, strict=True):
            if hand:
                name = DEPTH_SIGN[hand.depth]
                sign = Ink(name, side.sign * marks.joined[name], hand.height)
                inks += (sign, *_marks(side, replace(hand, out=0.0), sign, catalogue))
        yield Cluster(tuple(inks), limbs, origin)


def hand_x(out: float, across: Scale) -> float:
    """How far from the axis, towards its own side, a hand's sign stands, in spaces."""
    return (across.base if out >= 0 else -across.base) + across.slope * out


def _marks(side: Side, hand: HandPose, sign: Ink, catalogue: Catalogue) -> Iterator[Ink]:
    """What stands by a hand's sign: a tick across it, a mark of touch, the barre, the arm's
    line, the palm."""
    marks = catalogue.marks
    left, beside = side is Side.LEFT, marks.beside[sign.sign]
    if hand.touching == "body":
        yield _touch(side, sign, catalogue)
    if hand.out < 0:
        dx, dy = marks.across[sign.sign]
        yield Ink("across", sign.x + side.sign * dx, sign.y + dy)
    if hand.touching == BARRE:
        yield Ink("barre", sign.x + side.sign * beside, sign.y, left)
        beside += marks.step
    if hand.arm:
        yield Ink(f"arm {hand.arm}", sign.x + side.sign * beside, sign.y, left)
        beside += marks.step
    if hand.palm:
        aside = hand.palm in (Palm.IN, Palm.OUT)
        turned = aside and left is (hand.palm is Palm.OUT)
        cup = "palm aside" if aside else f"palm {hand.palm}"
        yield Ink(cup, sign.x + side.sign * beside, sign.y, turned)


def _joints(posed: Posed, catalogue: Catalogue) -> Iterator[Cluster]:
    """Knees, then elbows."""
    for kind, joints in (("knee", posed.pose.knees), ("elbow", posed.pose.elbows)):
        for side in BOTH:
            limb = Limb(kind, side)
            origin = posed.origin(limb)
            if origin:
                usual = _usual(kind, joints.of(side), posed.pose.feet.of(side), catalogue)
                inks = tuple(_joint(kind, side, joints.of(side), usual, catalogue))
                yield Cluster(inks, (limb,), origin)


def _usual(kind: str, joint: Joint, foot: FootPose | None, catalogue: Catalogue) -> Placed:
    """Where a joint is whose place is not written: of a foot at the other knee, where its
    knee has to be."""
    row = catalogue.feet.joint[kind][joint.bend]
    bend = place_of(foot, catalogue).bend if kind == "knee" and isinstance(foot, Free) else None
    return Placed(sign=row.sign, x=bend["x"], y=bend["y"]) if bend else row


def _joint(
    kind: str, side: Side, joint: Joint, usual: Placed, catalogue: Catalogue
) -> Iterator[Ink]:
    plain = joint.bend is Bend.NONE or joint.depth is Depth.LEVEL
    x = usual.x if joint.out is None else hand_x(joint.out, catalogue.body.across.hand)
    y = (usual.y or 0.0) if joint.height is None else joint.height
    sign = usual.sign if plain else f"{usual.sign} {joint.depth}"
    ink = Ink(sign, side.sign * x, y, mirrored=side is Side.LEFT)
    yield ink
    if kind == "knee" and joint.bend is not Bend.NONE:
        yield from _tail(side, ink, catalogue.feet.tail.knee, catalogue)


def _tail(side: Side, ink: Ink, above: float, catalogue: Catalogue) -> Iterator[Ink]:
    """The tail of a leg's sign that could be taken for an arm's."""
    if ink.y >= above:
        dx, dy = catalogue.feet.tail.at[ink.sign]
        yield Ink("tail", ink.x + side.sign * dx, ink.y + dy, mirrored=side is Side.LEFT)


def _feet(posed: Posed, catalogue: Catalogue) -> Iterator[Cluster]:
    written = [
        (side, foot, origin)
        for side in BOTH
        if (origin := posed.origin(Limb("foot", side))) and (foot := posed.pose.feet.of(side))
    ]
    standing = [(side, foot, at) for side, foot, at in written if isinstance(foot, Standing)]
    if len(standing) == 2 and standing[0][1].beside(standing[1][1]):
        _, foot, origin = standing[0]
        limbs = tuple(Limb("foot", side) for side in BOTH)
        inks = _pair(foot, catalogue)
        inks += tuple(_turned(foot, inks, catalogue))
        inks += tuple(_weight(posed.pose.feet, foot, catalogue))
        yield Cluster(inks, limbs, origin, fixed=True)
    else:
        for side, foot, origin in standing:
            alone = catalogue.feet.alone
            ink = _placed(alone, side, catalogue.feet.rise[foot.rise].level)
            x = alone.x + catalogue.marks.foot[ink.sign]
            inks = (ink, *_foot_marks(side, foot, x, ink.y, catalogue))
            yield Cluster(inks, (Limb("foot", side),), origin, fixed=True)
    for side, free, origin in written:
        if isinstance(free, Free):
            yield Cluster(tuple(_free(side, free, posed, catalogue)), (Limb("foot", side),), origin)


def _turned(foot: Standing, pair: tuple[Ink, ...], catalogue: Catalogue) -> Iterator[Ink]:
    """Marks of two feet that stand alike, outside of both, at one height."""
    if foot.turned is Turned.OUT:
        return
    box = union(ink_box(ink, catalogue) for ink in pair)
    for side, edge in ((Side.RIGHT, box.right), (Side.LEFT, -box.left)):
        y = catalogue.feet.rise[foot.rise].level
        yield from _foot_marks(side, foot, edge + catalogue.marks.edge, y, catalogue)


def _weight(feet: Sided[FootPose | None], foot: Standing, catalogue: Catalogue) -> Iterator[Ink]:
    """A dot under the foot that bears the weight where the other is on the floor without."""
    for row, side in _sides(foot, catalogue):
        other = feet.of(side.other)
        if isinstance(other, Standing) and not other.bears:
            x = row.x if row.weight is None else row.weight
            yield Ink("weight", side.sign * x, catalogue.marks.weight)


def _pair(foot: Standing, catalogue: Catalogue) -> tuple[Ink, ...]:
    rise = catalogue.feet.rise[foot.rise]
    return tuple(
        _placed(row, side, rise.front if row.sign == "front" else rise.level)
        for row, side in _sides(foot, catalogue)
    )


def _sides(foot: Standing, catalogue: Catalogue) -> Iterator[tuple[Placed, Side]]:
    """The rows of a position's signs, each with the side of its foot."""
    name = foot.position or "first"
    position: FeetPosition = next(row for row in catalogue.feet.position if row.name == name)
    front = foot.front or Side.RIGHT
    if position.right:
        yield from ((position.right, side) for side in BOTH)
    if position.front and position.behind:
        yield position.front, front
        yield position.behind, front.other


def _placed(row: Placed, side: Side, y: float) -> Ink:
    return Ink(row.sign, side.sign * row.x, y, mirrored=side is Side.LEFT)


def _free(side: Side, foot: Free, posed: Posed, catalogue: Catalogue) -> Iterator[Ink]:
    """The foot's sign, then what goes with it: hook, mark of touch, tail, bent knee."""
    table, place = catalogue.feet, place_of(foot, catalogue)
    sign = FREE_SIGN[foot.way]
    x, y = _free_place(side, foot.way, place, table.free.before)
    left, ink = side is Side.LEFT, Ink(sign, x, y)
    yield ink
    if place.hook:
        yield Ink("hook", x + side.sign * table.hook[sign], y, mirrored=left)
    if place.touch:
        yield _touch(side, ink, catalogue)
    yield from _tail(side, ink, table.tail.above, catalogue)
    beside = catalogue.marks.foot[sign] + (catalogue.marks.hooked if place.hook else 0.0)
    if foot.out is not None and foot.out < 0:
        dx, dy = catalogue.marks.across[sign]
        yield Ink("across", x + side.sign * dx, y + dy)
        beside += dx
    yield from _foot_marks(side, foot, side.sign * x + beside, y, catalogue)
    if place.bend and not posed.origin(Limb("knee", side)):
        bent = Placed(sign="half bend", x=place.bend["x"], y=place.bend["y"])
        yield from _joint("knee", side, Joint(Bend.HALF), bent, catalogue)


def _touch(side: Side, sign: Ink, catalogue: Catalogue) -> Ink:
    """From the inner side of a sign to what it touches."""
    x = sign.x - side.sign * catalogue.feet.touch[sign.sign]
    return Ink("touch", x, sign.y, mirrored=side is Side.LEFT)


def _foot_marks(
    side: Side, foot: FootPose, x: float, y: float, catalogue: Catalogue
) -> Iterator[Ink]:
    """Departures of a leg from what goes without saying, from x outward."""
    left = side is Side.LEFT
    if foot.turned is not Turned.OUT:
        yield Ink(TURNED_SIGN[foot.turned], side.sign * x, y, left)
        x += catalogue.marks.foot_step
    if isinstance(foot, Free) and foot.flexed:
        yield Ink("flexed", side.sign * x, y, left)


def place_of(foot: Free, catalogue: Catalogue) -> FreePlace:
    """The foot's row of the table of free places, or a row of its own at its height."""
    if foot.height is None or foot.out is None:
        return next(row for row in catalogue.feet.free.place if row.name == foot.place)
    across = catalogue.body.across
    x = hand_x(foot.out, across.foot_aside if foot.way is Way.SIDE else across.foot)
    return FreePlace(
        name="", description="", level=foot.height, front=foot.height, side=x, before=x
    )


def _free_place(side: Side, way: Way, place: FreePlace, before: float) -> tuple[float, float]:
    x = place.side if way is Way.SIDE else place.before or before
    return side.sign * x, place.front if way is Way.FRONT else place.level
