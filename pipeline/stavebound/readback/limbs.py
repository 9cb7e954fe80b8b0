"""Limbs: whose sign is which, and where the limb is.

In: the signs of one moment, x from its axis. Out: all ways in which claims cover
every sign just once and no limb twice. One way is a reading, two are an
ambiguity, none is ink that says nothing.

A claim says: these signs may be this limb at this place. Every function in
CLAIMS makes claims by the trade's tables of places, without regard to the others.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass, replace

from stavebound.readback.table import Table
from stavebound.readback.values import (
    FeetRead,
    FootRead,
    FreeRead,
    HandRead,
    JointRead,
    LimbRead,
    PartRead,
    Sign,
    Spot,
)
from stavebound.score.model import (
    ArmLine,
    Bend,
    Depth,
    Lean,
    Palm,
    Part,
    Rise,
    Side,
    Way,
    Weight,
)
from stavebound.score.pose import Attitude, Limb
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
    plain = tuple(_drawn(catalogue.feet))
    weighted = (each for pattern in plain for each in _weighted(pattern, catalogue))
    return Key(catalogue, table, (*plain, *weighted))


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
    kinds = ("foot", "knee", "elbow", *Part, "hand")
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


def _weighted(pattern: Pattern, catalogue: Catalogue) -> Iterator[Pattern]:
    """The same position with the weight on one foot: a dot under its sign."""
    row = {row.name: row for row in catalogue.feet.position}[pattern.read.position]
    front = pattern.read.front
    for side in Side:
        foot = row.right or (row.front if side is front else row.behind)
        if foot:
            x = foot.x if foot.weight is None else foot.weight
            dot = ("weight", side.sign * x, catalogue.marks.weight)
            read = replace(pattern.read, weight=Weight(side.value))
            yield Pattern(read, (*pattern.signs, dot))


# ---------------------------------------------------------------- the free leg


def free(signs: Signs, key: Key) -> Iterator[Claim]:
    """A dash, stroke or dot at one of the table's places, with its marks there.

    A bent knee is a sign of its own.
    """
    for number, sign in enumerate(signs):
        if sign.name in WAYS:
            for place in key.catalogue.feet.free.place:
                yield from _free(number, sign, place, key)


def _free(number: int, sign: Sign, place: FreePlace, key: Key) -> Iterator[Claim]:
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
    yield Claim(frozenset({number}), FreeRead(side, way, place.name, (abs(sign.x), sign.y)))


def _moved_to(dx: float, dy: float, key: Key) -> bool:
    """A foot is hardly ever moved: it is placed first, and knows its places by their height."""
    slack, limit = key.table.tolerance.place, key.table.foot
    return -slack <= dx <= limit.out + slack and abs(dy) <= limit.up + slack


# ---------------------------------------------------------------- knees and elbows


JOINTS = {
    f"{bend} bend{depth}": (Bend(bend), Depth(depth.strip() or "level"))
    for bend in ("half", "full")
    for depth in ("", " front", " behind")
}


def joints(signs: Signs, key: Key) -> Iterator[Claim]:
    """A bent joint wherever it is: a knee with a tail, or low; else an elbow."""
    for number, sign in enumerate(signs):
        if sign.name in JOINTS:
            kind = _kind(sign, key)
            if kind:
                bend, depth = JOINTS[sign.name]
                yield _joint(number, kind, bend, depth, sign)


def _kind(sign: Sign, key: Key) -> str | None:
    table = key.table
    side = _side(sign).sign
    if not sign.marks:
        return "elbow" if sign.y >= table.elbow.lowest - table.tolerance.place else "knee"
    raised = sign.y >= key.catalogue.feet.tail.knee - table.moved.up - table.tolerance.place
    tails = [mark.name for mark in sign.marks] == ["tail"]
    return "knee" if raised and tails and sign.marks[0].way in (0, side) else None


def straight(signs: Signs, key: Key) -> Iterator[Claim]:
    """A ring off the axis, near a joint's usual place."""
    limit, slack = key.table.moved, key.table.tolerance.place
    for number, sign in enumerate(signs):
        for kind, rows in key.catalogue.feet.joint.items():
            row = rows[Bend.NONE]
            dx, dy = abs(sign.x) - row.x, sign.y - (row.y or 0.0)
            here = -slack <= dx <= limit.out + slack and abs(dy) <= limit.up + slack
            if sign.name == row.sign and not sign.marks and here:
                yield _joint(number, kind, Bend.NONE, Depth.LEVEL, sign)


def _joint(number: int, kind: str, bend: Bend, depth: Depth, sign: Sign) -> Claim:
    read = JointRead(kind, _side(sign), bend, depth, (abs(sign.x), sign.y))
    return Claim(frozenset({number}), read)


# ---------------------------------------------------------------- head, body and hips


def centre(signs: Signs, key: Key) -> Iterator[Claim]:
    """Signs abreast, round the axis or aside of it: tilt, turn, bend in a part's space."""
    names = {row.name for row in key.table.sign if row.abreast}
    limit = key.table.moved.up + key.table.tolerance.place
    for row in key.catalogue.centre.part:
        own = [
            (sign.x, number)
            for number, sign in enumerate(signs)
            if sign.name in names and abs(sign.y - row.y) <= limit and not sign.marks
        ]
        group = [number for _, number in sorted(own)]
        if not group:
            continue
        abreast = [signs[number] for number in group]
        attitude = _attitude(abreast)
        middle = _middle(abreast, key) if attitude else None
        if attitude and middle:
            yield Claim(frozenset(group), PartRead(Part(row.name), attitude, middle))


def _middle(group: list[Sign], key: Key) -> Spot | None:
    """The middle of signs that stand abreast; None where they do not."""
    gap = key.table.centre.gap
    left = -(sum(sign.wide for sign in group) + gap * (len(group) - 1)) / 2
    aside = group[0].x - left - group[0].wide / 2
    if abs(aside) > key.table.centre.aside + key.table.tolerance.place:
        return None
    for sign in group:
        middle = left + sign.wide / 2 + aside
        if not (_near(sign.x, middle, key) and _near(sign.y, group[0].y, key)):
            return None
        left += sign.wide + gap
    return aside, group[0].y


def _attitude(group: list[Sign]) -> Attitude | None:
    """None where the signs are not in their order, or one is there twice."""
    if [sign.name for sign in group] == ["upright again"]:
        return Attitude()
    leans: dict[str, Lean] = {}
    for sign in group:
        name, *to, amount = sign.name.split(" ")
        if name in leans or not amount.isdecimal():
            return None
        sideways = "right" if sign.turned > 0 else "left"
        leans[name] = Lean(to[0] if to else sideways, int(amount))
    in_order = [name for name in ("tilt", "turn", "bend") if name in leans] == list(leans)
    return Attitude(leans.get("tilt"), leans.get("turn"), leans.get("bend")) if in_order else None


# ---------------------------------------------------------------- hands


def hands(signs: Signs, key: Key) -> Iterator[Claim]:
    """A dash, stroke or dot, with a tick where it is across, and with the marks beside it."""
    for number, sign in enumerate(signs):
        if sign.name in DEPTHS and not sign.marks and sign.y >= key.table.hand.lowest:
            for side in Side:
                yield from _hand(number, side, signs, key)


def _hand(number: int, side: Side, signs: Signs, key: Key) -> Iterator[Claim]:
    sign, marks = signs[number], key.catalogue.marks
    scale, crossed = key.catalogue.body.across.hand, side is not _side(sign)
    out = side.sign * sign.x / scale.slope
    out += (scale.base if crossed else -scale.base) / scale.slope
    if out * (-1 if crossed else 1) < -key.table.tolerance.place:
        return
    dx, dy = marks.across[sign.name]
    ticks = _at(signs, "across", sign.x + side.sign * dx, sign.y + dy, key) if crossed else []
    if crossed and not ticks:
        return
    beside = marks.beside[sign.name]
    for arm, line in ((None, ()), *_arm(sign, side, beside, signs, key)):
        at = beside + (marks.step if arm else 0.0)
        for palm, cup in ((None, ()), *_palm(sign, side, at, signs, key)):
            read = HandRead(
                side, DEPTHS[sign.name], sign.y, out if crossed else max(out, 0.0), palm, arm
            )
            yield Claim(frozenset({number, *ticks, *line, *cup}), read)


def _arm(
    sign: Sign, side: Side, beside: float, signs: Signs, key: Key
) -> Iterator[tuple[ArmLine, tuple[int, ...]]]:
    for arm in ArmLine:
        for number in _at(signs, f"arm {arm}", sign.x + side.sign * beside, sign.y, key):
            if arm is ArmLine.STRETCHED or signs[number].turned == side.sign:
                yield arm, (number,)


def _palm(
    sign: Sign, side: Side, beside: float, signs: Signs, key: Key
) -> Iterator[tuple[Palm, tuple[int, ...]]]:
    x = sign.x + side.sign * beside
    for number in _at(signs, "palm aside", x, sign.y, key):
        yield (Palm.OUT if signs[number].turned == side.sign else Palm.IN), (number,)
    for palm in (Palm.UP, Palm.DOWN):
        for number in _at(signs, f"palm {palm}", x, sign.y, key):
            yield palm, (number,)


CLAIMS: tuple[Callable[[Signs, Key], Iterator[Claim]], ...] = (
    standing,
    free,
    joints,
    straight,
    centre,
    hands,
)
