"""The inside of a start tag: where its name and its attributes stand.

In: a text and the offset of a "<" in it. Out: offsets in characters. The text
has been accepted by the XML parser, so that what is found is what it found.

    <frame at="1 and" step="plié">
     └name └─attribute┘
"""

from __future__ import annotations

import re
from dataclasses import dataclass

from stavebound.diagnostics import Span
from stavebound.source.places import Places

NAME = r"[^\W\d][\w.\-·]*(?::[^\W\d][\w.\-·]*)?"
"""What a name in XML looks like, nearly: a letter or _, then letters, figures, . - and _."""

_TAG_NAME = re.compile(r"</?([^\s/>]+)")
_ATTRIBUTE = re.compile(r"""\s+([^\s=/>]+)\s*=\s*(?:"([^"]*)"|'([^']*)')""")


@dataclass(frozen=True, slots=True)
class AttributePlace:
    """An attribute as it stands in the text: its name, and where name and value stand."""

    name: str
    name_offset: int
    value_offset: int
    value_length: int

    @property
    def declares(self) -> bool:
        """Whether this declares a namespace and so counts as no attribute."""
        return self.name == "xmlns" or self.name.startswith("xmlns:")

    def value_span(self, places: Places) -> Span:
        """The value between its quotation marks, as far as it stays on its first line."""
        return places.span(self.value_offset, self.value_length)


def tag_name(text: str, offset: int) -> str:
    """The name in the tag at the offset, with its prefix."""
    match = _TAG_NAME.match(text, offset)
    return match[1] if match else ""


def attribute_places(text: str, offset: int) -> tuple[AttributePlace, ...]:
    """All attributes of the start tag at the offset in their order, xmlns among them."""
    places = []
    at = offset + 1 + len(tag_name(text, offset))
    while match := _ATTRIBUTE.match(text, at):
        group = 2 if match[2] is not None else 3
        length = match.end(group) - match.start(group)
        places.append(AttributePlace(match[1], match.start(1), match.start(group), length))
        at = match.end()
    return tuple(places)


def after_tag(text: str, offset: int) -> int:
    """The offset after the start or end tag at the offset."""
    at = offset + len("<") + len(tag_name(text, offset))
    while match := _ATTRIBUTE.match(text, at):
        at = match.end()
    return text.index(">", at) + 1
