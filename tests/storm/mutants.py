"""Mutants: a sound XML text, spoilt in a few places by chance.

In: a text, other sound texts to borrow from, and a source of chance. Out: another text. It
always holds that the same seed gives the same mutant, on each machine.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Sequence
from functools import lru_cache
from random import Random

TAG = re.compile(r"<(?!/|\?|!)[^<>]*>")
VALUE = re.compile(r'([\w:-]+)="([^"<>]*)"')
ELEMENT = re.compile(r"<([\w-]+)(?:\s[^<>]*)?(?:/>|>(?:[^<]|<(?!/\1>))*?</\1>)")
NUMBER = re.compile(r"-?\d+(?:\.\d+)?")
MOST_CHANGES = 5

# What people and machines have put where something else was wanted.
ODD_VALUES = (
    "",
    " ",
    "\N{NO-BREAK SPACE}",
    "\N{ZERO WIDTH SPACE}",
    "0",
    "-0",
    "-1",
    "00",
    "1e9",
    "nan",
    "inf",
    "0.0001",
    "9.999",
    "99999999999999999999",
    "0.33333333333333333333333",
    "1/0",
    "0/1",
    "1/3",
    "1 1/2",
    "1 and and",
    "12 a",
    "1 to 0",
    "working",
    "supporting",
    "{to}",
    "{",
    "}",
    "{{",
    "none",
    "yes",
    "front",
    "waist+99",
    "waist-99.99",
    "floor-0.01",
    "english",
    "\N{COMBINING ACUTE ACCENT}" * 60,
    "w" * 400,
    "a b " * 200,
    "\N{RIGHT-TO-LEFT OVERRIDE}abc",
    "\U0001f483",
    "&amp;&lt;&quot;",
    "left right",
    "urn:stavebound:1",
)
ODD_TEXTS = (
    "<",
    ">",
    "&",
    "&amp",
    "&#0;",
    "&#x110000;",
    "&unknown;",
    "]]>",
    "<![CDATA[x]]>",
    "<!-- -- -->",
    "<?x?>",
    "<!DOCTYPE score>",
    '"',
    "'",
    "=",
    "/>",
    "\0",
    "\ud7ff",
    "\ufffe",
    "\r",
    "\t",
    "<frame/>",
    "<again/>",
    "<repeat/>",
    "<term/>",
    '<side is="left"/>',
    "text that stands where none may",
    "x" * 500,
)

Change = Callable[[str, Sequence[str], Random], str]


def mutant(text: str, others: Sequence[str], chance: Random) -> str:
    """The text with one change, or with a few; every second time such as leave it well formed
    and likely to come far."""
    changes = chance.choice((CHANGES, GENTLE))
    for _ in range(chance.choice((1, 1, 1, 2, 3, MOST_CHANGES))):
        text = chance.choice(changes)(text, others, chance)
    return text


def _spot(pattern: re.Pattern[str], text: str, chance: Random) -> re.Match[str] | None:
    found = list(pattern.finditer(text))
    return chance.choice(found) if found else None


def _put(text: str, start: int, end: int, new: str) -> str:
    return text[:start] + new + text[end:]


def _value(text: str, others: Sequence[str], chance: Random) -> str:
    """A value is exchanged for one that any attribute has."""
    found = _spot(VALUE, text, chance)
    if found is None:
        return text
    known = list(VALUE.finditer(chance.choice(others))) or [found]
    return _put(text, *found.span(2), chance.choice(known)[2])


def _like_value(text: str, others: Sequence[str], chance: Random) -> str:
    """A value is exchanged for one that the same attribute has elsewhere."""
    found = _spot(VALUE, text, chance)
    if found is None:
        return text
    pool = _values("\n".join(others)).get(found[1], (found[2],))
    return _put(text, *found.span(2), chance.choice(pool))


@lru_cache(maxsize=8)
def _values(text: str) -> dict[str, tuple[str, ...]]:
    """All values of each attribute, each once."""
    found: dict[str, dict[str, None]] = {}
    for one in VALUE.finditer(text):
        found.setdefault(one[1], {})[one[2]] = None
    return {name: tuple(values) for name, values in found.items()}


def _odd_value(text: str, others: Sequence[str], chance: Random) -> str:
    found = _spot(VALUE, text, chance)
    return _put(text, *found.span(2), chance.choice(ODD_VALUES)) if found else text


def _number(text: str, others: Sequence[str], chance: Random) -> str:
    """A number grows, shrinks, changes its sign or its digits."""
    numbered = [one for one in VALUE.finditer(text) if NUMBER.search(one[2])]
    if not numbered:
        return text
    whole = chance.choice(numbered)
    number = chance.choice(list(NUMBER.finditer(whole[2])))
    was = float(number[0])
    new = chance.choice((0, -was, was * 10, was / 10, was + 1, was - 1, was * 1.1, was * 0.9))
    at = whole.start(2)
    return _put(text, at + number.start(), at + number.end(), f"{new:.3f}".rstrip("0").rstrip("."))


def _attribute_gone(text: str, others: Sequence[str], chance: Random) -> str:
    found = _spot(VALUE, text, chance)
    return _put(text, *found.span(), "") if found else text


def _attribute_more(text: str, others: Sequence[str], chance: Random) -> str:
    found, more = _spot(TAG, text, chance), _spot(VALUE, chance.choice(others), chance)
    if found is None or more is None:
        return text
    end = found.end() - (2 if found[0].endswith("/>") else 1)
    return _put(text, end, end, f" {more[0]}")


def _element_gone(text: str, others: Sequence[str], chance: Random) -> str:
    found = _spot(ELEMENT, text, chance)
    return _put(text, *found.span(), "") if found else text


def _element_twice(text: str, others: Sequence[str], chance: Random) -> str:
    found = _spot(ELEMENT, text, chance)
    return _put(text, found.end(), found.end(), found[0]) if found else text


def _element_more(text: str, others: Sequence[str], chance: Random) -> str:
    """An element of any sound text is put before any tag of this one."""
    found, more = _spot(TAG, text, chance), _spot(ELEMENT, chance.choice(others), chance)
    return _put(text, found.start(), found.start(), more[0]) if found and more else text


def _element_exchanged(text: str, others: Sequence[str], chance: Random) -> str:
    found, other = _spot(ELEMENT, text, chance), _spot(ELEMENT, chance.choice(others), chance)
    return _put(text, *found.span(), other[0]) if found and other else text


def _elements_swapped(text: str, others: Sequence[str], chance: Random) -> str:
    one, two = _spot(ELEMENT, text, chance), _spot(ELEMENT, text, chance)
    if one is None or two is None or one.end() > two.start():
        return text
    return text[: one.start()] + two[0] + text[one.end() : two.start()] + one[0] + text[two.end() :]


def _name(text: str, others: Sequence[str], chance: Random) -> str:
    """A name or a value loses, gains or swaps a letter."""
    found = _spot(re.compile(r"\w{3,}"), text, chance)
    if found is None:
        return text
    word, at = found[0], chance.randrange(len(found[0]) - 1)
    slips = (
        word[:at] + word[at + 1 :],
        word[:at] + word[at] + word[at:],
        word[:at] + word[at + 1] + word[at] + word[at + 2 :],
        word.swapcase(),
    )
    return _put(text, *found.span(), chance.choice(slips))


def _odd_text(text: str, others: Sequence[str], chance: Random) -> str:
    at = chance.randrange(len(text) + 1)
    return _put(text, at, at, chance.choice(ODD_TEXTS))


def _cut(text: str, others: Sequence[str], chance: Random) -> str:
    start = chance.randrange(len(text) + 1)
    return _put(text, start, start + chance.choice((1, 1, 3, 20, 200)), "")


def _end_lost(text: str, others: Sequence[str], chance: Random) -> str:
    return text[: chance.randrange(len(text) + 1)]


GENTLE: tuple[Change, ...] = (
    *(_like_value,) * 4,
    *(_number,) * 2,
    _attribute_gone,
    _element_gone,
    _element_twice,
    _elements_swapped,
)
CHANGES: tuple[Change, ...] = (
    *(_value,) * 3,
    *(_odd_value,) * 4,
    *(_number,) * 4,
    _attribute_gone,
    _attribute_more,
    *(_element_gone,) * 2,
    _element_twice,
    *(_element_more,) * 2,
    _element_exchanged,
    _elements_swapped,
    *(_name,) * 2,
    _odd_text,
    _cut,
    _end_lost,
)
