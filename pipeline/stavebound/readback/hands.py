"""Hands: a dash, stroke or dot above the feet, with its marks.

In: the signs of one moment. Out: claims. Two hands whose signs touch each other
are hands that touch.
"""

from __future__ import annotations

from collections.abc import Iterator

from stavebound.readback.claims import DEPTHS, Claim, ReadingKey, Signs, near, side_of, standing_at
from stavebound.readback.departures import Found, StandRead, attached, marks, together
from stavebound.readback.values import HandRead, SignRead
from stavebound.score.model import Side

HAND = "hand"
# What is said by signs that touch each other, in no place of a mark.
JOINED = Found((("touching", "hand"),))


def hands(signs: Signs, key: ReadingKey) -> Iterator[Claim]:
    for number, sign in enumerate(signs):
        if sign.name in DEPTHS and sign.y >= key.table.hand.lowest:
            if _joined(sign, signs, key):
                yield from _marked(number, side_of(sign), 0.0, (), JOINED, signs, key)
            else:
                for side in Side:
                    yield from _hand(number, side, signs, key)


def _joined(sign: SignRead, signs: Signs, key: ReadingKey) -> bool:
    """Whether the sign touches one like it on the other side of the axis."""
    x = key.catalogue.marks.joined[sign.name]
    if sign.marks or not near(abs(sign.x), x, key):
        return False
    return bool(standing_at(signs, sign.name, -sign.x, sign.y, key))


def _hand(number: int, side: Side, signs: Signs, key: ReadingKey) -> Iterator[Claim]:
    sign = signs[number]
    scale, crossed = key.catalogue.ruling.across.hand, side is not side_of(sign)
    out = side.sign * sign.x / scale.slope
    out += (scale.base if crossed else -scale.base) / scale.slope
    if out * (-1 if crossed else 1) < -key.table.tolerance.place:
        return
    inside = attached(HAND, side, sign, key.table)
    ticks = _ticks(sign, side, signs, key) if crossed else []
    if inside is not None and (ticks or not crossed):
        out = out if crossed else max(out, 0.0)
        yield from _marked(number, side, out, ticks, Found(inside), signs, key)


def _ticks(sign: SignRead, side: Side, signs: Signs, key: ReadingKey) -> list[int]:
    """The tick of a hand across the centre."""
    dx, dy = key.catalogue.marks.across[sign.name]
    return standing_at(signs, "across", sign.x + side.sign * dx, sign.y + dy, key)


def _marked(
    number: int,
    side: Side,
    out: float,
    ticks: list[int] | tuple[int, ...],
    said: Found,
    signs: Signs,
    key: ReadingKey,
) -> Iterator[Claim]:
    """The hand with what may stand outward of its sign."""
    sign, table = signs[number], key.catalogue.marks
    stand = StandRead(sign.x, table.beside[sign.name], sign.y, table.step)
    for beside in marks(HAND, "beside", side, stand, signs, key):
        if found := together(said, beside):
            own = frozenset({number, *ticks, *found[1]})
            yield Claim(own, HandRead(side, DEPTHS[sign.name], sign.y, out, found[0]))
