"""Mutants of the tables of places: one number moved, one sign exchanged, all else as it is.

`bench/places.toml` says which leaves are places, and which of them may be changed without
anybody noticing, with the reason. `tests/test_anchors.py` holds the mutants against the
anchors alone, `bench/mutate_places.py` also against ink and the checks outside.
"""

from __future__ import annotations

import tomllib
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, replace
from pathlib import Path
from typing import Any, TypeVar

from stavebound.build.values import House
from stavebound.readback.anchors import (
    OWN,
    TABLES,
    Leaf,
    Leaves,
    all_leaves,
    anchors,
    key_in,
    strays,
)
from stavebound.trade.tables import Row
from tests.support.staves import CATALOGUE, HOUSE

R = TypeVar("R", bound=Row)

# In spaces.
MOVED = 0.3
DATA = tomllib.loads(
    (Path(__file__).parents[1] / "bench" / "places.toml").read_text(encoding="utf-8")
)
LEAVES: Leaves = all_leaves(CATALOGUE, HOUSE.table)
HELD = anchors(LEAVES, HOUSE.anchors)
OTHER = {"yes": "no", "no": "yes"}


@dataclass(frozen=True, slots=True)
class Mutant:
    """A leaf of the tables with another value."""

    path: str
    value: Leaf

    def __str__(self) -> str:
        value = self.value if isinstance(self.value, str) else f"{self.value:g}"
        return f"{self.path} = {value}"


def places() -> dict[str, Leaf]:
    """The leaves that are places, by the data's beginnings of paths."""
    within, without = tuple(DATA["places"]["within"]), tuple(DATA["places"]["without"])
    return {
        path: leaf
        for path, leaf in LEAVES.items()
        if path.startswith(within) and not path.startswith(without)
    }


def spared() -> dict[str, str]:
    """The leaves that may be changed, each with the reason."""
    return {path: row["reason"] for row in DATA["spared"] for path in row["paths"]}


def mutants(path: str, leaf: Leaf) -> Iterator[Mutant]:
    """Moved to either side, and to the other side of nought; every other sign of its kind."""
    if isinstance(leaf, str):
        others = {OTHER[leaf]} if leaf in OTHER else _alike(path) - {leaf}
        yield from (Mutant(path, other) for other in sorted(others))
        return
    step = 1 if isinstance(leaf, int) else MOVED
    found = dict.fromkeys((leaf + step, leaf - step, -leaf))
    yield from (Mutant(path, value) for value in found if value != leaf)


def _alike(path: str) -> set[str]:
    """The words that stand in the same table by the same key."""
    table, key = path.partition(".")[0], key_in(path)
    return {
        leaf
        for other, leaf in LEAVES.items()
        if isinstance(leaf, str) and other.startswith(f"{table}.") and key_in(other) == key
    }


def house_with(mutant: Mutant) -> House:
    """All tables, with the mutant in them. pydantic's ValidationError where they refuse it."""
    if mutant.path.startswith(OWN):
        return replace(HOUSE, table=_changed(HOUSE.table, mutant, "reader"))
    name = mutant.path.partition(".")[0]
    assert name in TABLES
    changed = {name: _changed(getattr(CATALOGUE, name), mutant, name)}
    return replace(HOUSE, catalogue=replace(CATALOGUE, **changed))


def _changed(row: R, mutant: Mutant, path: str) -> R:
    plain = _replaced(row.model_dump(by_alias=True), mutant, path)
    return type(row).model_validate(plain)


def _replaced(value: Any, mutant: Mutant, path: str) -> Any:
    if path == mutant.path:
        return mutant.value == "yes" if isinstance(value, bool) else mutant.value
    if isinstance(value, Mapping):
        return {key: _replaced(inner, mutant, f"{path}.{key}") for key, inner in value.items()}
    if isinstance(value, list | tuple):
        return [
            _replaced(inner, mutant, _at(path, index, inner)) for index, inner in enumerate(value)
        ]
    return value


def _at(path: str, index: int, inner: object) -> str:
    named = isinstance(inner, Mapping) and "name" in inner
    return f"{path}.{inner['name']}" if named else f"{path}[{index}]"  # type: ignore[index]


def anchors_see(mutant: Mutant) -> bool:
    """Whether the anchors alone see it; many go by the reader's own leaves."""
    path, value = mutant.path, mutant.value
    if not path.startswith(OWN):
        return path in HELD and not HELD[path].holds(value)
    leaves = {**LEAVES, path: value}
    return bool(strays(leaves, anchors(leaves, HOUSE.anchors)))
