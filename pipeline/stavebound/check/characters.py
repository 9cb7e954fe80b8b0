"""Characters: what a text is made of, and whether it can be seen in print.

In: a text, composed (NFC). Out: what of it cannot be printed. Which letters there are,
the faces say; what is said here holds for every face.
"""

from __future__ import annotations

import unicodedata
from collections.abc import Set

# Marks on one letter: what is composed already has none, and two stand over each other.
MOST_MARKS = 2
# Without width of their own, and yet wanted: they say where a word may be parted, or not.
SOFT_HYPHEN, BREAK, NO_BREAK = "\u00ad", "\u200b", "\u2060"
# Unicode's categories of what is no sign on paper: control characters, invisible formats,
# what is private or not assigned, and separators of lines.
UNSEEN = frozenset(("Cc", "Cf", "Cn", "Co", "Cs", "Zl", "Zp"))
WANTED = frozenset((SOFT_HYPHEN, BREAK, NO_BREAK, "\t", "\n", "\r"))
# A title, a term and what stands over a stave are found again by their letters, and are not
# parted within a word.
WANTED_IN_NAMES = WANTED - {SOFT_HYPHEN}


def says_something(text: str) -> bool:
    """Whether there is a letter or a figure in it."""
    return any(unicodedata.category(char)[0] in "LN" for char in text)


def unprintable(text: str, wanted: Set[str] = WANTED) -> tuple[str, ...]:
    """The characters that stand for nothing on paper, or for nothing certain, each once;
    those that are `wanted` are none of them."""
    return tuple(
        char
        for char in dict.fromkeys(text)
        if unicodedata.category(char) in UNSEEN and char not in wanted
    )


def overloaded(text: str) -> str | None:
    """The first letter with more marks than can be printed, or the first mark on no letter,
    each with what follows of its marks."""
    base, marks = "", ""
    for char in (*text, ""):
        if char and unicodedata.category(char)[0] == "M":
            marks += char
            continue
        if len(marks) > MOST_MARKS or (marks and (not base or base.isspace())):
            return base.strip() + marks
        base, marks = char, ""
    return None


def named(char: str) -> str:
    """Its code point and its name, as Unicode gives them."""
    return f"U+{ord(char):04X} {unicodedata.name(char, '')}".rstrip()
