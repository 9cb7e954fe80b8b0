"""Claims: what signs at their places may say of a limb.

A claim says: these signs may be this limb at this place. Those who make claims go
by the trade's tables of places and never look at what the others claim.
"""

from __future__ import annotations

from collections.abc import Collection, Mapping
from dataclasses import dataclass, field

from stavebound.readback.anchors import Stray
from stavebound.readback.table import Table
from stavebound.readback.values import FeetRead, LimbRead, SignRead
from stavebound.score.model import Depth, LegDirection, Side
from stavebound.trade.catalogue import Catalogue

Signs = tuple[SignRead, ...]

DEPTHS = {"level": Depth.LEVEL, "front": Depth.FRONT, "behind": Depth.BEHIND}
DIRECTIONS = {"level": LegDirection.SIDE, "front": LegDirection.FRONT, "behind": LegDirection.BACK}


@dataclass(frozen=True, slots=True)
class Pattern:
    """A position as ink: each sign's name, x and y; `level` is the height of the marks beside
    it, `under` how far out those under the right and the left foot begin; `names` are those of
    its signs."""

    read: FeetRead
    signs: tuple[tuple[str, float, float], ...]
    level: float
    under: tuple[float, ...]
    names: frozenset[str]


@dataclass(frozen=True, slots=True, eq=False)
class ReadingKey:
    """What the reader goes by: the trade's places, its own table, and how positions look;
    which of the places are not where their anchors have them; the `top` of a line's counts,
    None where it has no whole ones; the heights of the `lanes` below that a stave uses. One is
    equal to itself alone."""

    catalogue: Catalogue
    table: Table
    patterns: tuple[Pattern, ...]
    strays: tuple[Stray, ...]
    top: float | None = None
    lanes: Mapping[str, float] = field(default_factory=dict)


@dataclass(frozen=True, slots=True)
class Claim:
    """The signs, by their numbers, that may write this."""

    signs: frozenset[int]
    read: LimbRead


def near(a: float, b: float, key: ReadingKey) -> bool:
    return abs(a - b) <= key.table.tolerance.place


def side_of(sign: SignRead) -> Side:
    return Side.RIGHT if sign.x > 0 else Side.LEFT


def standing_at(
    signs: Signs, name: str, x: float, y: float, key: ReadingKey, marks: Collection[str] = ()
) -> list[int]:
    """The numbers of the signs of that name at that place, with just these marks."""
    wanted = set(marks)
    return [
        number
        for number, sign in enumerate(signs)
        if sign.name == name
        and near(sign.x, x, key)
        and near(sign.y, y, key)
        and {mark.name for mark in sign.marks} == wanted
    ]
