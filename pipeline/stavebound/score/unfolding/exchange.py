"""The other side and the reverse: how the words of the plain dialect exchange.

In: an element of the plain dialect. Out: the same for the other side (right for
left), or in reverse (back for front). Always holds: done twice, it is as it was.
A new attribute of the dialect needs its row in `ROWS`, and nothing else.

The reverse is one of the legs, the turns and the bends of the body: arms have
names that do not reverse, and stay as they are.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from types import MappingProxyType

from stavebound.source.document import Attribute, Element, mapped

Words = Mapping[str, str]

SIDES: Words = MappingProxyType({"right": "left", "left": "right"})
WAYS: Words = MappingProxyType({"front": "back", "back": "front"})
DEPTHS: Words = MappingProxyType({"front": "behind", "behind": "front"})
NOTHING: Words = MappingProxyType({})


@dataclass(frozen=True, slots=True)
class Exchange:
    """The words that change places: for the other side, and in reverse."""

    other_side: Words = field(default_factory=lambda: NOTHING)
    reverse: Words = field(default_factory=lambda: NOTHING)


THE_SAME = Exchange()
A_SIDE = Exchange(other_side=SIDES)
THE_FRONT_FOOT = Exchange(other_side=SIDES, reverse=SIDES)
A_WAY = Exchange(reverse=WAYS)
# Turning inward becomes turning outward.
A_TURN = Exchange(other_side=SIDES, reverse=SIDES)
A_DIRECTION = Exchange(other_side=SIDES, reverse=WAYS)
A_DEPTH_OF_THE_LEG = Exchange(reverse=DEPTHS)
A_BEND = Exchange(other_side=SIDES, reverse=WAYS)

# An element with some of its attributes, in the order of the schema; texts of frames stay as
# they are, but for the marks in their words. Of several words, as in "left 2" and "front
# right", each is exchanged that has another.
ROWS: tuple[tuple[str, str, Exchange], ...] = (
    ("barre", "hand", A_SIDE),
    ("upbeat", "counts divide", THE_SAME),
    ("phrase", "id counts divide", THE_SAME),
    ("bar", "id at counts metre", THE_SAME),
    ("phrasing", "from to", THE_SAME),
    ("frame", "at", THE_SAME),
    ("arms", "in hands via path bow", THE_SAME),
    ("arms", "lead", A_SIDE),
    ("hand", "side", A_SIDE),
    ("hand", "in height out depth forward palm arm touching via path bow", THE_SAME),
    ("feet", "in on turned by", THE_SAME),
    ("feet", "front", THE_FRONT_FOOT),
    ("feet", "weight moving", A_SIDE),
    ("foot", "side", A_SIDE),
    ("foot", "to via", A_WAY),
    ("foot", "place raised height out on turned ankle by path", THE_SAME),
    ("foot", "bow", A_DEPTH_OF_THE_LEG),
    ("knees", "bend", THE_SAME),
    ("knee", "side", A_SIDE),
    ("knee", "bend height out", THE_SAME),
    ("knee", "depth", A_DEPTH_OF_THE_LEG),
    ("elbow", "side", A_SIDE),
    ("elbow", "bend depth height out", THE_SAME),
    ("head", "tilt turn", A_SIDE),
    ("head", "bend", A_BEND),
    ("body", "tilt turn", A_SIDE),
    ("body", "bend", A_BEND),
    ("hips", "tilt turn", A_SIDE),
    ("hips", "bend", A_BEND),
    ("return", "of", THE_SAME),
    ("hold", "of", THE_SAME),
    ("facing", "to", A_SIDE),
    ("turn", "to", A_TURN),
    ("turn", "by", THE_SAME),
    ("turn", "on", A_SIDE),
    ("travel", "to", A_DIRECTION),
    ("travel", "of", THE_SAME),
    ("travel", "path", A_TURN),
    ("side", "is", A_SIDE),
    ("term", "entry", THE_SAME),
    ("foreign", "language", THE_SAME),
)

EXCHANGES: Mapping[tuple[str, str], Exchange] = MappingProxyType(
    {(element, name): exchange for element, names, exchange in ROWS for name in names.split()}
)


Which = Callable[[Exchange], Words]


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


def _with(attribute: Attribute, words: Words) -> Attribute:
    return attribute.rewritten(
        " ".join(words.get(word, word) for word in attribute.value.split(" "))
    )
