"""Gather: the signs that a frame's written limbs ask for, at their ideal places.

In: a `Posed` and the catalogue. Out: clusters of signs round the frame's axis
(x = 0), in spaces. The signs of a cluster belong together and move together.
The places come from the tables; nothing is cleared here. What a limb is written
with follows from where it is, and is put together once for all frames.

    hand ▏        ▕ hand          knee ━╋━        ━╋━ knee
                                       feet ━━●
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from typing import NamedTuple

from stavebound.dance.pose import (
    ELBOWS,
    FEET,
    HANDS,
    KNEES,
    FootPose,
    Free,
    HandPose,
    Joint,
    Pose,
    Posed,
    Sided,
    Standing,
    Subject,
    joined,
)
from stavebound.dance.state import BOTH
from stavebound.engrave.outline import sign_box
from stavebound.geometry import Box, union
from stavebound.remembering import remembered
from stavebound.score.attitude import STRAIGHT, Attitude
from stavebound.score.departures import Departures
from stavebound.score.model import Bend, CentrePart, Depth, LegDirection, Origin, Side
from stavebound.score.origin import wherever
from stavebound.trade.catalogue import Catalogue
from stavebound.trade.centre import Centre
from stavebound.trade.naming import free_row, position_row
from stavebound.trade.scale import across
from stavebound.trade.tables import FreePlace, PlacedRow

DEPTH_SIGN = {Depth.LEVEL: "level", Depth.FRONT: "front", Depth.BEHIND: "behind"}
JOINTS = {"knee", "elbow"}
SIDED = {"foot", "hand", *JOINTS}
FREE_SIGN = {LegDirection.FRONT: "front", LegDirection.SIDE: "level", LegDirection.BACK: "behind"}
# How many places of each kind of limb are remembered; a book has some hundreds.
REMEMBERED = 4096

Inks = tuple["Ink", ...]
Origins = Mapping[Subject, Origin]


class Ink(NamedTuple):
    """A sign with its centre at x, y from the frame's axis and the floor line, in spaces."""

    sign: str
    x: float
    y: float
    mirrored: bool = False

    def moved(self, dx: float, dy: float) -> Ink:
        return Ink(self.sign, self.x + dx, self.y + dy, self.mirrored)


@wherever
class Cluster(NamedTuple):
    """Signs that move together; the first of them is the sign that counts for clearance.

    `subjects` are what it writes, `fixed` what may not move (weight-bearing feet
    have three places of their own).
    """

    inks: tuple[Ink, ...]
    subjects: tuple[Subject, ...]
    origin: Origin
    fixed: bool = False


def ink_box(ink: Ink, catalogue: Catalogue) -> Box:
    return sign_box(catalogue.sign(ink.sign), ink.mirrored).moved(ink.x, ink.y)


@remembered(REMEMBERED)
def ink_boxes(inks: Inks, catalogue: Catalogue) -> tuple[Box, ...]:
    """The boxes of signs, one each."""
    return tuple([ink_box(ink, catalogue) for ink in inks])


def gather(posed: Posed, catalogue: Catalogue) -> tuple[Cluster, ...]:
    """What is written at this moment: feet first, then joints, hands and the centre line,
    whose signs can give way to all others."""
    origins = dict(posed.written)
    kinds = {kind for kind, _ in origins}
    others = kinds - SIDED
    return (
        *(_feet(posed.pose, origins, catalogue) if "foot" in kinds else ()),
        *(_joints(posed.pose, origins, catalogue) if not kinds.isdisjoint(JOINTS) else ()),
        *(_hands(posed.pose, origins, catalogue) if "hand" in kinds else ()),
        *(_centre(posed.pose, origins, catalogue) if others else ()),
        *(_whole(origins, catalogue) if others else ()),
    )


def _whole(origins: Origins, catalogue: Catalogue) -> Iterator[Cluster]:
    """What signs on the stave say of the whole dancer."""
    for row in catalogue.lanes.on_stave:
        subject = Subject(row.name)
        if subject in origins:
            yield Cluster((Ink(row.sign, 0.0, row.y),), (subject,), origins[subject])


def _centre(pose: Pose, origins: Origins, catalogue: Catalogue) -> Iterator[Cluster]:
    """Head, body and hips, each on the axis, its signs side by side."""
    for row in catalogue.centre.part:
        subject = Subject(row.name)
        if subject in origins:
            inks = _abreast(pose.attitude(CentrePart(row.name)), row.y, catalogue)
            yield Cluster(inks, (subject,), origins[subject])


@remembered(REMEMBERED)
def _abreast(attitude: Attitude, y: float, catalogue: Catalogue) -> Inks:
    """The signs of an attitude side by side, the whole of them round the axis."""
    signs = tuple(_attitude(attitude, catalogue.centre))
    widths = [sign_box(catalogue.sign(name)).width for name, _ in signs]
    left = -(sum(widths) + catalogue.centre.gap * (len(signs) - 1)) / 2
    inks = []
    for (name, mirrored), width in zip(signs, widths, strict=True):
        inks.append(Ink(name, left + width / 2, y, mirrored))
        left += width + catalogue.centre.gap
    return tuple(inks)


def _attitude(attitude: Attitude, centre: Centre) -> Iterator[tuple[str, bool]]:
    """The signs of an attitude in the order of the table, each with whether it is turned over."""
    if attitude == STRAIGHT:
        yield centre.straight, False
    own = dict(attitude)
    for row in centre.lean:
        if lean := own.get(row.name):
            leaning = row.to[lean.direction]
            yield leaning.signs[lean.amount - 1], leaning.turned == "over"


def _hands(pose: Pose, origins: Origins, catalogue: Catalogue) -> Iterator[Cluster]:
    subjects = tuple(HANDS.values())
    if joined(*pose.hands) and subjects[0] in origins and subjects[1] in origins:
        yield Cluster(_joined(pose.hands, catalogue), subjects, origins[subjects[0]])
        return
    for side, subject in HANDS.items():
        hand = pose.hands.of(side)
        if subject in origins and hand:
            yield Cluster(_hand(side, hand, catalogue), (subject,), origins[subject])


@remembered(REMEMBERED)
def _hand(side: Side, hand: HandPose, catalogue: Catalogue) -> Inks:
    x = across(hand.out, catalogue.ruling.across.hand)
    sign = Ink(DEPTH_SIGN[hand.depth], side.sign * x, hand.height)
    return (sign, *_marks(side, hand, sign, catalogue))


@remembered(REMEMBERED)
def _joined(hands: Sided[HandPose | None], catalogue: Catalogue) -> Inks:
    """Two hands that touch each other: signs that touch, on the centre line."""
    inks: list[Ink] = []
    for side in BOTH:
        if hand := hands.of(side):
            name = DEPTH_SIGN[hand.depth]
            sign = Ink(name, side.sign * catalogue.marks.joined[name], hand.height)
            inks += (sign, *_marks(side, hand._replace(out=0.0), sign, catalogue))
    return tuple(inks)


def _marks(side: Side, hand: HandPose, sign: Ink, catalogue: Catalogue) -> Iterator[Ink]:
    """What stands by a hand's sign: from its inner side, a tick across it, and beside it."""
    marks, left = catalogue.marks, side is Side.LEFT
    for row in catalogue.departures.signs(hand.departures, "inside"):
        yield _inward(row.sign, side, sign, row.mirrored(left), catalogue)
    if hand.out < 0:
        dx, dy = marks.across[sign.sign]
        yield Ink("across", sign.x + side.sign * dx, sign.y + dy)
    stand = Stand(sign.x, marks.beside[sign.sign], sign.y, marks.step)
    yield from _beside(side, hand.departures, stand, catalogue)


class Stand(NamedTuple):
    """Where signs stand beside a limb's: `first` so far outward of `x`, each `step` further."""

    x: float
    first: float
    y: float
    step: float


def _beside(
    side: Side, departures: Departures, stand: Stand, catalogue: Catalogue
) -> Iterator[Ink]:
    """The signs of departures beside a limb's sign, in the order of the table."""
    beside = stand.first
    for row in catalogue.departures.signs(departures, "beside"):
        mirrored = row.mirrored(side is Side.LEFT)
        yield Ink(row.sign, stand.x + side.sign * beside, stand.y, mirrored)
        beside += stand.step


def _joints(pose: Pose, origins: Origins, catalogue: Catalogue) -> Iterator[Cluster]:
    """Knees, then elbows."""
    for subjects, joints in ((KNEES, pose.knees), (ELBOWS, pose.elbows)):
        for side, subject in subjects.items():
            if subject in origins:
                foot = pose.feet.of(side) if subjects is KNEES else None
                inks = _joint(subject.kind, side, joints.of(side), foot, catalogue)
                yield Cluster(inks, (subject,), origins[subject])


@remembered(REMEMBERED)
def _joint(
    kind: str, side: Side, joint: Joint, foot: FootPose | None, catalogue: Catalogue
) -> Inks:
    """Where its place is not written: of a foot at the other knee, where its knee has to be."""
    row = catalogue.feet.joint[kind][joint.bend]
    bend = place_of(foot, catalogue).bend if isinstance(foot, Free) else None
    usual = PlacedRow(sign=row.sign, x=bend["x"], y=bend["y"]) if bend else row
    return tuple(_bent(kind, side, joint, usual, catalogue))


def _bent(
    kind: str, side: Side, joint: Joint, usual: PlacedRow, catalogue: Catalogue
) -> Iterator[Ink]:
    plain = joint.bend is Bend.NONE or joint.depth is Depth.LEVEL
    x = usual.x if joint.out is None else across(joint.out, catalogue.ruling.across.hand)
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


def _feet(pose: Pose, origins: Origins, catalogue: Catalogue) -> Iterator[Cluster]:
    written = [
        (side, subject, foot)
        for side, subject in FEET.items()
        if subject in origins and (foot := pose.feet.of(side))
    ]
    standing = [
        (side, subject, foot) for side, subject, foot in written if isinstance(foot, Standing)
    ]
    if len(standing) == 2 and standing[0][2].beside(standing[1][2]):
        inks, subjects = _pair(pose.feet, standing[0][2], catalogue), tuple(FEET.values())
        yield Cluster(inks, subjects, origins[subjects[0]], fixed=True)
    else:
        for side, subject, foot in standing:
            yield Cluster(_alone(side, foot, catalogue), (subject,), origins[subject], fixed=True)
    for side, subject, free in written:
        if isinstance(free, Free):
            inks = _free(side, free, KNEES[side] in origins, catalogue)
            yield Cluster(inks, (subject,), origins[subject])


@remembered(REMEMBERED)
def _pair(feet: Sided[FootPose | None], foot: Standing, catalogue: Catalogue) -> Inks:
    """Two feet that stand alike."""
    rise = catalogue.feet.rise[foot.rise]
    pair = tuple(
        _placed(row, side, rise.of(row.sign)) for row, side in standing_rows(foot, catalogue)
    )
    return (*pair, *_of_pair(foot, pair, catalogue), *_hanging(feet, foot, catalogue))


@remembered(REMEMBERED)
def _alone(side: Side, foot: Standing, catalogue: Catalogue) -> Inks:
    alone = catalogue.feet.alone
    ink = _placed(alone, side, catalogue.feet.rise[foot.rise].level)
    x = alone.x + catalogue.marks.foot[ink.sign]
    beside = _foot_marks(side, foot, x, ink.y, catalogue)
    return (ink, *beside, *_under(side, foot, alone.x, catalogue))


def _of_pair(foot: Standing, pair: tuple[Ink, ...], catalogue: Catalogue) -> Iterator[Ink]:
    """Marks of two feet that stand alike, outside of both, at one height."""
    if not foot.departures:
        return
    box = union(ink_box(ink, catalogue) for ink in pair)
    for side, edge in ((Side.RIGHT, box.right), (Side.LEFT, -box.left)):
        y = catalogue.feet.rise[foot.rise].level
        yield from _foot_marks(side, foot, edge + catalogue.marks.edge, y, catalogue)


def _hanging(feet: Sided[FootPose | None], foot: Standing, catalogue: Catalogue) -> Iterator[Ink]:
    """A dot under the foot that bears the weight where the other is on the floor without;
    further out what else is under the feet."""
    for row, side in standing_rows(foot, catalogue):
        other, x = feet.of(side.other), row.dot
        if isinstance(other, Standing) and not other.bears:
            yield Ink("weight", side.sign * x, catalogue.marks.weight)
            x += catalogue.marks.under.step
        yield from _under(side, foot, row.under or x, catalogue)


def _under(side: Side, foot: Standing, x: float, catalogue: Catalogue) -> Iterator[Ink]:
    """The signs of departures under a foot that stands, from x outward."""
    for row in catalogue.departures.signs(foot.departures, "under"):
        left = side is Side.LEFT
        yield Ink(row.sign, side.sign * x, catalogue.marks.under.y, row.mirrored(left))
        x += catalogue.marks.under.step


def standing_rows(foot: Standing, catalogue: Catalogue) -> Iterator[tuple[PlacedRow, Side]]:
    """The rows of a position's signs, each with the side of its foot."""
    position = position_row(catalogue, foot.position or "first")
    front = foot.front or Side.RIGHT
    if position.right:
        yield from ((position.right, side) for side in BOTH)
    if position.front and position.behind:
        yield position.front, front
        yield position.behind, front.other


def _placed(row: PlacedRow, side: Side, y: float) -> Ink:
    return Ink(row.sign, side.sign * row.x, y, mirrored=side is Side.LEFT)


@remembered(REMEMBERED)
def _free(side: Side, foot: Free, knee_written: bool, catalogue: Catalogue) -> Inks:
    """The foot's sign, then what goes with it: hook, mark of touch, tail, bent knee."""
    return tuple(_of_free(side, foot, knee_written, catalogue))


def _of_free(side: Side, foot: Free, knee_written: bool, catalogue: Catalogue) -> Iterator[Ink]:
    table, place = catalogue.feet, place_of(foot, catalogue)
    sign = FREE_SIGN[foot.direction]
    x, y = _free_place(side, foot.direction, place, table.free.before)
    left, ink = side is Side.LEFT, Ink(sign, x, y)
    yield ink
    if place.hook:
        yield Ink("hook", x + side.sign * table.hook[sign], y, mirrored=left)
    if place.touch:
        yield _inward(place.touch, side, ink, side is Side.LEFT, catalogue)
    yield from _tail(side, ink, table.tail.above, catalogue)
    beside = catalogue.marks.foot[sign] + (catalogue.marks.hooked if place.hook else 0.0)
    if foot.out is not None and foot.out < 0:
        dx, dy = catalogue.marks.across[sign]
        yield Ink("across", x + side.sign * dx, y + dy)
        beside += dx
    yield from _foot_marks(side, foot, side.sign * x + beside, y, catalogue)
    if place.bend and not knee_written:
        bent = PlacedRow(sign="half bend", x=place.bend["x"], y=place.bend["y"])
        yield from _bent("knee", side, Joint(Bend.HALF), bent, catalogue)


def own_marks(inks: Inks, catalogue: Catalogue) -> int:
    """How many of a limb's inks are its sign and that one's marks: all but a foot's bent knee."""
    knees = {row.sign for row in catalogue.feet.joint["knee"].values()}
    return next((at for at, ink in enumerate(inks) if ink.sign in knees), len(inks))


def _inward(mark: str, side: Side, sign: Ink, mirrored: bool, catalogue: Catalogue) -> Ink:
    """A mark from the inner side of a sign."""
    return Ink(mark, sign.x - side.sign * catalogue.feet.touch[sign.sign], sign.y, mirrored)


def _foot_marks(
    side: Side, foot: FootPose, x: float, y: float, catalogue: Catalogue
) -> Iterator[Ink]:
    """Departures of a leg from what goes without saying, from x outward."""
    stand = Stand(0.0, x, y, catalogue.marks.foot_step)
    yield from _beside(side, foot.departures, stand, catalogue)


def place_of(foot: Free, catalogue: Catalogue) -> FreePlace:
    """The foot's row of the table of free places, or a row of its own at its height."""
    if foot.height is None or foot.out is None:
        return free_row(catalogue, foot.place or "")
    scales = catalogue.ruling.across
    aside = foot.direction is LegDirection.SIDE
    x = across(foot.out, scales.foot_aside if aside else scales.foot)
    return FreePlace(
        name="", description="", level=foot.height, front=foot.height, side=x, before=x
    )


def _free_place(
    side: Side, direction: LegDirection, place: FreePlace, before: float
) -> tuple[float, float]:
    x = place.side if direction is LegDirection.SIDE else place.before or before
    return side.sign * x, place.front if direction is LegDirection.FRONT else place.level
