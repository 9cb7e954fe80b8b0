"""Standing feet: both in a position, or one alone.

In: the signs of one moment. Out: claims. `patterns` is how every position looks,
worked out once from the trade's table.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace

from stavebound.readback.claims import (
    TURNED,
    Claim,
    Key,
    Pattern,
    Signs,
    near,
    side_of,
    standing_at,
)
from stavebound.readback.values import FeetRead, FootRead, Sign
from stavebound.score.model import Rise, Side, Turned, Weight
from stavebound.trade.catalogue import Catalogue
from stavebound.trade.tables import Feet

# Under the foot that bears all the weight; it is not among the ink from whose edge marks stand.
DOT = "weight"
Ink = tuple[tuple[str, float, float], ...]


def standing(signs: Signs, key: Key) -> Iterator[Claim]:
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


def _position(own: frozenset[int], pattern: Pattern, signs: Signs, key: Key) -> Iterator[Claim]:
    yield Claim(own, pattern.read)
    gap = key.catalogue.marks.edge
    feet = [signs[number] for number in own if signs[number].name != DOT]
    right = max(sign.x + sign.right for sign in feet) + gap
    left = max(sign.left - sign.x for sign in feet) + gap
    for name, turned in TURNED.items():
        beside = (
            standing_at(signs, name, right, pattern.level, key),
            standing_at(signs, name, -left, pattern.level, key),
        )
        if all(beside) and all(
            signs[at].turned == way for (at, *_), way in zip(beside, (1, -1), strict=True)
        ):
            yield Claim(own.union(*beside), replace(pattern.read, turned=turned))


def _alone(number: int, sign: Sign, signs: Signs, key: Key) -> Iterator[Claim]:
    alone, own = key.catalogue.feet.alone, side_of(sign)
    if not near(sign.x, own.sign * alone.x, key):
        return
    for rise, row in key.catalogue.feet.rise.items():
        if near(sign.y, row.level, key) and not standing_at(signs, sign.name, -sign.x, sign.y, key):
            yield Claim(frozenset({number}), FootRead(own, Rise(rise)))
            x = sign.x + own.sign * key.catalogue.marks.foot[sign.name]
            for mark, turned in turned_at(x, sign.y, own, signs, key):
                yield Claim(frozenset({number, mark}), FootRead(own, Rise(rise), turned))


def turned_at(
    x: float, y: float, side: Side, signs: Signs, key: Key
) -> Iterator[tuple[int, Turned]]:
    """Signs there that say how the leg is turned."""
    for name, turned in TURNED.items():
        for number in standing_at(signs, name, x, y, key):
            if signs[number].turned == side.sign:
                yield number, turned


def patterns(catalogue: Catalogue) -> Iterator[Pattern]:
    """How every position looks, with the weight on both feet and on one."""
    for read, ink in _drawn(catalogue.feet):
        level = catalogue.feet.rise[read.rise].level
        yield _pattern(read, ink, level)
        for weight, dot in _weighted(read, catalogue):
            yield _pattern(replace(read, weight=weight), (*ink, dot), level)


def _pattern(read: FeetRead, ink: Ink, level: float) -> Pattern:
    return Pattern(read, ink, level, frozenset(name for name, _, _ in ink))


def _drawn(feet: Feet) -> Iterator[tuple[FeetRead, Ink]]:
    for name, row in feet.rise.items():
        for position in feet.position:
            if right := position.right:
                y = row.front if right.sign == "front" else row.level
                pair = tuple((right.sign, side.sign * right.x, y) for side in Side)
                yield FeetRead(position.name, None, Rise(name)), pair
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
                    yield FeetRead(position.name, side, Rise(name)), pair


def _weighted(
    read: FeetRead, catalogue: Catalogue
) -> Iterator[tuple[Weight, tuple[str, float, float]]]:
    """The dot under the foot that bears all the weight."""
    row = {row.name: row for row in catalogue.feet.position}[read.position]
    for side in Side:
        foot = row.right or (row.front if side is read.front else row.behind)
        if foot:
            x = foot.x if foot.weight is None else foot.weight
            yield Weight(side.value), (DOT, side.sign * x, catalogue.marks.weight)
