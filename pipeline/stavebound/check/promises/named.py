"""Named: which rows of the table of steps a printed or danced name calls for.

In: the words of a name, the table. Out: rows. Names are told without capitals and endings, and
without accents, but for those that the table has with them, as they would be English without.
Of two that begin with one word the longer one is meant. What is parted by commas are several
names.
"""

from __future__ import annotations

import re
import unicodedata
from functools import lru_cache

from stavebound.check.cautions import names
from stavebound.remembering import remembered
from stavebound.score.words import fold_name
from stavebound.trade.catalogue import Catalogue
from stavebound.trade.steps import Promise

PARTED = re.compile(r"[,;/+]")
# A book says few names, and each many times.
NAMES = 4096


@remembered(NAMES)
def promised(said: str, school: str, catalogue: Catalogue) -> tuple[Promise, ...]:
    """What a name promises in a score of this school, what is a fault if broken first."""
    found = (row for part in PARTED.split(said) for row in _of_part(part, school, catalogue))
    return tuple(sorted(dict.fromkeys(found), key=lambda row: row.sure))


@remembered(NAMES)
def is_a_step(said: str, catalogue: Catalogue) -> bool:
    """Whether it is the name of a step, and not only of where the step before it goes."""
    passing = catalogue.steps.passing.names
    return any(_words(part) and _words(part) not in passing for part in PARTED.split(said))


def _of_part(part: str, school: str, catalogue: Catalogue) -> tuple[Promise, ...]:
    table = catalogue.steps
    known = {name for row in table.step for name in row.names}
    held = _longest(part, frozenset(known | {name for row in table.silent for name in row.names}))
    return tuple(
        row
        for row in table.step
        if set(row.names) & held
        and (not row.alone or len(held) == 1)
        and (not row.schools or school in row.schools)
        and (not row.of or any(names(part, word) for word in row.of))
        and not any(names(part, word) for word in row.but)
    )


@lru_cache(maxsize=NAMES)
def _longest(part: str, known: frozenset[str]) -> frozenset[str]:
    """The names that it holds, read from its first word on, each as long as it can be."""
    found, words = set[str](), re.findall(r"\w+", unicodedata.normalize("NFC", part).casefold())
    at = 0
    while at < len(words):
        fits = [name for name in known if _begins(words[at:], name)]
        longest = max(fits, key=lambda name: (len(name.split()), name), default=None)
        found |= {longest} if longest else set()
        at += len(longest.split()) if longest else 1
    return frozenset(found)


def _begins(words: list[str], name: str) -> bool:
    """Whether the first words are a name; one with accents wants them."""
    own = name.split()
    first = words[: len(own)]
    if len(first) < len(own) or not names(" ".join(first), fold_name(name)):
        return False
    return all(
        word.startswith(one) for one, word in zip(own, first, strict=True) if fold_name(one) != one
    )


def _words(part: str) -> str:
    return " ".join(re.findall(r"\w+", fold_name(part)))
