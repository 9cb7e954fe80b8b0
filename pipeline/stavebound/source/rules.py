"""The schema of the dialect as tables: what may stand where, and what it is for.

In: nothing but values; `grammar` fills them. Always holds: the tables say what
the RELAX NG grammar says, neither more nor less, because a grammar that goes
beyond them is refused when it is read.

A definition either is one element, or is a named part that elements share:

    define ─┬─ element ── attributes, each with a datatype
            │             children, as slots: which names, how many of them
            │             text, or none
            └─ part: attributes, children or a datatype
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from functools import cached_property

from stavebound.source.datatypes import Datatype

NAMESPACE = "urn:stavebound:1"


@dataclass(frozen=True, slots=True)
class AttributeRule:
    """An attribute of an element: what it is for, whether it must stand, what it may be."""

    name: str
    doc: str
    required: bool
    datatype: Datatype


@dataclass(frozen=True, slots=True)
class ChildrenRule:
    """Children of one kind: from `least` to `most` of them (None: any number).

    `children` pairs the name of each element with the key of its rule.
    """

    children: tuple[tuple[str, str], ...]
    least: int
    most: int | None


@dataclass(frozen=True)
class ElementRule:
    """An element: its attributes, whether text may stand in it, and its children."""

    name: str
    doc: str
    attributes: tuple[AttributeRule, ...]
    text: bool
    slots: tuple[ChildrenRule, ...]

    @cached_property
    def children(self) -> Mapping[str, str]:
        """The names of the elements that may stand in it, with the keys of their rules."""
        return dict(child for slot in self.slots for child in slot.children)

    @cached_property
    def known(self) -> Mapping[str, AttributeRule]:
        """Its attributes by name."""
        return {attribute.name: attribute for attribute in self.attributes}

    @cached_property
    def counted(self) -> tuple[ChildrenRule, ...]:
        """The slots that want a child, or have room for so many and no more."""
        return tuple(slot for slot in self.slots if slot.least or slot.most is not None)


@dataclass(frozen=True, slots=True)
class Schema:
    """All rules by key, the elements a file may begin with, and the grammar they come from.

    A key is the name of a definition in the grammar, which is mostly, but not
    always, the name of the element: <side> in running text is another thing
    than a side.
    """

    rules: Mapping[str, ElementRule]
    roots: Mapping[str, str]
    grammar: str

    def named(self, name: str) -> tuple[ElementRule, ...]:
        """The rules of all elements of that name."""
        return tuple(rule for rule in self.rules.values() if rule.name == name)

    def holders(self, name: str) -> tuple[str, ...]:
        """The names of the elements in which one of that name may stand."""
        return tuple(
            dict.fromkeys(rule.name for rule in self.rules.values() if name in rule.children)
        )
