"""Which lines of movement run through signs, as a reader of the page would see it."""

from __future__ import annotations

from collections.abc import Iterator
from itertools import pairwise

from stavebound.drawing.courses import Spot
from stavebound.engrave.system import PlacedSign, System
from stavebound.engrave.ways import PlacedWay
from stavebound.geometry import Box

# Between two spots of a line it is looked at in so many places.
LOOKS = 8


def crossed_signs(system: System) -> Iterator[tuple[PlacedWay, PlacedSign]]:
    """Lines of limbs with the signs into whose boxes their middle comes; but those of the limb
    itself, at which a line begins and ends."""
    for stave in system.staves:
        for way in (each for each in stave.ways if each.kind == "way"):
            for sign in stave.signs:
                if way.subject not in sign.subjects and runs_into(way.along, sign.box):
                    yield way, sign


def runs_into(along: tuple[Spot, ...], box: Box) -> bool:
    """Whether the middle of a line comes into a box."""
    spots = (spot for piece in pairwise(along) for spot in _spots(*piece))
    return any(_in(x, y, box) for x, y in spots)


def _spots(a: Spot, b: Spot) -> Iterator[Spot]:
    for step in range(LOOKS + 1):
        share = step / LOOKS
        yield a[0] + (b[0] - a[0]) * share, a[1] + (b[1] - a[1]) * share


def _in(x: float, y: float, box: Box) -> bool:
    return box.left < x < box.right and box.bottom < y < box.top
