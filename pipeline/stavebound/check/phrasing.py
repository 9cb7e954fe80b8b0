"""How messages say lists and numbers.

In: values. Out: pieces of a sentence.
"""

from __future__ import annotations

from collections.abc import Iterable

from stavebound.score.model import FeetChange, FootChange, HandChange

MOST_NAMES = 14
"""Names listed in one hint; a longer list is not read."""


def listed(names: Iterable[str], link: str = "and") -> str:
    """The names as words: a, b and c; what is beyond the most is counted."""
    words = list(dict.fromkeys(names))
    if len(words) > MOST_NAMES:
        return f"{', '.join(words[:MOST_NAMES])} and {len(words) - MOST_NAMES} more"
    if len(words) < 2:
        return "".join(words)
    return f"{', '.join(words[:-1])} {link} {words[-1]}"


def departures_of(change: HandChange | FeetChange | FootChange) -> list[str]:
    """The departures that are written of a limb, in the order of its attributes."""
    own = dict(change.departures)
    return [name for name, _ in change.origin.attributes if name in own] or [*own]


def quoted(names: Iterable[str]) -> list[str]:
    return [f"“{name}”" for name in names]


def hints(*parts: str | None) -> tuple[str, ...]:
    """The hints that there are."""
    return tuple(part for part in parts if part)


def number(value: float) -> str:
    """A number to two places: 0.30 is how the dialect writes it."""
    return f"{value:.2f}"
