"""The shapes of the table of steps: what the name of a step promises, and when.

In: what TOML gives. Out: frozen, validated rows, as of every trade table. A look is what must
hold at one moment of one leg, the other, or the whole dancer; a way is looks that are danced
one after the other.
"""

from __future__ import annotations

from collections.abc import Mapping
from typing import Literal

from pydantic import Field, model_validator

from stavebound.trade.tables import Row

SpringKind = Literal[
    "one foot to the other",
    "one foot to the same",
    "one foot to two",
    "two feet to one",
    "two feet to two",
]
ANYTHING = "…"
"""The look of a way that holds at every moment: what is danced there is not asked."""


class LegLook(Row):
    """What must hold of one leg; what is not said is not asked.

    `steps`: it takes the weight at this moment; `moves`: how its foot is said to come there; `at`:
    the places where a free foot may be, by the table of feet, `ankle` how it may be held there, by
    the table of departures; `raised`: from how many degrees to
    how many, `children` the same for a class of children; `to`: where it points.
    """

    stands: bool | None = None
    steps: bool = False
    moves: tuple[Literal["step", "slide"], ...] = ()
    rise: Literal["up", "down"] | None = None
    knee: Literal["straight", "bent", "half", "full", "bent here"] | None = None
    at: tuple[str, ...] = ()
    ankle: tuple[str, ...] = ()
    raised: tuple[int, int] | None = None
    children: tuple[int, int] | None = None
    to: tuple[Literal["front", "side", "back"], ...] = ()


class TurnLook(Row):
    """What must hold of a turn, and of the feet that are turned on, as it begins or ends."""

    on: tuple[Literal["working", "other", "both", "neither"], ...] = ()
    to: Literal["working", "other"] | None = None
    by: tuple[str, ...] = ()
    rise: Literal["up", "down"] | None = None
    knee: Literal["straight"] | None = None


class Look(Row):
    """What must hold at one moment: of the working leg, of the other, of every foot that
    stands; in which positions both feet stand, and which is in front; how it springs, beats,
    turns, bends and travels, and with which of many small steps. `beats`: the foot in front at
    each, by the take-off; `beaten`: that there are any."""

    working: LegLook | None = None
    other: LegLook | None = None
    standing: LegLook | None = None
    feet: tuple[str, ...] = ()
    front: Literal["working", "other"] | None = None
    spring: tuple[SpringKind, ...] = ()
    beats: tuple[Literal["same", "other"], ...] = ()
    beaten: bool = False
    turn: TurnLook | None = None
    bend: tuple[Literal["front", "back", "side"], ...] = ()
    travels: bool = False
    small_steps: tuple[str, ...] = Field(default=(), alias="small-steps")


class Promise(Row):
    """A row: the names without accents and in small letters, and what they promise.

    `of` and `but`: only where the step's name has one of these words, or none of them; `alone`:
    only where it has no other name of the table; `schools`: only of scores of these. Each of
    `ways` is the names of looks that are danced one after the other. `when`: "start", the first
    look holds as the named frame begins or ends; "height", the last holds at any moment, on the
    way too; "arrival", it holds at a frame. `through`: it may do so in the frame that has the
    next name.
    """

    names: tuple[str, ...]
    of: tuple[str, ...] = ()
    but: tuple[str, ...] = ()
    alone: bool = False
    schools: tuple[str, ...] = ()
    says: str
    ways: tuple[tuple[str, ...], ...]
    when: Literal["start", "height", "arrival"]
    through: bool = False
    straight: bool = False
    sure: Literal["fault", "warning"]
    source: str


class Silent(Row):
    """Names that promise nothing, though they hold one that does."""

    names: tuple[str, ...]
    why: str


class Directions(Row):
    """Names that say of the step before them where it goes: they are no step of their own."""

    names: tuple[str, ...]
    source: str


class Steps(Row):
    look: Mapping[str, Look]
    step: tuple[Promise, ...] = Field(min_length=1)
    silent: tuple[Silent, ...]
    passing: Directions

    @model_validator(mode="after")
    def _looks_are_there(self) -> Steps:
        asked = {look for row in self.step for way in row.ways for look in way} - {ANYTHING}
        if strange := asked ^ set(self.look):
            raise ValueError(f"looks that are asked for and not there, or not asked: {strange}")
        return self
