"""Anchors: the places that reader and engraver share, held against what is not their table.

In: the trade's tables and the reader's own. Out: every number, sign and mark of a place that
is not where its anchor has it. An anchor is a formula of a body's measures, those that
anchors.toml has, and of the reader's own sizes, or a number with its reason. Without them the
proof would be blind here, since ink drawn by a wrong row is read by the same row. The dancer's
own measures (trade/person.toml) move no ink, and so they are not asked for.

    feet.free.place.90.level      a path: table, rows by their names, key
    feet.tail.at.level[0]         the first number of a pair
    reader.hand.lowest            of the reader's own table
"""

from __future__ import annotations

import tomllib
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from importlib.resources import files
from itertools import pairwise
from math import cos, hypot, radians, sin, sqrt
from typing import Any

from pydantic import Field

from stavebound.readback.formula import Formula, Function, as_name, worked_out
from stavebound.readback.table import Table
from stavebound.trade.catalogue import Catalogue
from stavebound.trade.tables import Row

TABLES = ("ruling", "shapes", "feet", "centre", "marks", "lanes", "moves", "repeats", "engraving")
OWN = "reader."
# The keys whose words say where, or by what sign, a limb is written.
WORDS = ("sign", "touch", "depth", "hands", "lane")

Leaf = float | str
Leaves = Mapping[str, Leaf]
ROUNDING = 1e-9


class Measures(Row):
    """Of the body, in statures."""

    source: str
    of: Mapping[str, float]


class Fact(Row):
    """What holds, by paths that are nested as in the tables: numbers `within` so much of a
    formula, and what a row `says` in words, just so."""

    reason: str
    source: str = "from memory"
    within: float = Field(default=0.05, gt=0)
    holds: Mapping[str, Any] = Field(default_factory=dict)
    says: Mapping[str, Any] = Field(default_factory=dict)


class AnchorTable(Row):
    """`named` are short names of formulas, each of what stands before it."""

    measures: tuple[Measures, ...]
    named: Mapping[str, Formula]
    fact: tuple[Fact, ...]


@dataclass(frozen=True, slots=True)
class Anchor:
    """What a leaf of the tables has to be: so much, give or take `within`, or just that word."""

    wanted: Leaf
    within: float
    reason: str

    def holds(self, found: Leaf) -> bool:
        if isinstance(found, str) or isinstance(self.wanted, str):
            return found == self.wanted
        return abs(found - self.wanted) <= self.within + ROUNDING


@dataclass(frozen=True, slots=True)
class Stray:
    """A leaf that its anchor does not hold; `found` is None where the tables have no such."""

    path: str
    found: Leaf | None
    anchor: Anchor


def astray(catalogue: Catalogue, own: Table, held: AnchorTable) -> tuple[Stray, ...]:
    """What the anchors do not hold in these tables and in the reader's own; else nothing."""
    leaves = all_leaves(catalogue, own)
    return strays(leaves, anchors(leaves, held))


def strays(leaves: Leaves, held: Mapping[str, Anchor]) -> tuple[Stray, ...]:
    return tuple(
        Stray(path, leaves.get(path), anchor)
        for path, anchor in held.items()
        if path not in leaves or not anchor.holds(leaves[path])
    )


def all_leaves(catalogue: Catalogue, own: Table) -> dict[str, Leaf]:
    """Every number, sign and mark of the tables, by its path."""
    tables = {name: _plain(getattr(catalogue, name)) for name in TABLES}
    return {
        **dict(_leaves(tables)),
        **{f"{OWN}{path}": leaf for path, leaf in _leaves(_plain(own))},
    }


def _plain(row: Row) -> dict[str, Any]:
    return row.model_dump(by_alias=True)


def _leaves(value: object, path: str = "", every: bool = False) -> Iterator[tuple[str, Leaf]]:
    """`every`: also the words of keys that say no place, as formulas do."""
    match value:
        case Mapping():
            for key, inner in value.items():
                yield from _leaves(inner, f"{path}.{key}" if path else key, every)
        case list() | tuple():
            for index, inner in enumerate(value):
                named = isinstance(inner, Mapping) and "name" in inner
                at = f"{path}.{inner['name']}" if named else f"{path}[{index}]"
                yield from _leaves(inner, at, every)
        case bool():
            yield path, "yes" if value else "no"
        case int() | float():
            yield path, value
        case str() if every or key_in(path) in WORDS:
            yield path, value


def key_in(path: str) -> str:
    """The key at the end of a path, without an index."""
    return path.rpartition(".")[2].partition("[")[0]


# ---------------------------------------------------------------- the table


def load_anchors() -> AnchorTable:
    """The packaged table. pydantic's ValidationError where it is malformed."""
    text = files("stavebound.readback").joinpath("anchors.toml").read_text(encoding="utf-8")
    return AnchorTable.model_validate(tomllib.loads(text))


def anchors(leaves: Leaves, table: AnchorTable) -> dict[str, Anchor]:
    """Every anchor by the path of its leaf; formulas go by the reader's own leaves.
    ValueError where a leaf has two."""
    body = {name: value for row in table.measures for name, value in row.of.items()}
    own = {path.removeprefix(OWN): leaf for path, leaf in leaves.items() if path.startswith(OWN)}
    names = {as_name(path): leaf for path, leaf in own.items() if not isinstance(leaf, str)}
    names |= {as_name(name): value for name, value in body.items()}
    functions = _functions(body)
    for name, formula in table.named.items():
        names[name] = worked_out(formula, names, functions)
    found: dict[str, Anchor] = {}
    for fact in table.fact:
        numbers = {
            path: worked_out(formula, names, functions)
            for path, formula in _leaves(fact.holds, every=True)
        }
        for path, wanted in (*numbers.items(), *_leaves(fact.says, every=True)):
            if path in found:
                raise ValueError(f"{path} has two anchors")
            found[path] = Anchor(wanted, fact.within, fact.reason)
    return found


def _functions(body: Mapping[str, float]) -> Mapping[str, Function]:
    """`stave` and `high` go from statures to spaces and back; `leg` and `aside` are how high in
    spaces, and how far out in statures, the toes of a leg are at an angle from the vertical;
    `rest` is what is left of a length in the third direction of space."""
    lines = [0.0, body["knee"], body["waist"], body["shoulder"], 1.0, 1.0 + body["a space above"]]
    pieces = tuple(enumerate(pairwise(lines)))

    def stave(stature: float) -> float:
        number, (low, high) = next(
            (piece for piece in pieces if stature <= piece[1][1]), pieces[-1]
        )
        return number + (stature - low) / (high - low)

    def high(spaces: float) -> float:
        number, (low, top) = pieces[max(min(int(spaces), len(pieces) - 1), 0)]
        return low + (spaces - number) * (top - low)

    def leg(angle: float) -> float:
        return stave(body["hip"] - body["hip to toes"] * cos(radians(angle)))

    def aside(angle: float) -> float:
        return body["half hip width"] + body["hip to toes"] * sin(radians(angle))

    def rest(length: float, one: float, other: float) -> float:
        return sqrt(length**2 - hypot(one, other) ** 2)

    return {
        "stave": stave,
        "high": high,
        "leg": leg,
        "aside": aside,
        "rest": rest,
        "cos": lambda angle: cos(radians(angle)),
        "sin": lambda angle: sin(radians(angle)),
    }
