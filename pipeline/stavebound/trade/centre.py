"""Head, body and hips: the rows of `centre.toml`, and what is asked of them.

In: what TOML gives. Out: frozen, validated rows. What is written or drawn of a part goes by
pairs of a lean's name and the lean, as in `score/attitude.py`.
"""

from __future__ import annotations

from collections.abc import Mapping
from functools import cached_property
from typing import Literal

from stavebound.trade.tables import Row


class CentreRow(Row):
    """Where the signs of a part on the centre line stand: y in spaces.

    `turn` is how many eighths of a circle the part turns at most.
    """

    name: str
    description: str
    y: float
    turn: int


class Leaning(Row):
    """A lean in one direction: its sign for each amount, turned over where it says so, and its
    feature, of whichever part it is."""

    signs: tuple[str, ...]
    turned: Literal["", "over"] = ""
    key: str


class LeanRow(Row):
    """A way in which a part leans: an attribute, and the directions that its value may name.
    `start`: the label that says it of a start in words; in `eighths` of a circle, or by how
    much."""

    name: str
    to: Mapping[str, Leaning]
    start: str
    amounts: Literal["amount", "eighths"] = "amount"
    description: str


class Centre(Row):
    """`gap` is the white between signs of one part, in spaces, which stand in the order of the
    rows of `lean`; `straight` is the sign of one that does not lean."""

    gap: float
    straight: str
    part: tuple[CentreRow, ...]
    lean: tuple[LeanRow, ...]

    @cached_property
    def leaning(self) -> Mapping[tuple[str, str], Leaning]:
        """By lean and direction."""
        return {(row.name, to): own for row in self.lean for to, own in row.to.items()}
