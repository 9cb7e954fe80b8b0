"""A source file as values: elements, attributes and runs of text, each with its place.

In: nothing but values. Always holds: names are free of namespaces (an element
stands here only if it is ours); comments and processing instructions are gone;
lines end in "\\n"; every span is in characters of `SourceFile.text`.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, field

from stavebound.diagnostics import Span


@dataclass(frozen=True, slots=True)
class Attribute:
    """One attribute. `span` covers its value between the quotes, `name_span` its name.

    `value` has its white space collapsed (" half " is "half"), as XML Schema's
    token has it; `written` is the value before that. A prefixed name such as
    xml:lang keeps its prefix.
    """

    name: str
    value: str
    written: str
    span: Span = field(compare=False)
    name_span: Span = field(compare=False)


@dataclass(frozen=True, slots=True)
class Text:
    """A run of characters between two tags, white space as it stands.

    `span` starts at its first character that is not white space.
    """

    value: str
    span: Span = field(compare=False)


@dataclass(frozen=True, slots=True)
class Element:
    """An element; `span` covers its name in the start tag."""

    name: str
    attributes: tuple[Attribute, ...]
    children: tuple[Element | Text, ...]
    span: Span = field(compare=False)

    def get(self, name: str) -> Attribute | None:
        """The attribute of that name, None where it is not written."""
        for attribute in self.attributes:
            if attribute.name == name:
                return attribute
        return None

    @property
    def elements(self) -> tuple[Element, ...]:
        """The children that are elements, in their order."""
        return tuple(child for child in self.children if isinstance(child, Element))

    def walk(self) -> Iterator[Element]:
        """This element and all elements inside it, in the order of the file."""
        yield self
        for child in self.elements:
            yield from child.walk()


@dataclass(frozen=True, slots=True)
class SourceFile:
    """A file that was read: `path` as the person named it, all its text, its root."""

    path: str
    text: str
    root: Element
