"""Places that have a name keep apart after they gave way to the lines of the stave.

Every named place and height of a limb is drawn by itself. Two that are written with the same
signs stand as far apart as `legibility.toml` says, or as far as the tables have them where that is
less.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from itertools import combinations, product
from math import dist

import pytest

from stavebound.book.key import posed_in
from stavebound.dance.pose import Subject
from stavebound.engrave.clear import Cleared, clear
from stavebound.engrave.gather import gather
from stavebound.score.model import Side
from tests.support.families import TABLE
from tests.support.staves import CATALOGUE, ENGLISH, SETTING

APART: float = TABLE["places"]["apart"]
ROUNDING = 1e-9
WAYS = ("front", "side", "back")
DEPTHS = ("level", "front", "behind")
# How far out a limb is at the height of a part of the body: near the centre, across it, aside.
OUT = (0.12, -0.12, 0.38)
RULING = CATALOGUE.ruling
PARTS = [*(row.name for row in RULING.line), *(row.name for row in RULING.between)]


def arms() -> Iterator[str]:
    yield from (f'in="{row.name}"' for row in CATALOGUE.shapes.hand)
    yield from (f'touching="{row.name}"' for row in CATALOGUE.shapes.contact)


def legs() -> Iterator[str]:
    for row, way in product(CATALOGUE.feet.free.place, WAYS):
        place = "raised" if row.name.isdecimal() else "place"
        yield f'to="{way}" {place}="{row.name}"'


def heights(said: str) -> Iterator[str]:
    yield from (f'{said} height="{part}"' for part in PARTS)


@pytest.mark.parametrize(
    ("limb", "places"),
    [
        ("hand", arms()),
        ("foot", legs()),
        *(("hand", heights(f'out="{out}" depth="{own}"')) for out, own in product(OUT, DEPTHS)),
        *(("foot", heights(f'out="{out}" to="{own}"')) for out, own in product(OUT, WAYS)),
        *(("elbow", heights(f'bend="half" depth="{depth}"')) for depth in DEPTHS),
    ],
)
def test_named_places_of_a_limb_keep_apart(limb: str, places: Iterable[str]) -> None:
    placed = [alone(limb, f'<{limb} side="right" {place}/>') for place in places]
    for one, other in combinations(placed, 2):
        if signs_of(one) == signs_of(other):
            asked = min(APART, dist(ideal(one), ideal(other)))
            assert dist(spot(one), spot(other)) >= asked - ROUNDING, (one, other)


def alone(limb: str, source: str) -> Cleared:
    """The limb's cluster in a frame of nothing else."""
    posed = posed_in(source, CATALOGUE, ENGLISH)
    cleared = clear(gather(posed, CATALOGUE), CATALOGUE, SETTING.style).value or ()
    (own,) = (one for one in cleared if one.cluster.subjects == (Subject(limb, Side.RIGHT),))
    return own


def signs_of(cleared: Cleared) -> list[str]:
    return [ink.sign for ink in cleared.cluster.inks]


def spot(cleared: Cleared) -> tuple[float, float]:
    return cleared.cluster.inks[0].x, cleared.cluster.inks[0].y


def ideal(cleared: Cleared) -> tuple[float, float]:
    x, y = spot(cleared)
    return x - cleared.dx, y - cleared.dy
