"""Knees and elbows.

In: the signs of one moment. Out: claims.
"""

from __future__ import annotations

from collections.abc import Iterator

from stavebound.readback.claims import Claim, ReadingKey, Signs, side_of
from stavebound.readback.values import JointRead, SignRead
from stavebound.score.model import Bend, Depth

JOINTS = {
    f"{bend} bend{depth}": (Bend(bend), Depth(depth.strip() or "level"))
    for bend in ("half", "full")
    for depth in ("", " front", " behind")
}


def joints(signs: Signs, key: ReadingKey) -> Iterator[Claim]:
    """A bent joint wherever it is off the floor: a knee with a tail, or low; else an elbow."""
    for number, sign in enumerate(signs):
        if sign.name in JOINTS and sign.y >= key.table.knee.lowest - key.table.tolerance.place:
            kind = _kind(sign, key)
            if kind:
                bend, depth = JOINTS[sign.name]
                yield _joint(number, kind, bend, depth, sign)


def _kind(sign: SignRead, key: ReadingKey) -> str | None:
    table = key.table
    side = side_of(sign).sign
    if not sign.marks:
        return "elbow" if sign.y >= table.elbow.lowest - table.tolerance.place else "knee"
    raised = sign.y >= key.catalogue.feet.tail.knee - table.moved.up - table.tolerance.place
    tails = [mark.name for mark in sign.marks] == ["tail"]
    return "knee" if raised and tails and sign.marks[0].towards in (0, side) else None


def straight(signs: Signs, key: ReadingKey) -> Iterator[Claim]:
    """A ring off the axis, near a joint's usual place."""
    limit, slack = key.table.moved, key.table.tolerance.place
    for number, sign in enumerate(signs):
        for kind, rows in key.catalogue.feet.joint.items():
            row = rows[Bend.NONE]
            dx, dy = abs(sign.x) - row.x, sign.y - (row.y or 0.0)
            here = -slack <= dx <= limit.out + slack and abs(dy) <= limit.up + slack
            if sign.name == row.sign and not sign.marks and here:
                yield _joint(number, kind, Bend.NONE, Depth.LEVEL, sign)


def _joint(number: int, kind: str, bend: Bend, depth: Depth, sign: SignRead) -> Claim:
    read = JointRead(kind, side_of(sign), bend, depth, (abs(sign.x), sign.y))
    return Claim(frozenset({number}), read)
