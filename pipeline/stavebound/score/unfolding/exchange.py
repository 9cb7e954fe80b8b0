"""The other side and the reverse: how the words of the plain dialect exchange.

In: an element of the plain dialect. Out: the same for the other side (right for
left), or in reverse (back for front). Always holds: done twice, it is as it was.
Which words of which attribute change places, is exchange.toml's.
"""

from __future__ import annotations

import tomllib
from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from importlib.resources import files
from types import MappingProxyType

from stavebound.source.document import Attribute, Element, mapped

WordPairs = Mapping[str, str]

NOTHING: WordPairs = MappingProxyType({})


@dataclass(frozen=True, slots=True)
class Exchange:
    """The words that change places: for the other side, and in reverse."""

    other_side: WordPairs = field(default_factory=lambda: NOTHING)
    reverse: WordPairs = field(default_factory=lambda: NOTHING)


THE_SAME = Exchange()


def _exchanges() -> Mapping[tuple[str, str], Exchange]:
    """What exchange.toml says of elements with an attribute. KeyError for an unknown pair."""
    table = tomllib.loads(files(__package__).joinpath("exchange.toml").read_text(encoding="utf-8"))
    words = {name: {a: b, b: a} for name, (a, b) in table["pairs"].items()}
    words[""] = {}
    return MappingProxyType(
        {
            (element, name): Exchange(
                words[row.get("other-side", "")], words[row.get("reverse", "")]
            )
            for row in table["row"]
            for element in row["of"]
            for name in row["attributes"]
        }
    )


EXCHANGES = _exchanges()
Which = Callable[[Exchange], WordPairs]


def other_side(element: Element) -> Element:
    """The element danced to the other side: right for left, and left for right."""
    return exchanged(element, lambda exchange: exchange.other_side)


def in_reverse(element: Element) -> Element:
    """The element danced in reverse: back for front, and front for back."""
    return exchanged(element, lambda exchange: exchange.reverse)


def names_a_side(element: Element, attribute: Attribute) -> bool:
    """Whether the attribute says a side, so that the working leg may stand there."""
    return bool(EXCHANGES.get((element.name, attribute.name), THE_SAME).other_side)


def exchanged(element: Element, which: Which) -> Element:
    """The element and all inside it, with the words exchanged of which `which` speaks."""
    return mapped(
        element,
        lambda owner, one: _with(one, which(EXCHANGES.get((owner.name, one.name), THE_SAME))),
    )


def _with(attribute: Attribute, words: WordPairs) -> Attribute:
    return attribute.rewritten(
        " ".join(words.get(word, word) for word in attribute.value.split(" "))
    )
