"""Families of frames that a reader has to tell apart: frames and pairs of neighbours.

In: `tests/bench/legibility.toml` and the trade's tables. Out: for each family its frames by what
is in their slots, and the pairs of those that differ in one slot alone.
"""

from __future__ import annotations

import tomllib
from collections.abc import Callable, Iterable, Iterator, Mapping
from dataclasses import dataclass
from functools import cached_property
from itertools import combinations, pairwise, product
from pathlib import Path
from typing import Any

from stavebound.book.key import posed_in
from stavebound.dance.pose import Posed
from stavebound.score.lanes import DIRECTIONS
from stavebound.score.model import CentrePart, WholeChange
from stavebound.trade.catalogue import Catalogue
from stavebound.trade.tables import School

TABLE: dict[str, Any] = tomllib.loads(
    (Path(__file__).parents[1] / "bench" / "legibility.toml").read_text(encoding="utf-8")
)

# Pairs that may be under the floor: a family, and two words of one of its slots.
NEAR = frozenset((row["family"], frozenset(row["words"])) for row in TABLE["near"])

# What is in the slots of a frame, in their order.
Filled = tuple[str, ...]
# Values of a slot.
Words = tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Slot:
    """`pairs`: which of its words are held against each other: all, those next to each other,
    or none."""

    name: str
    words: Words
    pairs: str = "all"

    @property
    def neighbours(self) -> frozenset[frozenset[str]]:
        pairs = {"all": combinations(self.words, 2), "next": pairwise(self.words), "none": ()}
        return frozenset(frozenset(pair) for pair in pairs[self.pairs])


@dataclass(frozen=True)
class Family:
    name: str
    before: str
    show: str
    slots: tuple[Slot, ...]

    @cached_property
    def frames(self) -> tuple[Filled, ...]:
        return tuple(product(*(slot.words for slot in self.slots)))

    def source(self, filled: Filled) -> str:
        """The position in the dialect. What fills a slot may have later slots."""
        text = self.show
        for slot, word in zip(self.slots, filled, strict=True):
            text = text.replace(f"{{{slot.name}}}", word)
        return text

    def posed(self, filled: Filled, catalogue: Catalogue, school: School) -> Posed:
        return posed_in(self.source(filled), catalogue, school, self.before)

    def pairs(self) -> Iterator[tuple[tuple[str, str], Filled, Filled]]:
        """Neighbours, each pair once, with the words in which they differ."""
        for at, slot in enumerate(self.slots):
            for one, other in combinations(slot.words, 2):
                if frozenset({one, other}) in slot.neighbours:
                    for frame in self.frames:
                        if frame[at] == one:
                            yield (one, other), frame, (*frame[:at], other, *frame[at + 1 :])


def families(catalogue: Catalogue) -> tuple[Family, ...]:
    """KeyError where a slot names a table that there is not."""
    return tuple(
        Family(
            row["name"],
            row.get("before", ""),
            row["show"],
            tuple(_slot(name, slot, catalogue) for name, slot in row["slots"].items()),
        )
        for row in TABLE["family"]
    )


def _slot(name: str, row: Mapping[str, Any], catalogue: Catalogue) -> Slot:
    words = row["words"] if "words" in row else TABLES[row["table"]](catalogue)
    return Slot(name, tuple(words), row.get("pairs", "all"))


# ---------------------------------------------------------------- words of the tables


def _positions(catalogue: Catalogue) -> Iterator[str]:
    for row in catalogue.feet.position:
        for front in (' front="right"', ' front="left"') if row.front else ("",):
            yield f'in="{row.name}"{front}'


def _free_places(catalogue: Catalogue) -> Iterator[str]:
    for row in catalogue.feet.free.place:
        yield f' {"raised" if row.name.isdecimal() else "place"}="{row.name}"'


def _departing(name: str) -> Callable[[Catalogue], Iterator[str]]:
    """The values of a departure that have a sign, and none."""

    def words(catalogue: Catalogue) -> Iterator[str]:
        yield ""
        for row in catalogue.departures.value:
            if row.of == name and row.sign:
                yield f' {name}="{row.says}"'

    return words


def _leans(catalogue: Catalogue) -> Iterator[str]:
    yield '<return of="{part}"/>'
    for row in catalogue.centre.lean:
        for direction, leaning in row.to.items():
            for amount in range(1, len(leaning.signs) + 1):
                yield f'<{{part}} {row.name}="{direction} {amount}"/>'.replace(' 1"', '"')


def _whole(catalogue: Catalogue) -> Iterator[str]:
    for row in catalogue.lanes.whole:
        change = WholeChange.named(row.name)
        said = f' {change.words[0]}="{change.words[1]}"' if change.words else ""
        yield f"<{change.what}{said}/>"


TABLES: Mapping[str, Callable[[Catalogue], Iterable[str]]] = {
    "positions": _positions,
    "rises": lambda catalogue: catalogue.feet.rise,
    "free places": _free_places,
    "shapes": lambda catalogue: [row.name for row in catalogue.shapes.hand],
    "arms": lambda catalogue: [row.name for row in catalogue.shapes.arms],
    "contacts": lambda catalogue: [row.name for row in catalogue.shapes.contact],
    "palm": _departing("palm"),
    "arm": _departing("arm"),
    "turned": _departing("turned"),
    "ankle": _departing("ankle"),
    "leans": _leans,
    "parts": lambda catalogue: list(CentrePart),
    "whole": _whole,
    "ways": lambda catalogue: DIRECTIONS,
}
