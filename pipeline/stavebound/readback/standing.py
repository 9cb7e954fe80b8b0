"""Standing feet: both in a position, or one alone; and the knees of a dancer who kneels.

In: the signs of one moment. Out: claims. `patterns` is how every position looks,
worked out once from the trade's table.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from itertools import product

from stavebound.readback.claims import Claim, Pattern, ReadingKey, Signs, near, side_of, standing_at
from stavebound.readback.departures import StandRead, marks, together
from stavebound.readback.values import FeetRead, FootRead, SignRead
from stavebound.score.departures import Departures
from stavebound.score.model import Rise, Side, Weight
from stavebound.trade.catalogue import Catalogue
from stavebound.trade.tables import Feet, FeetPosition, PlacedRow

# Under the foot that bears all the weight; it is not among the ink from whose edge marks stand.
DOT = "weight"
STANDING = "standing"
PlacedSigns = tuple[tuple[str, float, float], ...]


def standing(signs: Signs, key: ReadingKey) -> Iterator[Claim]:
    """Both feet in a position; else a foot alone, unless the other is beside it."""
    names = {sign.name for sign in signs if not sign.marks}
    for pattern in key.patterns:
        if pattern.names <= names:
            found = [standing_at(signs, *place, key) for place in pattern.signs]
            if all(found):
                own = frozenset(number for some in found for number in some)
                yield from _position(own, pattern, signs, key)
    for number, sign in enumerate(signs):
        if sign.name == key.catalogue.feet.alone.sign and not sign.marks:
            yield from _alone(number, sign, signs, key)


def _position(
    own: frozenset[int], pattern: Pattern, signs: Signs, key: ReadingKey
) -> Iterator[Claim]:
    """Marks say the same of both feet."""
    table = key.catalogue.marks
    feet = [signs[number] for number in own if signs[number].name != DOT]
    right = max(sign.x + sign.right for sign in feet) + table.edge
    left = max(sign.left - sign.x for sign in feet) + table.edge
    of_both = [
        _marks(side, StandRead(0.0, edge, pattern.level, table.foot_step), under, signs, key)
        for side, edge, under in zip(Side, (right, left), pattern.under, strict=True)
    ]
    for (said, some), (also, others) in product(*of_both):
        if said == also:
            yield Claim(own | some | others, replace(pattern.read, departures=said))


def _marks(
    side: Side, beside: StandRead, under: float, signs: Signs, key: ReadingKey
) -> list[tuple[Departures, frozenset[int]]]:
    """What may be said of a foot that stands, beside it and under it, with the signs of that."""
    table = key.catalogue.marks
    below = StandRead(0.0, under, table.under.y, table.under.step)
    ways = product(
        marks(STANDING, "beside", side, beside, signs, key),
        marks(STANDING, "under", side, below, signs, key),
    )
    return [found for way in ways if (found := together(*way))]


def _alone(number: int, sign: SignRead, signs: Signs, key: ReadingKey) -> Iterator[Claim]:
    alone, own = key.catalogue.feet.alone, side_of(sign)
    if not near(sign.x, own.sign * alone.x, key):
        return
    for rise, row in key.catalogue.feet.rise.items():
        if near(sign.y, row.level, key) and not standing_at(signs, sign.name, -sign.x, sign.y, key):
            table = key.catalogue.marks
            beside = StandRead(sign.x, table.foot[sign.name], sign.y, table.foot_step)
            for said, found in _marks(own, beside, alone.x, signs, key):
                yield Claim(found | {number}, FootRead(own, Rise(rise), said))


def patterns(catalogue: Catalogue) -> Iterator[Pattern]:
    """How every position looks, with the weight on both feet and on one."""
    kneeling = {row.name for row in catalogue.feet.kneeling}
    for read, ink in _drawn(catalogue.feet):
        level, feet = catalogue.feet.rise[read.rise].level, _placed(read, catalogue.feet)
        yield _pattern(read, ink, level, tuple(foot.under or foot.dot for foot in feet))
        for side, row in () if read.position in kneeling else zip(Side, feet, strict=True):
            dot, step = (
                (DOT, side.sign * row.dot, catalogue.marks.weight),
                catalogue.marks.under.step,
            )
            under = tuple(
                foot.under or foot.dot + (step if own is side else 0.0)
                for own, foot in zip(Side, feet, strict=True)
            )
            yield _pattern(replace(read, weight=Weight(side.value)), (*ink, dot), level, under)


def _pattern(read: FeetRead, ink: PlacedSigns, level: float, under: tuple[float, ...]) -> Pattern:
    return Pattern(read, ink, level, under, frozenset(name for name, _, _ in ink))


def _drawn(feet: Feet) -> Iterator[tuple[FeetRead, PlacedSigns]]:
    for rise in Rise:
        for position in feet.position:
            yield from _in(position, rise, feet)
    for kneeling in feet.kneeling:
        yield from _in(kneeling, Rise.WHOLE, feet)


def _in(position: FeetPosition, rise: Rise, feet: Feet) -> Iterator[tuple[FeetRead, PlacedSigns]]:
    row = feet.rise[rise]
    if right := position.right:
        pair = tuple((right.sign, side.sign * right.x, row.of(right.sign)) for side in Side)
        yield FeetRead(position.name, None, rise), pair
    if (front := position.front) and (behind := position.behind):
        for side in Side:
            pair = tuple(
                (foot.sign, own.sign * foot.x, row.of(foot.sign))
                for foot, own in ((front, side), (behind, side.other))
            )
            yield FeetRead(position.name, side, rise), pair


def _placed(read: FeetRead, feet: Feet) -> tuple[PlacedRow, ...]:
    """The rows of the right and the left foot."""
    row = {row.name: row for row in (*feet.position, *feet.kneeling)}[read.position]
    own = (row.right or (row.front if side is read.front else row.behind) for side in Side)
    return tuple(foot for foot in own if foot)
