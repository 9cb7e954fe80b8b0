"""Under feet that stand there is little room: what is there keeps white, in every combination.

All pairs of feet with all that can be said of them, and every transfer that leaves them and
comes to them, from near and from far, are drawn; `heights.toml` says where their ink is.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass
from functools import cache
from itertools import product

import pytest

from stavebound.build.sign_catalogue import PLATE, packaged
from stavebound.dance.pose import (
    BOTH,
    FEET,
    Free,
    Mention,
    Move,
    Pose,
    Posed,
    Sided,
    Standing,
    Subject,
)
from stavebound.engrave.choosing import Going, place_ways
from stavebound.engrave.clear import Cleared
from stavebound.engrave.gather import Ink, gather, ink_box, ink_boxes
from stavebound.engrave.ways import PlacedWay, ways
from stavebound.geometry import Box, union
from stavebound.score.model import LegDirection, Rise, Side, Weight, unwritten
from stavebound.trade.catalogue import Catalogue
from tests.support.departures import all_departing, with_mark
from tests.support.heights import LEAST, NEAR, SLACK, TABLE, kind_of, least_of, millimetres, whites
from tests.support.laws import what_hangs_under_feet_keeps_white
from tests.support.sources import score_of
from tests.support.staves import CATALOGUE, HOUSE, SETTING, view

# How far two frames are from each other, in spaces: as near as their signs let them be, with
# white between, and as far as lines are long.
NEAR_BY, FAR = 0.4, 12.0
LEAST_DISTANCE = SETTING.style.distance("least frame distance")
ROUNDING = 1e-6
WEIGHT = ("slide", "step", "spring")
FIRST = max(CATALOGUE.lanes.below.values())
LANES = ("facing", "travel", "turning")
BELOW = [
    name
    for name in CATALOGUE.signs
    if name.startswith(LANES) or name in CATALOGUE.lanes.lane_of_sign
]
WRITTEN = tuple(Mention(subject, unwritten()) for subject in FEET.values())
SPRING = Subject("feet")

Inked = tuple[str, tuple[Subject, ...], Box]


def pairs(catalogue: Catalogue) -> Iterator[Sided[Standing]]:
    """Two feet in every position, on whichever of them the weight is."""
    for row, rise, weight in product(catalogue.feet.position, Rise, Weight):
        for front in Side if row.front else (None,):
            for own in all_departing("standing", catalogue.departures):
                yield Sided(
                    *(Standing(rise, row.name, front, weight.on(side), own) for side in BOTH)
                )
    for row in catalogue.feet.kneeling:
        for front in Side if row.front else (None,):
            yield Sided(*(Standing(Rise.WHOLE, row.name, front) for _ in BOTH))


def alone(catalogue: Catalogue) -> Iterator[Sided[Standing | Free]]:
    several = all_departing("standing", catalogue.departures)
    for rise, own, direction in product(Rise, several, LegDirection):
        yield Sided(Standing(rise, departures=own), Free(direction, "pointed"))


def poses(catalogue: Catalogue) -> Iterator[Pose]:
    yield from (Pose(feet=Sided(*feet)) for feet in (*pairs(catalogue), *alone(catalogue)))


def moves(pose: Pose, catalogue: Catalogue) -> Iterator[Move]:
    """Every transfer of a foot that stands, and springs."""
    for kind in catalogue.moves.transfer:
        if kind == "spring":
            yield Move(kind, SPRING)
        else:
            stand = (side for side in BOTH if isinstance(pose.feet.of(side), Standing))
            yield from (Move(kind, FEET[side]) for side in stand)


def inked(pose: Pose, catalogue: Catalogue) -> tuple[Inked, ...]:
    return tuple(
        (ink.sign, cluster.subjects, ink_box(ink, catalogue))
        for cluster in gather(Posed(pose, WRITTEN), catalogue)
        for ink in cluster.inks
    )


def transfers(pose: Pose, axes: tuple[float, float], catalogue: Catalogue) -> Iterator[PlacedWay]:
    """From the pose to the same pose, each line by itself."""
    boxed = (
        (cluster, ink_boxes(cluster.inks, catalogue))
        for cluster in gather(Posed(pose, WRITTEN), catalogue)
    )
    signs = tuple(Cleared(cluster, boxes, union(boxes), 0.0, 0.0) for cluster, boxes in boxed)
    for move in moves(pose, catalogue):
        for way in ways(Posed(pose, WRITTEN, (move,), pose), signs, catalogue):
            yield from place_ways([Going(way, axes)], (), (), axes, catalogue)


@dataclass(frozen=True, slots=True)
class Measured:
    """The least white between each two kinds, and how low and how high each kind is."""

    white: dict[frozenset[str], float]
    heights: dict[str, tuple[float, float]]


def measured(catalogue: Catalogue) -> Measured:
    """Over all poses and transfers."""
    found: dict[frozenset[str], float] = {}
    heights: dict[str, tuple[float, float]] = {}
    for pose in poses(catalogue):
        signs = inked(pose, catalogue)
        boxes = [box for _, _, box in signs]
        wide = max(box.right for box in boxes) - min(box.left for box in boxes)
        for distance in (max(wide + NEAR_BY, LEAST_DISTANCE), FAR):
            lines = tuple(transfers(pose, (0.0, distance), catalogue))
            for axis in (0.0, distance):
                here = [(sign, subjects, box.moved(axis, 0.0)) for sign, subjects, box in signs]
                for kinds, white in whites(here, lines, catalogue):
                    found[kinds] = min(white, found.get(kinds, white))
            stand = [
                (kind, box)
                for sign, subjects, box in signs
                if (kind := kind_of(sign, subjects, catalogue)) and not is_free(pose)
            ]
            for kind, box in (*stand, *((line.kind, line.box) for line in lines)):
                low, high = heights.get(kind, (box.bottom, box.top))
                heights[kind] = min(low, box.bottom), max(high, box.top)
    return Measured(found, heights)


def is_free(pose: Pose) -> bool:
    """Whether a sign may be that of a foot which does not stand."""
    return any(isinstance(foot, Free) for foot in pose.feet)


@cache
def usual() -> Measured:
    return measured(CATALOGUE)


@cache
def marked(drawn_at: float = 0.0) -> Measured:
    """With a mark under the feet, as large as there is room for it."""
    return measured(with_mark(HOUSE, "standing", drawn_at).catalogue)


@pytest.mark.parametrize("found", [usual, marked], ids=["as it is", "with a mark"])
def test_feet_what_hangs_under_them_and_transfers_keep_white(
    found: Callable[[], Measured],
) -> None:
    for kinds, white in found().white.items():
        assert white >= least_of(kinds) - SLACK, sorted(kinds)


@pytest.mark.parametrize("drawn_at", [-0.04, 0.04])
def test_a_mark_that_is_not_in_its_room_is_seen(drawn_at: float) -> None:
    """Nearer to what is under it, or to the foot, by .07 mm; lines of weight give way."""
    near = {kinds for kinds, white in marked(drawn_at).white.items() if white < LEAST - SLACK}
    feet = {frozenset(("under", "foot"))}
    assert near - set(NEAR) == (feet if drawn_at > 0 else set())


def test_what_is_named_as_too_near_is() -> None:
    """Measured, so that what no longer is leaves the list."""
    for kinds, white in NEAR.items():
        assert millimetres(usual().white[kinds]) == pytest.approx(white, abs=0.005), sorted(kinds)
        assert usual().white[kinds] < LEAST


def test_the_plate_keeps_white() -> None:
    what_hangs_under_feet_keeps_white(view(score_of(packaged(PLATE), PLATE)))


def test_the_table_says_where_ink_is() -> None:
    said = {row["of"]: (row["bottom"], row["top"]) for row in TABLE["height"]}
    assert set(said) == set(marked().heights)
    for kind, (low, high) in marked().heights.items():
        assert (low, high) == pytest.approx(said[kind], abs=0.005), kind


def test_what_stands_below_is_clear_of_all_lines_of_weight() -> None:
    """A millimetre of a class's stave of 11."""
    lowest = min(low for kind, (low, _) in usual().heights.items() if kind in WEIGHT)
    tops = [ink_box(Ink(name, 0.0, FIRST), CATALOGUE).top for name in BELOW]
    assert lowest - max(tops) >= 1 / (11 / 4)
