"""What an attribute's value may be: the datatypes of the schema, as values.

In: a datatype and a value as written. Out: whether the one allows the other,
and in words what it would have allowed. Always holds: a value is judged by the
same library as the whole file, so that the two verdicts are one.
"""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass
from functools import cached_property, lru_cache
from types import MappingProxyType

from lxml import etree

RNG = "http://relaxng.org/ns/structure/1.0"
XSD = "http://www.w3.org/2001/XMLSchema-datatypes"

# What is said of XML Schema's own datatypes where the schema says nothing.
_IN_WORDS: Mapping[str, str] = MappingProxyType(
    {
        "date": "a day as year, month and day, such as 2026-03-02",
        "decimal": "a number, such as 0.4",
        "integer": "a whole number",
        "positiveInteger": "a whole number from 1",
    }
)
_SPACE = re.compile(r"[ \t\n\r]+")


def collapsed(value: str) -> str:
    """The value without white space at its ends, and one space for each run inside."""
    return _SPACE.sub(" ", value).strip(" ")


@dataclass(frozen=True, slots=True)
class Word:
    """One value of a list to choose from, and what it means ("" where nothing is said)."""

    value: str
    doc: str


@dataclass(frozen=True, slots=True)
class ValueForm:
    """A value by its form: one of XML Schema's own datatypes, by its name there.

    `pattern`, where there is one, has to match the whole value; `doc` describes
    the form in words ("" where the schema says nothing).
    """

    standard: str
    pattern: str
    doc: str


@dataclass(frozen=True)
class Datatype:
    """What a value may be: one of the words, or one of the other forms. Without any, anything."""

    words: tuple[Word, ...] = ()
    forms: tuple[ValueForm, ...] = ()

    @cached_property
    def values(self) -> frozenset[str]:
        """The words as they are written."""
        return frozenset(word.value for word in self.words)


def allows(datatype: Datatype, written: str) -> bool:
    """Whether the value, as written, is one of the datatype's."""
    if not datatype.words and not datatype.forms:
        return True
    if written in datatype.values or collapsed(written) in datatype.values:
        return True
    return any(_has_form(form.standard, form.pattern, written) for form in datatype.forms)


# Most values stand in a file many times.
@lru_cache(maxsize=4096)
def _has_form(standard: str, pattern: str, written: str) -> bool:
    element = etree.Element("element")
    element.set("attribute", written)
    return _grammar_of(standard, pattern).validate(element)


@lru_cache(maxsize=256)
def _grammar_of(standard: str, pattern: str) -> etree.RelaxNG:
    """A grammar of one attribute of the form. RelaxNGParseError where there is no such form."""
    element = etree.Element(f"{{{RNG}}}element", name="element", datatypeLibrary=XSD)
    attribute = etree.SubElement(element, f"{{{RNG}}}attribute", name="attribute")
    data = etree.SubElement(attribute, f"{{{RNG}}}data", type=standard)
    if pattern:
        etree.SubElement(data, f"{{{RNG}}}param", name="pattern").text = pattern
    return etree.RelaxNG(element)


def expected(datatype: Datatype) -> str:
    """What the datatype allows, as the end of a sentence that begins with "expected".

    Nothing is said of a form that the schema does not describe, such as a parameter's.
    """
    said = (form.doc or _IN_WORDS.get(form.standard, "") for form in datatype.forms)
    forms = dict.fromkeys(said)
    words = [word.value for word in datatype.words]
    listed = f"one of: {', '.join(words)}" if len(words) > 1 else "".join(words)
    return ", or ".join(part for part in (listed, *forms) if part) or "any characters"
