"""The centre line: head, body and hips; and what is said of the whole dancer.

In: the signs of one moment. Out: claims.
"""

from __future__ import annotations

from collections.abc import Iterator

from stavebound.readback.claims import Claim, ReadingKey, Signs, near
from stavebound.readback.table import Table
from stavebound.readback.values import PartRead, SignRead, Spot, WholeRead
from stavebound.score.attitude import STRAIGHT, Attitude, Lean, attitude
from stavebound.score.model import CentrePart


def whole(signs: Signs, key: ReadingKey) -> Iterator[Claim]:
    """A sign near the axis, at the height of what it says."""
    up = key.table.moved.up + key.table.tolerance.place
    aside = key.table.centre.aside + key.table.tolerance.place
    for number, sign in enumerate(signs):
        for row in key.catalogue.lanes.on_stave:
            here = abs(sign.y - row.y) <= up and abs(sign.x) <= aside
            if sign.name == row.sign and not sign.marks and here:
                yield Claim(frozenset({number}), WholeRead(row.name, (sign.x, sign.y)))


def centre(signs: Signs, key: ReadingKey) -> Iterator[Claim]:
    """Signs abreast, round the axis or aside of it: how a part leans, in its space."""
    names = key.table.abreast
    limit = key.table.moved.up + key.table.tolerance.place
    for row in key.catalogue.centre.part:
        stand = [
            (sign.x, number)
            for number, sign in enumerate(signs)
            if sign.name in names and abs(sign.y - row.y) <= limit and not sign.marks
        ]
        group = [number for _, number in sorted(stand)]
        if not group:
            continue
        abreast = [signs[number] for number in group]
        own = _attitude(abreast, key.table)
        middle = _middle(abreast, key) if own is not None else None
        if own is not None and middle:
            yield Claim(frozenset(group), PartRead(CentrePart(row.name), own, middle))


def _middle(group: list[SignRead], key: ReadingKey) -> Spot | None:
    """The middle of signs that stand abreast; None where they do not."""
    gap = key.table.centre.gap
    left = -(sum(sign.wide for sign in group) + gap * (len(group) - 1)) / 2
    aside = group[0].x - left - group[0].wide / 2
    if abs(aside) > key.table.centre.aside + key.table.tolerance.place:
        return None
    for sign in group:
        middle = left + sign.wide / 2 + aside
        if not (near(sign.x, middle, key) and near(sign.y, group[0].y, key)):
            return None
        left += sign.wide + gap
    return aside, group[0].y


def _attitude(group: list[SignRead], table: Table) -> Attitude | None:
    """None where the signs are not in their order, or one is there twice."""
    if [sign.name for sign in group] == [table.centre.straight]:
        return STRAIGHT
    said: dict[str, Lean] = {}
    for sign in group:
        found = _leaning(sign, table)
        if found is None or found[0] in said:
            return None
        said[found[0]] = found[1]
    in_order = [row.name for row in table.lean if row.name in said] == list(said)
    return attitude(said) if in_order else None


def _leaning(sign: SignRead, table: Table) -> tuple[str, Lean] | None:
    """What the sign says by itself, turned as it is."""
    for row in table.lean:
        for to, own in row.to.items():
            if sign.name in own.signs and own.turned in (0, sign.turned):
                return row.name, Lean(to, own.signs.index(sign.name) + 1)
    return None
