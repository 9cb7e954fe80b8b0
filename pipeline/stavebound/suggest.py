"""What a misspelled word was probably meant to be.

In: the word as written and the words that would do. Out: the nearest of them, None
where none is near: a letter too many, too few, another or in another place, two of
them in a long word; or a word that goes on where the other ends. Capitals, accents
and hyphens are not told apart. Better no suggestion than one that nobody can have meant.
"""

from __future__ import annotations

import unicodedata
from collections.abc import Iterable, Sequence
from functools import lru_cache

_LONGEST = 80  # Likeness takes time by the square of the length; no name is longer.
_SHORT = 5
"""Letters of a word from which on the first may be the wrong one."""
_LONG = 7
"""Letters of a word from which on two slips are one person's."""
_STEM = 4
"""Letters that two words share, at the least, where the one goes on."""

_FAR = 9


def folded(word: str) -> str:
    """The word as it is looked up: small letters, no accents, spaces for hyphens."""
    decomposed = unicodedata.normalize("NFD", word.casefold())
    plain = "".join(char for char in decomposed if not unicodedata.combining(char))
    return " ".join(plain.replace("-", " ").replace("’", "'").split())


def nearest(word: str, names: Iterable[str]) -> str | None:
    """The name most like the word, None where none is like it."""
    return None if len(word) > _LONGEST else _nearest(folded(word), tuple(names))


# One misspelling often stands in a file many times.
@lru_cache(maxsize=1024)
def _nearest(word: str, names: tuple[str, ...]) -> str | None:
    ranked = ((_unlikeness(word, plain), name) for name, plain in _plain(names))
    best, found = min(ranked, key=lambda pair: pair[0], default=(_FAR, ""))
    return found if best < _FAR else None


# A long glossary is asked for many words.
@lru_cache(maxsize=16)
def _plain(names: tuple[str, ...]) -> tuple[tuple[str, str], ...]:
    return tuple((name, folded(name)) for name in names)


def _unlikeness(word: str, name: str) -> float:
    """How unlike two words are: slips of the pen, then other endings; _FAR where they are."""
    slips = _slips(word, name)
    if slips < _FAR:
        # Of two that are as near, the one that begins as the word does.
        return slips - _start(word, name) / _LONGEST
    shorter, longer = sorted((word, name), key=len)
    if len(shorter) < _STEM:
        return _FAR
    if longer.startswith(shorter) and 2 * len(shorter) >= len(longer):
        return 3
    # “right foot” has the word itself in it; the longest such name is the one meant.
    return 5 - len(name) / _LONGEST if f" {name} " in f" {word} " else _FAR


def _start(word: str, name: str) -> int:
    """How many letters the two begin with alike."""
    pairs = enumerate(zip(word, name, strict=False))
    return next((at for at, (one, other) in pairs if one != other), min(len(word), len(name)))


def _slips(word: str, name: str) -> int:
    """Letters added, left out, changed, or exchanged with their neighbour; _FAR where those
    are more than slips, and the letters are not all there in another order."""
    most = 0 if len(word) < 3 else 1 if len(word) < _LONG else 2
    if abs(len(word) - len(name)) > most or len(set(word) ^ set(name)) > 2 * most:
        return _FAR
    slips = _changes(word, name)
    jumbled = len(word) >= _SHORT and sorted(word) == sorted(name)
    start_lost = slips == 1 and (len(word) >= _SHORT or word == name[1:])
    same_start = word[:1] == name[:1] or start_lost or word[1::-1] == name[:2]
    return slips if same_start and (slips <= most or jumbled) else _FAR


def _changes(word: str, name: str) -> int:
    """The least number of changes of letters that make the one word of the other."""
    before: list[int] = []
    row = list(range(len(name) + 1))
    for at, letter in enumerate(word, 1):
        older, before, row = before, row, [at]
        for to, other in enumerate(name, 1):
            least = min(before[to] + 1, row[-1] + 1, before[to - 1] + (letter != other))
            exchanged = at > 1 and to > 1 and word[at - 2 : at] == other + name[to - 2]
            row.append(min(least, older[to - 2] + 1) if exchanged else least)
    return row[-1]


def suggest(word: str, names: Iterable[str]) -> str | None:
    """A hint, `Did you mean “half”?`, or None where nothing is like the word."""
    name = nearest(word, names)
    return did_you_mean((name,) if name else ())


def did_you_mean(names: Sequence[str]) -> str | None:
    """The hint for any number of names; None for none."""
    return f"Did you mean {' or '.join(f'“{name}”' for name in names)}?" if names else None
