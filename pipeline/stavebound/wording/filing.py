"""How words are filed in an index, by language.

In: a title or the name of a step, and its language. Out: the words by which it is looked up,
and whether anybody would. ValueError where a language of the labels is not in the table.
"""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Iterator
from dataclasses import dataclass
from functools import cache

from stavebound.wording.labels import WHOLE, languages, read_words, same_rows

WORD = re.compile(r"[^\W_]+")
# How many letters of a word stay when its ending is taken off.
KEPT = 3


@dataclass(frozen=True, slots=True)
class Filing:
    """A language's row of the table."""

    articles: frozenset[str]
    joins: frozenset[str]
    bare: frozenset[str]
    endings: tuple[tuple[str, str], ...]

    def stem(self, name: str) -> tuple[str, ...]:
        """A name by its words without their endings: those of one step are equal."""
        return tuple(map(self._stem, words_in(name)))

    def names_a_step(self, name: str) -> bool:
        words = words_in(name)
        return bool(words) and words[0] not in self.joins and not self.bare.issuperset(words)

    def turned(self, title: str) -> str:
        """A title as it is filed, an article behind it: Study of the arabesques, A."""
        first = WORD.match(title)
        if first is None or first[0].casefold() not in self.articles:
            return title
        rest = title[first.end() :].lstrip(" ’")
        article = title[: len(title) - len(rest)].rstrip()
        return f"{rest[:1].upper()}{rest[1:]},{WHOLE}{article}" if rest else title

    def _stem(self, word: str) -> str:
        fitting = (row for row in self.endings if word.endswith(row[0]))
        ending, instead = next(fitting, ("", ""))
        stem = word.removesuffix(ending) + instead
        return stem if len(stem) >= KEPT else word


def words_in(name: str) -> tuple[str, ...]:
    """Its words in small letters, accents kept."""
    return tuple(WORD.findall(unicodedata.normalize("NFC", name.casefold())))


@cache
def filings() -> dict[str, Filing]:
    rows = read_words("filing.toml")
    same_rows("the filing of words", rows, languages())
    return dict(_filings())


def _filings() -> Iterator[tuple[str, Filing]]:
    for language, row in read_words("filing.toml").items():
        articles, joins, bare = (
            frozenset(row[name].split()) for name in ("articles", "joins", "bare")
        )
        endings = (ending.partition("/") for ending in row["endings"].split())
        yield language, Filing(articles, joins, bare, tuple((old, new) for old, _, new in endings))
