"""Departures: what the marks by a limb's sign say of it.

In: the signs of one moment, and a place by the sign of a limb. Out: every way in which signs
that stand there say that the limb departs from the usual, each with their numbers. Which sign
at which place says what of which limb are the reader's own rows in shapes.toml; in their order
marks stand side by side, outward.
"""

from __future__ import annotations

from collections.abc import Iterator
from typing import NamedTuple

from stavebound.readback.claims import ReadingKey, Signs, standing_at
from stavebound.readback.table import DepartureRow, Table
from stavebound.readback.values import SignRead
from stavebound.score.departures import Departures, departures
from stavebound.score.model import Side


class Found(NamedTuple):
    """What is said of a limb, and by which signs."""

    said: tuple[tuple[str, str], ...] = ()
    signs: frozenset[int] = frozenset()


class StandRead(NamedTuple):
    """Where marks stand: the first so far outward of `x`, each `step` further."""

    x: float
    first: float
    y: float
    step: float


NOTHING = Found()


def marks(
    limb: str, place: str, side: Side, stand: StandRead, signs: Signs, key: ReadingKey
) -> Iterator[Found]:
    """All that may stand there, from nothing at all; there may be more of the same limb."""
    rows: dict[str, list[DepartureRow]] = {}
    for row in key.table.departure:
        if limb in row.of and row.place == place:
            rows.setdefault(row.name, []).append(row)
    return _stacked(tuple(rows.values()), side, stand, signs, key)


def _stacked(
    rows: tuple[list[DepartureRow], ...],
    side: Side,
    stand: StandRead,
    signs: Signs,
    key: ReadingKey,
) -> Iterator[Found]:
    if not rows:
        yield NOTHING
        return
    first, *others = rows
    rest = tuple(others)
    yield from _stacked(rest, side, stand, signs, key)
    further = stand._replace(first=stand.first + stand.step)
    x = stand.x + side.sign * stand.first
    for row in first:
        for number in standing_at(signs, row.sign, x, stand.y, key):
            if row.turned in (0, side.sign * signs[number].turned):
                for found in _stacked(rest, side, further, signs, key):
                    said = ((row.name, row.says), *found.said)
                    yield Found(said, found.signs | {number})


def attached(limb: str, side: Side, sign: SignRead, table: Table) -> Departures | None:
    """What marks that are attached to a sign on the inner side say; None where one says nothing."""
    rows = {row.sign: row for row in table.departure if limb in row.of and row.place == "inside"}
    said: dict[str, str | None] = {}
    for mark in sign.marks:
        if mark.name not in rows or mark.towards != side.sign:
            return None
        said[rows[mark.name].name] = rows[mark.name].says
    return departures(said) if len(said) == len(sign.marks) else None


def together(*several: Found) -> tuple[Departures, frozenset[int]] | None:
    """What is said in several places, and by which signs; None where one thing is said twice,
    or one sign says two."""
    said = [one for found in several for one in found.said]
    numbers = [number for found in several for number in found.signs]
    if len({name for name, _ in said}) < len(said) or len(set(numbers)) < len(numbers):
        return None
    return departures(dict(said)), frozenset(numbers)
