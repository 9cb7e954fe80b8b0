"""Departures of limbs: the rows of `departures.toml`, and what is asked of them.

In: what TOML gives. Out: frozen, validated rows. What is written or drawn of a limb goes by
pairs of an attribute and its value, as in `score/departures.py`.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from functools import cached_property
from typing import Literal, get_args

from pydantic import model_validator

from stavebound.trade.tables import Row

# A hand; a foot without weight; one that stands, by itself or with the other.
LimbKind = Literal["hand", "free", "standing"]
# Outward of the limb's sign, one after the other; from its inner side; under the floor line.
Place = Literal["beside", "inside", "under"]
Pairs = tuple[tuple[str, str], ...]


class Departure(Row):
    """An attribute of a limb, and of which limbs; `usual` is the value that goes without
    saying, where that can be written."""

    name: str
    of: tuple[LimbKind, ...]
    usual: str = ""
    description: str


class Value(Row):
    """A value of an attribute: its sign, none where it has no sign of its own, and where that
    stands; `turned` over on the left where it opens out, on the right where it opens in;
    `said` in a sentence, behind what is said of the limb."""

    of: str
    says: str
    sign: str = ""
    place: Place = "beside"
    turned: Literal["", "out", "in"] = ""
    said: str = ""

    @property
    def name(self) -> str:
        return f"{self.of} {self.says}"

    def mirrored(self, left: bool) -> bool:
        """Whether the sign is turned over, on the left or the right of the body."""
        return bool(self.turned) and left is (self.turned == "out")


class DepartureTable(Row):
    """In the order of the rows of `departure` their signs stand beside a limb, outward."""

    departure: tuple[Departure, ...]
    value: tuple[Value, ...]

    @model_validator(mode="after")
    def _known(self) -> DepartureTable:
        names = {row.name for row in self.departure}
        if strange := {row.of for row in self.value} - names:
            raise ValueError(f"no departure has the name {', '.join(sorted(strange))}")
        return self

    def of(self, limb: LimbKind) -> tuple[str, ...]:
        """The attributes of such a limb."""
        return tuple(row.name for row in self.departure if limb in row.of)

    @cached_property
    def _usual(self) -> Mapping[LimbKind, Mapping[str, str]]:
        """For each limb its attributes with their usual values."""
        return {
            limb: {row.name: row.usual for row in self.departure if limb in row.of}
            for limb in get_args(LimbKind)
        }

    @cached_property
    def _values(self) -> Mapping[tuple[str, str], Value]:
        return {(row.of, row.says): row for row in self.value}

    def departing(self, limb: LimbKind, written: Pairs) -> Pairs:
        """What of it departs from the usual, of such a limb."""
        if not written:
            return written
        usual = self._usual[limb]
        return tuple([one for one in written if usual.get(one[0], one[1]) != one[1]])

    def values(self, said: Pairs) -> Iterator[Value]:
        """The rows of what is said, in the order of the table."""
        own = dict(said)
        return (self._values[row.name, own[row.name]] for row in self.departure if row.name in own)

    def signs(self, said: Pairs, place: Place) -> Iterator[Value]:
        """Those that have a sign there."""
        rows = self.values(said) if said else ()
        return (row for row in rows if row.sign and row.place == place)
