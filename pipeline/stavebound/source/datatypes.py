"""What an attribute's value may be: the datatypes of the schema, as values.

In: a datatype and a value as written. Out: whether the one allows the other,
and in words what it would have allowed. Always holds: the verdict is that of
RELAX NG with XML Schema's datatypes, for the few that the schema may use.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from datetime import date
from types import MappingProxyType

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
class Form:
    """A value by its form: one of XML Schema's own datatypes (see `STANDARD`).

    `pattern`, where there is one, has to match the whole value; `doc` describes
    the form in words ("" where the schema says nothing).
    """

    standard: str
    pattern: str
    doc: str


@dataclass(frozen=True, slots=True)
class Datatype:
    """What a value may be: one of the words, or one of the other forms. Without any, anything."""

    words: tuple[Word, ...] = ()
    forms: tuple[Form, ...] = ()


def _is_date(value: str) -> bool:
    match = re.fullmatch(r"([0-9]{4}-[0-9]{2}-[0-9]{2})(Z|[+-][0-9]{2}:[0-9]{2})?", value)
    if match is None:
        return False
    try:
        date.fromisoformat(match[1])
    except ValueError:
        return False
    return True


def _like(expression: str) -> Callable[[str], bool]:
    return lambda value: re.fullmatch(expression, value) is not None


# Each with what is said of it where the schema says nothing.
STANDARD: Mapping[str, tuple[str, Callable[[str], bool]]] = MappingProxyType(
    {
        "string": ("any characters", lambda value: True),
        "token": ("any characters", lambda value: True),
        "date": ("a day as year, month and day, such as 2026-03-02", _is_date),
        "integer": ("a whole number", _like(r"[+-]?[0-9]+")),
        "nonNegativeInteger": ("a whole number from 0", _like(r"\+?[0-9]+|-0+")),
        "positiveInteger": ("a whole number from 1", _like(r"\+?0*[1-9][0-9]*")),
        "decimal": ("a number, such as 0.4", _like(r"[+-]?([0-9]+(\.[0-9]*)?|\.[0-9]+)")),
    }
)


def allows(datatype: Datatype, written: str) -> bool:
    """Whether the value, as written, is one of the datatype's."""
    if not datatype.words and not datatype.forms:
        return True
    value = collapsed(written)
    if any(word.value == value for word in datatype.words):
        return True
    return any(_has_form(form, written) for form in datatype.forms)


def _has_form(form: Form, written: str) -> bool:
    value = written if form.standard == "string" else collapsed(written)
    # ASCII, so that \s means white space as XML counts it.
    if form.pattern and not re.fullmatch(form.pattern, value, re.ASCII):
        return False
    return STANDARD[form.standard][1](value)


def expected(datatype: Datatype) -> str:
    """What the datatype allows, as the end of a sentence that begins with "expected"."""
    forms = [form.doc or STANDARD[form.standard][0] for form in datatype.forms]
    words = [word.value for word in datatype.words]
    if not words:
        return ", or ".join(forms)
    listed = f"one of: {', '.join(words)}" if len(words) > 1 else f'"{words[0]}"'
    return ", or ".join([listed, *forms])
