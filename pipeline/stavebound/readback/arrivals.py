"""Arrivals: what a line of movement says of the limb at which it ends.

In: a limb that was read, and the lines of its frame. Out: what the change that writes it
says of how it comes there. A place that a limb passes has the name of the tables that
stands there; where none does, that is told.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from typing import NamedTuple

from stavebound.dance.pose import FootPose, Free, HandPose, Standing, Subject
from stavebound.readback.claims import ReadingKey
from stavebound.readback.places import Spot, foot_spot, hand_spot
from stavebound.readback.springs import flight_of
from stavebound.readback.values import FeetRead, FootRead, LimbRead, WayRead
from stavebound.readback.ways import form_of, is_straight, passes
from stavebound.score.model import (
    PLAIN,
    Beat,
    Bow,
    Depth,
    Flight,
    LegDirection,
    PathForm,
    Rise,
    Side,
    Transfer,
)
from stavebound.trade.catalogue import Catalogue

# In spaces: both axes and both ends of a line are rounded.
NEAR = 0.025
FEET = Subject("feet")
# The places at the other leg that a way may pass by their own names.
PASSED = ("ankle", "knee")

NamedSpot = tuple[str, tuple[float, float], Bow | None]


class Passing(NamedTuple):
    """By what place or in what form a limb comes to its own, as the model has it."""

    via: str | None = None
    path: PathForm | None = None
    bow: Bow | None = None


class Arrival(NamedTuple):
    """How the weight comes, the foot that its line ends at, and what is done in a spring."""

    by: Transfer | None = None
    moving: Side | None = None
    flight: Flight = PLAIN


def transfer(read: LimbRead, ways: tuple[WayRead, ...]) -> Arrival:
    """A spring is of both feet."""
    for way in ways:
        springs = way.subject == FEET and isinstance(read, FootRead | FeetRead)
        if way.kind != "way" and (springs or way.subject in read.subjects):
            beats = tuple(Beat(side) for side in way.beats)
            flight = replace(flight_of(way), beats=beats)
            return Arrival(Transfer(way.kind), way.subject.side, flight)
    return Arrival()


def passing(read: LimbRead, ways: tuple[WayRead, ...], key: ReadingKey) -> Passing:
    """Of a limb by itself: nothing is said of the way of two feet."""
    if isinstance(read, FeetRead):
        return Passing()
    return next((_passing(way, key) for way in _own(read, ways)), Passing())


def passes_unnamed(read: LimbRead, ways: tuple[WayRead, ...], key: ReadingKey) -> bool:
    """Whether the limb passes a place that has no name."""
    return any(_own(read, ways)) and passing(read, ways, key) == Passing()


def _own(read: LimbRead, ways: tuple[WayRead, ...]) -> Iterator[WayRead]:
    return (way for way in ways if way.kind == "way" and way.subject in read.subjects)


def _passing(way: WayRead, key: ReadingKey) -> Passing:
    if is_straight(way, key):
        return Passing(path=PathForm.STRAIGHT, bow=way.bow)
    names = [named for named in _places(way, key.catalogue) if passes(way, named[1], key, NEAR)]
    best = sorted(names, key=lambda named: (named[2] is not way.bow, _up(way, named[1])))
    if not best:
        form = form_of(way, key)
        return Passing(path=PathForm(form), bow=way.bow) if form else Passing()
    name, _, bow = best[0]
    return Passing(via=name, bow=way.bow if way.bow is not bow else None)


def _up(way: WayRead, spot: Spot) -> float:
    return abs(way.middle[1] - spot[1]) if way.middle else 0.0


def _places(way: WayRead, catalogue: Catalogue) -> Iterator[NamedSpot]:
    """The names that a limb may pass, with where they are and how they bow."""
    side = way.subject.side or Side.RIGHT
    if way.subject.kind == "hand":
        for row in catalogue.shapes.hand:
            x, y = hand_spot(HandPose(Depth(row.depth), row.height, row.out, 0.0), catalogue)
            bow = {"front": Bow.FRONT, "behind": Bow.BEHIND}.get(row.depth)
            yield row.name, (side.sign * x, y), bow
        return
    for name, foot, bow in _feet(catalogue):
        x, y = foot_spot(foot, side, catalogue)
        yield name, (side.sign * x, y), bow


def _feet(catalogue: Catalogue) -> Iterator[tuple[str, FootPose, Bow | None]]:
    yield "first", Standing(Rise.WHOLE), None
    for direction, bow in (
        (LegDirection.FRONT, Bow.FRONT),
        (LegDirection.SIDE, Bow.SIDE),
        (LegDirection.BACK, Bow.BEHIND),
    ):
        for row in catalogue.feet.free.place:
            foot = Free(direction, row.name)
            own = row.name in PASSED
            yield (row.name, foot, None) if own else (direction, foot, bow)
