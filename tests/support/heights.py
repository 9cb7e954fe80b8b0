"""Heights: how near to each other feet, what hangs under them, and transfers are.

In: signs with their boxes, and lines of movement. Out: the least white between the kinds of
them, in spaces. A kind is "foot" (every sign of a limb that is no other), "weight", "under"
(a mark under a foot, by the table of departures), or a line's: slide, step or spring.
"""

from __future__ import annotations

import tomllib
from collections.abc import Iterable, Iterator
from itertools import pairwise
from math import hypot
from pathlib import Path
from typing import Any

from stavebound.dance.pose import Subject
from stavebound.engrave.ways import PlacedWay
from stavebound.geometry import Box
from stavebound.trade.catalogue import Catalogue

TABLE: dict[str, Any] = tomllib.loads(
    (Path(__file__).parents[1] / "heights.toml").read_text(encoding="utf-8")
)
# In spaces.
LEAST: float = TABLE["white"]["least"] / (TABLE["white"]["stave"] / 4)
NEAR: dict[frozenset[str], float] = {frozenset(row["of"]): row["white"] for row in TABLE["near"]}
# So much nearer may be what is measured.
SLACK = 0.005
# Between two spots of a line, so many pieces are looked at.
PIECES = 8
FOOT = "foot"

Kind = str
Signs = Iterable[tuple[str, tuple[Subject, ...], Box]]
White = tuple[frozenset[Kind], float]


def millimetres(spaces: float) -> float:
    """On the stave of the table."""
    return spaces * float(TABLE["white"]["stave"]) / 4


def least_of(kinds: frozenset[Kind]) -> float:
    """The white that two kinds keep, in spaces."""
    return min(NEAR[kinds] / millimetres(1), LEAST) if kinds in NEAR else LEAST


def kind_of(sign: str, subjects: tuple[Subject, ...], catalogue: Catalogue) -> Kind | None:
    """None for what stands in a lane of its own."""
    if any(subject.side is None for subject in subjects):
        return None
    under = {row.sign for row in catalogue.departures.value if row.place == "under"}
    return "under" if sign in under else sign if sign == "weight" else FOOT


def whites(signs: Signs, ways: Iterable[PlacedWay], catalogue: Catalogue) -> Iterator[White]:
    """Between what hangs and all else, and between transfers and all signs."""
    kinds = [
        (kind, box) for sign, subjects, box in signs if (kind := kind_of(sign, subjects, catalogue))
    ]
    for number, (one, box) in enumerate(kinds):
        if one != FOOT:
            for at, (other, also) in enumerate(kinds):
                if at < number or other == FOOT:
                    yield frozenset((one, other)), apart(box, also)
    for way in ways:
        if way.kind in catalogue.moves.transfer:
            half, spots = max(way.widths) / 2, list(_spots(way))
            for kind, box in kinds:
                if box.touches(way.box.grown(LEAST)):
                    near = min(apart(box, Box(x, y, x, y)) for x, y in spots)
                    yield frozenset((kind, way.kind)), near - half


def _spots(way: PlacedWay) -> Iterator[tuple[float, float]]:
    for (x1, y1), (x2, y2) in pairwise(way.along):
        for piece in range(PIECES + 1):
            share = piece / PIECES
            yield x1 + share * (x2 - x1), y1 + share * (y2 - y1)


def apart(one: Box, other: Box) -> float:
    """The white between two boxes; nought where they share an area."""
    across = max(one.left - other.right, other.left - one.right, 0.0)
    up = max(one.bottom - other.top, other.bottom - one.top, 0.0)
    return hypot(across, up)
