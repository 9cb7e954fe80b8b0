"""What a word of the class is in the dialect: “plié” is said <knees bend="half"/>.

In: a word as a beginner wrote it, and what could stand in its place. Out: what
was probably meant. Always holds: only what could stand there is named. Capitals,
accents and hyphens are not told apart. The words are data, meant.toml.
"""

from __future__ import annotations

import tomllib
from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass
from functools import cache
from importlib.resources import files

from pydantic import BaseModel, ConfigDict

from stavebound.suggest import folded, nearest

MeantWords = Mapping[str, tuple[str, ...]]


class _Table(BaseModel):
    model_config = ConfigDict(extra="forbid", frozen=True)

    pieces: dict[str, tuple[str, ...]]
    values: dict[str, tuple[str, ...]]
    attributes: dict[str, tuple[str, ...]]
    elements: dict[str, tuple[str, ...]]
    sayings: dict[str, str]
    about: dict[str, str]
    beside: dict[str, tuple[str, ...]]


@dataclass(frozen=True, slots=True)
class Meant:
    """By a word of the class, small and without accents: what it may be in the dialect.

    `pieces` are parts of a value and what is written in their place; `elements`
    have whole tags; `sayings` are sentences, and so is what is said `about` an attribute,
    by its element and its name; `beside` an element are those that say more of its limb.
    """

    pieces: tuple[tuple[str, str], ...]
    values: MeantWords
    attributes: MeantWords
    elements: MeantWords
    sayings: Mapping[str, str]
    about: Mapping[str, str]
    beside: MeantWords


@cache
def load_meant() -> Meant:
    """The packaged table. pydantic's ValidationError where it is not one."""
    text = (files("stavebound") / "source" / "meant.toml").read_text(encoding="utf-8")
    table = _Table.model_validate(tomllib.loads(text))
    pieces = ((piece, other) for piece, others in table.pieces.items() for other in others)
    return Meant(
        tuple(pieces),
        table.values,
        table.attributes,
        table.elements,
        table.sayings,
        table.about,
        table.beside,
    )


def meant_values(written: str, allowed: Callable[[str], bool]) -> tuple[str, ...]:
    """The values that may have been meant, of those that are allowed."""
    table = load_meant()
    for piece, instead in table.pieces:
        value = " ".join(written.replace(piece, instead).split())
        if piece in written and allowed(value):
            return (value,)
    return tuple(filter(allowed, table.values.get(folded(written), ())))


def likely(written: str, names: Iterable[str]) -> tuple[str, ...]:
    """The names that may have been meant: by the table, else the one that is most like it."""
    known = tuple(names)
    meant = meant_values(written, known.__contains__)
    near = None if meant or written.isdigit() else nearest(written, known)
    return meant or ((near,) if near else ())


def saying(written: str) -> str | None:
    """What is said of a word for which no one word of the dialect stands."""
    return load_meant().sayings.get(folded(written))


def about(element: str, part: str) -> str | None:
    """What is said of an attribute of an element, or of its text, where that is not as
    the schema has it."""
    return load_meant().about.get(f"{element} {part}")


def attributes_of(written: str) -> tuple[str, ...]:
    """The attributes that may have been meant, whatever element they stand in."""
    return load_meant().attributes.get(folded(written), ())


def beside(element: str) -> tuple[str, ...]:
    """The elements that say more of the limb of this one."""
    return load_meant().beside.get(element, ())


def meant_element(written: str, names: Iterable[str]) -> str | None:
    """The tag, such as `<knees bend="half"/>`, that may have been meant, of those elements."""
    known = tuple(names)
    candidates = load_meant().elements.get(folded(written), ())
    return next((tag for tag in candidates if tag_of(tag) in known), None)


def tag_of(tag: str) -> str:
    """The name in a tag."""
    return tag.strip("<>/").split(maxsplit=1)[0]
