"""The catalogue: all trade tables, read once, with a digest of what was read.

In: the packaged TOML files. Out: a frozen `Catalogue`. It is handed to every
stage that needs it; nothing below `build` loads tables by itself.
"""

from __future__ import annotations

import hashlib
import tomllib
from collections.abc import Mapping
from dataclasses import dataclass, replace
from importlib.resources import files
from typing import Any, TypeVar

from stavebound.trade.cautions import Cautions
from stavebound.trade.centre import Centre
from stavebound.trade.colours import Colours
from stavebound.trade.departures import DepartureTable
from stavebound.trade.lanes import Lanes
from stavebound.trade.movement import Moves
from stavebound.trade.notes import Notes
from stavebound.trade.repeats import Repeats
from stavebound.trade.showing import Movements
from stavebound.trade.steps import Steps
from stavebound.trade.tables import (
    Engraving,
    Feet,
    Groups,
    KeyTable,
    Marks,
    Person,
    Row,
    Ruling,
    School,
    Schools,
    Shapes,
    Sign,
    Signs,
)

TABLES = (
    "person",
    "ruling",
    "shapes",
    "schools",
    "feet",
    "centre",
    "marks",
    "departures",
    "moves",
    "lanes",
    "repeats",
    "signs",
    "steps",
    "groups",
    "movements",
    "engraving",
    "cautions",
    "key",
    "notes",
    "colours",
)

R = TypeVar("R", bound=Row)


@dataclass(frozen=True, slots=True, eq=False, weakref_slot=True)
class Catalogue:
    """The trade tables; `digest` changes whenever any of them does, and is the same wherever
    they are.

    Two catalogues are equal where they are one, so that it costs nothing to remember
    what follows from one.
    """

    person: Person
    ruling: Ruling
    shapes: Shapes
    schools: Schools
    feet: Feet
    centre: Centre
    marks: Marks
    departures: DepartureTable
    moves: Moves
    lanes: Lanes
    repeats: Repeats
    signs: Mapping[str, Sign]
    groups: Groups
    movements: Movements
    steps: Steps
    engraving: Engraving
    cautions: Cautions
    key: KeyTable
    notes: Notes
    colours: Colours
    digest: str

    def school(self, name: str) -> School | None:
        return next((row for row in self.schools.school if row.name == name), None)

    def sign(self, name: str) -> Sign:
        """The drawing of a sign. KeyError where the table has none."""
        return self.signs[name]

    def under(self, laid_over: object, **tables: Any) -> Catalogue:
        """The catalogue with these tables in place of its own; `laid_over`, by its `repr`, tells
        all that makes them differ."""
        digest = hashlib.sha256(f"{self.digest}\0{laid_over!r}".encode()).hexdigest()
        return replace(self, digest=digest, **tables)


def load_catalogue() -> Catalogue:
    """Read the packaged tables. pydantic's ValidationError where one is malformed."""
    folder = files("stavebound.trade")
    texts = {name: folder.joinpath(f"{name}.toml").read_text(encoding="utf-8") for name in TABLES}

    def table(name: str, model: type[R]) -> R:
        return model.model_validate(tomllib.loads(texts[name]))

    return Catalogue(
        person=table("person", Person),
        ruling=table("ruling", Ruling),
        shapes=table("shapes", Shapes),
        schools=table("schools", Schools),
        feet=table("feet", Feet),
        centre=table("centre", Centre),
        marks=table("marks", Marks),
        departures=table("departures", DepartureTable),
        moves=table("moves", Moves),
        lanes=table("lanes", Lanes),
        repeats=table("repeats", Repeats),
        signs={row.name: row for row in table("signs", Signs).sign},
        groups=table("groups", Groups),
        movements=table("movements", Movements),
        steps=table("steps", Steps),
        engraving=table("engraving", Engraving),
        cautions=table("cautions", Cautions),
        key=table("key", KeyTable),
        notes=table("notes", Notes),
        colours=table("colours", Colours),
        digest=hashlib.sha256("\0".join(texts.values()).encode()).hexdigest(),
    )
