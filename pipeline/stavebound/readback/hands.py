"""Hands: a dash, stroke or dot above the feet, with its marks.

In: the signs of one moment. Out: claims. Two hands whose signs touch each other
are hands that touch.
"""

from __future__ import annotations

from collections.abc import Iterator

from stavebound.readback.claims import DEPTHS, Claim, Key, Signs, near, side_of, standing_at
from stavebound.readback.values import HandRead, Sign
from stavebound.score.model import ArmLine, Palm, Side

Marks = tuple[Palm | None, ArmLine | None, tuple[int, ...]]


def hands(signs: Signs, key: Key) -> Iterator[Claim]:
    for number, sign in enumerate(signs):
        if sign.name in DEPTHS and sign.y >= key.table.hand.lowest:
            if _joined(sign, signs, key):
                side = side_of(sign)
                for palm, arm, marks in _beside(sign, side, signs, key):
                    read = HandRead(side, DEPTHS[sign.name], sign.y, 0.0, palm, arm, "hand")
                    yield Claim(frozenset({number, *marks}), read)
            else:
                for side in Side:
                    yield from _hand(number, side, signs, key)


def _joined(sign: Sign, signs: Signs, key: Key) -> bool:
    """Whether the sign touches one like it on the other side of the axis."""
    x = key.catalogue.marks.joined[sign.name]
    if sign.marks or not near(abs(sign.x), x, key):
        return False
    return bool(standing_at(signs, sign.name, -sign.x, sign.y, key))


def _hand(number: int, side: Side, signs: Signs, key: Key) -> Iterator[Claim]:
    sign, marks = signs[number], key.catalogue.marks
    scale, crossed = key.catalogue.ruling.across.hand, side is not side_of(sign)
    out = side.sign * sign.x / scale.slope
    out += (scale.base if crossed else -scale.base) / scale.slope
    if out * (-1 if crossed else 1) < -key.table.tolerance.place:
        return
    attached = [(mark.name, mark.towards) for mark in sign.marks]
    if attached not in ([], [("touch", side.sign)]):
        return
    dx, dy = marks.across[sign.name]
    x, y = sign.x + side.sign * dx, sign.y + dy
    ticks = standing_at(signs, "across", x, y, key) if crossed else []
    if crossed and not ticks:
        return
    touching = "body" if attached else None
    out = out if crossed else max(out, 0.0)
    for palm, arm, beside in _beside(sign, side, signs, key):
        read = HandRead(side, DEPTHS[sign.name], sign.y, out, palm, arm, touching)
        yield Claim(frozenset({number, *ticks, *beside}), read)
    for bracket in _brackets(sign, side, signs, key) if not (attached or crossed) else ():
        for palm, arm, beside in _beside(sign, side, signs, key, marks.step):
            read = HandRead(side, DEPTHS[sign.name], sign.y, out, palm, arm, "barre")
            yield Claim(frozenset({number, bracket, *beside}), read)


def _brackets(sign: Sign, side: Side, signs: Signs, key: Key) -> list[int]:
    """The bracket of the barre on the outer side of the sign."""
    x = sign.x + side.sign * key.catalogue.marks.beside[sign.name]
    found = standing_at(signs, "barre", x, sign.y, key)
    return [number for number in found if signs[number].turned == side.sign]


def _beside(
    sign: Sign, side: Side, signs: Signs, key: Key, further: float = 0.0
) -> Iterator[Marks]:
    """What may stand outward of the sign: the line of the arm, then the palm."""
    marks = key.catalogue.marks
    beside = marks.beside[sign.name] + further
    for arm, line in ((None, ()), *_arm(sign, side, beside, signs, key)):
        at = beside + (marks.step if arm else 0.0)
        for palm, cup in ((None, ()), *_palm(sign, side, at, signs, key)):
            yield palm, arm, (*line, *cup)


def _arm(
    sign: Sign, side: Side, beside: float, signs: Signs, key: Key
) -> Iterator[tuple[ArmLine, tuple[int, ...]]]:
    for arm in ArmLine:
        for number in standing_at(signs, f"arm {arm}", sign.x + side.sign * beside, sign.y, key):
            if arm is ArmLine.STRETCHED or signs[number].turned == side.sign:
                yield arm, (number,)


def _palm(
    sign: Sign, side: Side, beside: float, signs: Signs, key: Key
) -> Iterator[tuple[Palm, tuple[int, ...]]]:
    x = sign.x + side.sign * beside
    for number in standing_at(signs, "palm aside", x, sign.y, key):
        yield (Palm.OUT if signs[number].turned == side.sign else Palm.IN), (number,)
    for palm in (Palm.UP, Palm.DOWN):
        for number in standing_at(signs, f"palm {palm}", x, sign.y, key):
            yield palm, (number,)
