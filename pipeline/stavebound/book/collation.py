"""Order of words as a reader looks them up.

In: words of any language. Out: a key to sort by, of the Unicode Collation Algorithm
with its default table: letters first, accents where letters are equal, small letters
before capitals where both are. English and French order words so; a language that does
not would bring a table of its own.
"""

from __future__ import annotations

from functools import cache

from pyuca import Collator


def collation_key(text: str) -> tuple[int, ...]:
    key: tuple[int, ...] = tuple(_collator().sort_key(text))
    return key


@cache
def _collator() -> Collator:
    return Collator()
