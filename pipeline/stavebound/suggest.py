"""What a misspelled word was probably meant to be.

In: the word as written and the words that would do. Out: the nearest of them,
by the likeness that the standard library's difflib measures; capitals are not
told apart.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from difflib import get_close_matches
from functools import lru_cache

_LONGEST = 80  # Likeness takes time by the square of the length; no name is longer.


def nearest(word: str, names: Iterable[str]) -> str | None:
    """The name most like the word, None where none is like it."""
    return None if len(word) > _LONGEST else _nearest(word.casefold(), tuple(names))


# One misspelling often stands in a file many times.
@lru_cache(maxsize=1024)
def _nearest(word: str, names: tuple[str, ...]) -> str | None:
    known: dict[str, str] = {}
    for name in names:
        known.setdefault(name.casefold(), name)
    matches = get_close_matches(word, known, n=1)
    return known[matches[0]] if matches else None


def suggest(word: str, names: Iterable[str]) -> str | None:
    """A hint, `Did you mean “half”?`, or None where nothing is like the word."""
    name = nearest(word, names)
    return did_you_mean((name,) if name else ())


def did_you_mean(names: Sequence[str]) -> str | None:
    """The hint for any number of names; None for none."""
    return f"Did you mean {' or '.join(f'“{name}”' for name in names)}?" if names else None
