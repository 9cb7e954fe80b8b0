"""Limbs: whose sign is which, and where the limb is.

In: the signs of one moment, x from its axis. Out: all ways in which claims cover
every sign just once and no limb twice. One way is a reading, two are an
ambiguity, none is ink that says nothing.

A claim says: these signs may be this limb at this place. Every function in
CLAIMS makes claims by the trade's tables of places, without regard to the others.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass

from stavebound.readback.table import Table
from stavebound.readback.values import (
    FeetRead,
    FootRead,
    FreeRead,
    HandRead,
    KneeRead,
    LimbRead,
    Sign,
)
from stavebound.score.model import Bend, Depth, Rise, Side, Way
from stavebound.score.pose import Limb
from stavebound.trade.catalogue import Catalogue
from stavebound.trade.tables import Feet, FreePlace

Signs = tuple[Sign, ...]

DEPTHS = {"level": Depth.LEVEL, "front": Depth.FRONT, "behind": Depth.BEHIND}
WAYS = {"level": Way.SIDE, "front": Way.FRONT, "behind": Way.BACK}


@dataclass(frozen=True, slots=True)
class Pattern:
    """A position as ink: each sign's name, x and y."""

    read: FeetRead
    signs: tuple[tuple[str, float, float], ...]


@dataclass(frozen=True, slots=True)
class Key:
    """What the reader goes by: the trade's places, its own table, and how positions look."""

    catalogue: Catalogue
    table: Table
    patterns: tuple[Pattern, ...]


def key_of(catalogue: Catalogue, table: Table) -> Key:
    return Key(catalogue, table, tuple(_drawn(catalogue.feet)))


@dataclass(frozen=True, slots=True)
class Claim:
    """The signs, by their numbers, that may write this."""

    signs: frozenset[int]
    read: LimbRead


def readings(signs: Signs, key: Key) -> tuple[tuple[LimbRead, ...], ...]:
    """Every way to read the signs; none where some sign is left over."""
    claims = [claim for make in CLAIMS for claim in make(signs, key)]
    found = _covers(frozenset(range(len(signs))), frozenset(), claims)
    return tuple(dict.fromkeys(tuple(sorted(reads, key=_order)) for reads in found))


def _covers(
    left: frozenset[int], taken: frozenset[Limb], claims: list[Claim]
) -> Iterator[tuple[LimbRead, ...]]:
    if not left:
        yield ()
        return
    first = min(left)
    for claim in claims:
        if first in claim.signs and claim.signs <= left and taken.isdisjoint(claim.read.limbs):
            for rest in _covers(left - claim.signs, taken.union(claim.read.limbs), claims):
                yield (claim.read, *rest)


def _order(read: LimbRead) -> tuple[int, int]:
    kinds = ("foot", "knee", "hand")
    limb = read.limbs[0]
    return kinds.index(limb.kind), -limb.side.sign if limb.side else 0


def _near(a: float, b: float, key: Key) -> bool:
    return abs(a - b) <= key.table.tolerance.place


def _side(sign: Sign) -> Side:
    return Side.RIGHT if sign.x > 0 else Side.LEFT


# ---------------------------------------------------------------- feet with weight


def standing(signs: Signs, key: Key) -> Iterator[Claim]:
    """Both feet in a position; else a foot alone, unless the other is beside it."""
    feet = key.catalogue.feet
    names = {sign.name for sign in signs if not sign.marks}
    for pattern in key.patterns:
        if all(name in names for name, _, _ in pattern.signs):
            found = [_at(signs, *place, key) for place in pattern.signs]
            if all(found):
                yield Claim(frozenset(number for some in found for number in some), pattern.read)
    for number, sign in enumerate(signs):
        if sign.name == feet.alone.sign and not sign.marks:
            for rise, row in feet.rise.items():
                own = _side(sign)
                beside = _at(signs, sign.name, -sign.x, sign.y, key)
                if (
                    _near(sign.x, own.sign * feet.alone.x, key)
                    and _near(sign.y, row.level, key)
                    and not beside
                ):
                    yield Claim(frozenset({number}), FootRead(own, Rise(rise)))


def _at(
    signs: Signs, name: str, x: float, y: float, key: Key, marks: frozenset[str] = frozenset()
) -> list[int]:
    return [
        number
        for number, sign in enumerate(signs)
        if sign.name == name
        and {mark.name for mark in sign.marks} == marks
        and _near(sign.x, x, key)
        and _near(sign.y, y, key)
    ]


def _drawn(feet: Feet) -> Iterator[Pattern]:
    for name, row in feet.rise.items():
        for position in feet.position:
            if right := position.right:
                y = row.front if right.sign == "front" else row.level
                pair = tuple((right.sign, side.sign * right.x, y) for side in Side)
                yield Pattern(FeetRead(position.name, None, Rise(name)), pair)
            if (front := position.front) and (behind := position.behind):
                for side in Side:
                    pair = tuple(
                        (
                            foot.sign,
                            own.sign * foot.x,
                            row.front if foot.sign == "front" else row.level,
                        )
                        for foot, own in ((front, side), (behind, side.other))
                    )
                    yield Pattern(FeetRead(position.name, side, Rise(name)), pair)


# ---------------------------------------------------------------- the free leg


def free(signs: Signs, key: Key) -> Iterator[Claim]:
    """A dash, stroke or dot at one of the table's places, with what belongs to it there."""
    for number, sign in enumerate(signs):
        if sign.name in WAYS:
            for place in key.catalogue.feet.free.place:
                yield from _free(number, sign, place, signs, key)


def _free(number: int, sign: Sign, place: FreePlace, signs: Signs, key: Key) -> Iterator[Claim]:
    side, way, feet = _side(sign), WAYS[sign.name], key.catalogue.feet
    x = place.side if way is Way.SIDE else feet.free.before
    y = place.front if way is Way.FRONT else place.level
    if not _moved_to(abs(sign.x) - x, sign.y - y, key):
        return
    wanted = {
        *(("hook",) if place.hook else ()),
        *(("touch",) if place.touch else ()),
        *(("tail",) if y >= feet.tail.above else ()),
    }
    if {mark.name for mark in sign.marks} != wanted:
        return
    if any(mark.way not in (0, side.sign) for mark in sign.marks):
        return
    bent: list[int] = []
    if place.bend:
        dx, dy = place.bend["x"] - x, place.bend["y"] - y
        tailed = frozenset({"tail"} if place.bend["y"] >= feet.tail.knee else ())
        bent = _at(signs, "half bend", sign.x + side.sign * dx, sign.y + dy, key, tailed)
        if not bent:
            return
    yield Claim(frozenset({number, *bent}), FreeRead(side, way, place.name, (abs(sign.x), sign.y)))


def _moved_to(dx: float, dy: float, key: Key) -> bool:
    """A foot is hardly ever moved: it is placed first, and knows its places by their height."""
    slack, limit = key.table.tolerance.place, key.table.foot
    return -slack <= dx <= limit.out + slack and abs(dy) <= limit.up + slack


# ---------------------------------------------------------------- knees and hands


def knees(signs: Signs, key: Key) -> Iterator[Claim]:
    limit, slack = key.table.moved, key.table.tolerance.place
    for number, sign in enumerate(signs):
        for bend, row in key.catalogue.feet.joint["knee"].items():
            dx, dy = abs(sign.x) - row.x, sign.y - (row.y or 0.0)
            here = -slack <= dx <= limit.out + slack and abs(dy) <= limit.up + slack
            if sign.name == row.sign and not sign.marks and here:
                yield Claim(
                    frozenset({number}), KneeRead(_side(sign), Bend(bend), (abs(sign.x), sign.y))
                )


def hands(signs: Signs, key: Key) -> Iterator[Claim]:
    across, slack = key.catalogue.body.across.hand, key.table.tolerance.place
    for number, sign in enumerate(signs):
        out = (abs(sign.x) - across.base) / across.slope
        free_of_marks = sign.name in DEPTHS and not sign.marks
        if free_of_marks and sign.y >= key.table.hand.lowest and out >= -slack:
            read = HandRead(_side(sign), DEPTHS[sign.name], sign.y, max(out, 0.0))
            yield Claim(frozenset({number}), read)


CLAIMS: tuple[Callable[[Signs, Key], Iterator[Claim]], ...] = (standing, free, knees, hands)
