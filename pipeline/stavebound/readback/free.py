"""The free leg: a dash, stroke or dot off the floor, with its marks.

In: the signs of one moment. Out: claims. A foot anywhere may be read; only one
that touches the floor or the other leg has to be at a place of the table.
"""

from __future__ import annotations

from collections.abc import Iterator

from stavebound.readback.claims import DIRECTIONS, Claim, ReadingKey, Signs, standing_at
from stavebound.readback.departures import StandRead, marks, together
from stavebound.readback.values import FreeRead, SignRead
from stavebound.score.model import LegDirection, Side
from stavebound.trade.tables import FreePlace

# The marks of a foot that touches the floor or the other leg.
TOUCHING = {"hook", "touch", "touch at the calf"}


def free(signs: Signs, key: ReadingKey) -> Iterator[Claim]:
    """A bent knee is a sign of its own."""
    for number, sign in enumerate(signs):
        if sign.name in DIRECTIONS and _tail_fits(sign, key):
            for side in Side:
                yield from _free(number, sign, side, signs, key)


def _tail_fits(sign: SignRead, key: ReadingKey) -> bool:
    """A raised foot has a tail, a low one has none."""
    limit = key.table.foot.up + key.table.tolerance.place
    above = key.catalogue.feet.tail.above
    if any(mark.name == "tail" for mark in sign.marks):
        return sign.y >= above - limit
    return sign.y <= above + limit


def _free(
    number: int, sign: SignRead, side: Side, signs: Signs, key: ReadingKey
) -> Iterator[Claim]:
    own, direction = side.sign * sign.x, DIRECTIONS[sign.name]
    ticks, beside = [], key.catalogue.marks.foot[sign.name]
    if own < 0:
        dx, dy = key.catalogue.marks.across[sign.name]
        ticks = standing_at(signs, "across", sign.x + side.sign * dx, sign.y + dy, key)
        beside += dx
        if not ticks or direction is LegDirection.SIDE:
            return
    if any(mark.towards not in (0, side.sign) for mark in sign.marks):
        return
    touching = {mark.name for mark in sign.marks} & TOUCHING
    if "hook" in touching:
        beside += key.catalogue.marks.hooked
    stand = StandRead(sign.x, beside, sign.y, key.catalogue.marks.foot_step)
    for place in _places(sign, own, touching, key):
        for mark in marks("free", "beside", side, stand, signs, key):
            if found := together(mark):
                read = FreeRead(side, direction, place, (own, sign.y), found[0])
                yield Claim(frozenset({number, *ticks, *found[1]}), read)


def _places(
    sign: SignRead, own: float, touching: set[str], key: ReadingKey
) -> Iterator[str | None]:
    if not touching and sign.y >= key.table.free.lowest:
        yield None
    for row in key.catalogue.feet.free.place:
        marks = {name for name in ("hook" if row.hook else "", row.touch) if name}
        if marks and marks == touching and _is_at(row, sign, own, key):
            yield row.name


def _is_at(place: FreePlace, sign: SignRead, own: float, key: ReadingKey) -> bool:
    """A foot is hardly ever moved: it is placed first, and knows its place by its height."""
    direction, slack, limit = DIRECTIONS[sign.name], key.table.tolerance.place, key.table.foot
    x = place.side if direction is LegDirection.SIDE else key.catalogue.feet.free.before
    y = place.front if direction is LegDirection.FRONT else place.level
    return -slack <= own - x <= limit.out + slack and abs(sign.y - y) <= limit.up + slack
