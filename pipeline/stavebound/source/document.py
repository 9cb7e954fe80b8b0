"""A source file as values: elements, attributes and runs of text, each with its place.

In: nothing but values. Always holds: names are free of namespaces (an element
stands here only if it is ours); comments and processing instructions are gone;
lines end in "\\n"; every span is in characters of `SourceFile.text`.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass, field, replace

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

    def rewritten(self, value: str) -> Attribute:
        """The same attribute, at the same place, with another value."""
        return self if value == self.value else replace(self, value=value, written=value)


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


def mapped(element: Element, change: Callable[[Element, Attribute], Attribute]) -> Element:
    """The element with each attribute in it, however deep, as `change` makes it.

    `change` is given the element that has the attribute, as it was.
    """
    return replace(
        element,
        attributes=tuple(change(element, attribute) for attribute in element.attributes),
        children=tuple(
            mapped(child, change) if isinstance(child, Element) else child
            for child in element.children
        ),
    )


def used(element: Element, use: Span) -> Element:
    """The element with all its places, as it is used at `use`."""

    def at(span: Span) -> Span:
        return replace(span, uses=(*span.uses, use))

    return replace(
        element,
        span=at(element.span),
        attributes=tuple(
            replace(one, span=at(one.span), name_span=at(one.name_span))
            for one in element.attributes
        ),
        children=tuple(
            used(child, use) if isinstance(child, Element) else replace(child, span=at(child.span))
            for child in element.children
        ),
    )


@dataclass(frozen=True, slots=True)
class SourceFile:
    """A file that was read: `path` as the person named it, all its text, its root."""

    path: str
    text: str
    root: Element
