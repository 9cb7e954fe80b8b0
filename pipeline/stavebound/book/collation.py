"""Order of words as a reader looks them up.

In: words of any language. Out: a key to sort by, of the Unicode Collation Algorithm
with its default table: letters first, accents where letters are equal, small letters
before capitals where both are. English and French order words so; a language that does
not would bring a table of its own. Reading the whole table takes longer than all else that an
index does, so that words of European letters alone go by their part of it.
"""

from __future__ import annotations

import unicodedata
from functools import cache
from pathlib import Path

from pyuca import Collator
from pyuca.collator import COLL_ELEMENT_PATTERN
from pyuca.utils import hexstrings2int

# European letters with their accents, and punctuation.
PART = (range(0x0590), range(0x2000, 0x2070))


def collation_key(text: str) -> tuple[int, ...]:
    whole = not all(map(_in_part, map(ord, unicodedata.normalize("NFD", text))))
    key: tuple[int, ...] = tuple(_collator(whole).sort_key(text))
    return key


@cache
def _collator(whole: bool) -> Collator:
    return Collator() if whole else _Part()


def _in_part(code: int) -> bool:
    return any(code in own for own in PART)


class _Part(Collator):  # type: ignore[misc]
    """With those rows of the table alone that are of characters of the part."""

    def load(self, filename: str) -> None:
        with Path(filename).open(encoding="utf-8") as rows:
            for row in rows:
                if row[0] in "02":
                    self._add(*row.partition("#")[0].split(";"))

    def _add(self, characters: str, weights: str) -> None:
        codes = hexstrings2int(characters.split())
        if all(map(_in_part, codes)):
            found = COLL_ELEMENT_PATTERN.finditer(weights)
            self.table.add(codes, [hexstrings2int(element.groups()) for element in found])
