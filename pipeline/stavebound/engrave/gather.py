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
from stavebound.score.model import Depth, Origin, Side, Way
from stavebound.score.pose import Free, HandPose, Limb, Posed, Standing
from stavebound.score.state import BOTH
from stavebound.trade.catalogue import Catalogue
from stavebound.trade.tables import FeetPosition, FreePlace, Placed

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
        return self.limbs[0].side.sign

    def moved(self, dx: float, dy: float) -> Cluster:
        inks = tuple(ink.moved(dx, dy) for ink in self.inks)
        return Cluster(inks, self.limbs, self.origin, self.fixed)


def ink_box(ink: Ink, catalogue: Catalogue) -> Box:
    return sign_box(catalogue.sign(ink.sign), ink.mirrored).moved(ink.x, ink.y)


def ink_boxes(cluster: Cluster, catalogue: Catalogue) -> tuple[Box, ...]:
    """The boxes of a cluster's signs, one each."""
    return tuple(ink_box(ink, catalogue) for ink in cluster.inks)


def gather(posed: Posed, catalogue: Catalogue) -> tuple[Cluster, ...]:
    """What is written at this moment: feet first, then knees, then hands."""
    return (
        *_feet(posed, catalogue),
        *_knees(posed, catalogue),
        *_hands(posed, catalogue),
    )


def _hands(posed: Posed, catalogue: Catalogue) -> Iterator[Cluster]:
    for side in BOTH:
        limb = Limb("hand", side)
        origin, hand = posed.origin(limb), posed.pose.hands.of(side)
        if origin and hand:
            yield Cluster((_hand(side, hand, catalogue),), (limb,), origin)


def _hand(side: Side, hand: HandPose, catalogue: Catalogue) -> Ink:
    across = catalogue.body.across.hand
    sign = {Depth.LEVEL: "level", Depth.FRONT: "front", Depth.BEHIND: "behind"}[hand.depth]
    return Ink(sign, side.sign * (across.base + across.slope * hand.out), hand.height)


def _knees(posed: Posed, catalogue: Catalogue) -> Iterator[Cluster]:
    for side in BOTH:
        limb = Limb("knee", side)
        origin = posed.origin(limb)
        if origin:
            row = catalogue.feet.knee[posed.pose.knees.of(side)]
            yield Cluster((_placed(row, side, row.y or 0.0),), (limb,), origin)


def _feet(posed: Posed, catalogue: Catalogue) -> Iterator[Cluster]:
    written = [
        (side, foot, origin)
        for side in BOTH
        if (origin := posed.origin(Limb("foot", side))) and (foot := posed.pose.feet.of(side))
    ]
    standing = [(side, foot, at) for side, foot, at in written if isinstance(foot, Standing)]
    if len(standing) == 2 and standing[0][1] == standing[1][1]:
        _, foot, origin = standing[0]
        limbs = tuple(Limb("foot", side) for side in BOTH)
        yield Cluster(_pair(foot, catalogue), limbs, origin, fixed=True)
    else:
        for side, foot, origin in standing:
            alone = catalogue.feet.alone
            ink = _placed(alone, side, catalogue.feet.rise[foot.rise].level)
            yield Cluster((ink,), (Limb("foot", side),), origin, fixed=True)
    for side, free, origin in written:
        if isinstance(free, Free):
            yield Cluster(tuple(_free(side, free, catalogue)), (Limb("foot", side),), origin)


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
    """The foot's sign, then what goes with it: hook, mark of touch, tail, bent knee."""
    table = catalogue.feet
    place = {row.name: row for row in table.free.place}[foot.place]
    sign = FREE_SIGN[foot.way]
    x, y = _free_place(side, foot.way, place, table.free.before)
    left = side is Side.LEFT
    yield Ink(sign, x, y)
    if place.hook:
        yield Ink("hook", x + side.sign * table.hook[sign], y, mirrored=left)
    if place.touch:
        yield Ink("touch", x - side.sign * table.touch[sign], y, mirrored=left)
    if y >= table.tail.above:
        dx, dy = table.tail.at[sign]
        yield Ink("tail", x + side.sign * dx, y + dy, mirrored=left)
    if place.bend:
        yield Ink("half bend", side.sign * place.bend["x"], place.bend["y"], mirrored=left)


def _free_place(side: Side, way: Way, place: FreePlace, before: float) -> tuple[float, float]:
    x = place.side if way is Way.SIDE else before
    return side.sign * x, place.front if way is Way.FRONT else place.level
