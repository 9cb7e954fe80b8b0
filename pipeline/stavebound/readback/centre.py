"""The centre line: head, body and hips; and what is said of the whole dancer.

In: the signs of one moment. Out: claims.
"""

from __future__ import annotations

from collections.abc import Iterator

from stavebound.dance.pose import Attitude
from stavebound.readback.claims import Claim, ReadingKey, Signs, near
from stavebound.readback.values import PartRead, SignRead, Spot, WholeRead
from stavebound.score.model import CentrePart, Lean


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
            yield Claim(frozenset(group), PartRead(CentrePart(row.name), attitude, middle))


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


def _attitude(group: list[SignRead]) -> Attitude | None:
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
