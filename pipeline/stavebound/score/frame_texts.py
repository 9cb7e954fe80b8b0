"""Texts of a frame: what of it is printed in words.

In: the element of a frame. Out: its texts, each by the name of the lane in which it stands.
Which there are is said by the schema alone: every attribute of a frame that is printed, and
every element in it that holds running text. They come in the schema's order, however they
are written, since XML has none.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from functools import cache

from stavebound.score.model import STEP as STEP
from stavebound.score.model import FrameText, Origin, Run
from stavebound.score.words import composed, origin_of, words_of
from stavebound.source.document import Attribute, Element
from stavebound.source.schema import load_schema

FRAME, MOMENT = "frame", "at"
DOES, PROMISE = "does", "promise"
CUE = "cue"
UNPRINTED = (MOMENT, DOES, PROMISE)
"""The attributes of a frame that are no texts."""


@dataclass(frozen=True, slots=True)
class TextNames:
    """The names of the lanes whose texts are attributes, and of those whose texts are elements."""

    attributes: tuple[str, ...]
    elements: tuple[str, ...]


@cache
def text_names() -> TextNames:
    schema = load_schema()
    (rule,) = schema.named(FRAME)
    return TextNames(
        tuple(one.name for one in rule.attributes if one.name not in UNPRINTED),
        tuple(name for name, key in rule.children.items() if schema.rules[key].text),
    )


def in_order(texts: Iterable[FrameText]) -> tuple[FrameText, ...]:
    """ValueError where the schema has no such text."""
    names = (*text_names().attributes, *text_names().elements)
    return tuple(sorted(texts, key=lambda text: names.index(text.lane)))


def read_texts(frame: Element) -> tuple[FrameText, ...]:
    return (*(_label(one) for one in labels(frame)), *(_running(one) for one in running(frame)))


def labels(frame: Element) -> Iterator[Attribute]:
    """Its texts that are attributes."""
    written = (frame.get(name) for name in text_names().attributes)
    return (attribute for attribute in written if attribute)


def running(frame: Element) -> Iterator[Element]:
    """Its texts that are elements."""
    for name in text_names().elements:
        yield from (child for child in frame.elements if child.name == name)


def _label(attribute: Attribute) -> FrameText:
    words = (Run("text", composed(attribute.value)),)
    return FrameText(attribute.name, words, origin=Origin(attribute.span))


def _running(element: Element) -> FrameText:
    said = tuple((one.name, one.value) for one in element.attributes)
    return FrameText(element.name, words_of(element), said, origin_of(element))
