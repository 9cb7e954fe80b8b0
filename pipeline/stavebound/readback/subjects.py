"""Limbs: whose sign is which, and where the limb is.

In: the signs of one moment, x from its axis. Out: all ways in which claims cover
every sign just once and no limb twice. One way is a reading, two are an
ambiguity, none is ink that says nothing.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator

from stavebound.dance.pose import Subject
from stavebound.readback.centre import centre, whole
from stavebound.readback.claims import Claim, ReadingKey, Signs
from stavebound.readback.free import free
from stavebound.readback.hands import hands
from stavebound.readback.joints import joints, straight
from stavebound.readback.lanes import lane_claims
from stavebound.readback.standing import standing
from stavebound.readback.values import LimbRead
from stavebound.score.model import CentrePart


def readings(signs: Signs, key: ReadingKey) -> tuple[tuple[LimbRead, ...], ...]:
    """Every way to read the signs; none where some sign is left over."""
    claims = [claim for make in CLAIMS for claim in make(signs, key)]
    found = _covers(frozenset(range(len(signs))), frozenset(), claims)
    return tuple(dict.fromkeys(tuple(sorted(reads, key=_order)) for reads in found))


def _covers(
    left: frozenset[int], taken: frozenset[Subject], claims: list[Claim]
) -> Iterator[tuple[LimbRead, ...]]:
    if not left:
        yield ()
        return
    first = min(left)
    for claim in claims:
        if first in claim.signs and claim.signs <= left and taken.isdisjoint(claim.read.subjects):
            for rest in _covers(left - claim.signs, taken.union(claim.read.subjects), claims):
                yield (claim.read, *rest)


def _order(read: LimbRead) -> tuple[int, int]:
    kinds = ("foot", "knee", "elbow", *CentrePart, "hand")
    subject = read.subjects[0]
    kind = kinds.index(subject.kind) if subject.kind in kinds else len(kinds)
    return kind, -subject.side.sign if subject.side else 0


CLAIMS: tuple[Callable[[Signs, ReadingKey], Iterator[Claim]], ...] = (
    standing,
    free,
    joints,
    straight,
    centre,
    whole,
    hands,
    lane_claims,
)
