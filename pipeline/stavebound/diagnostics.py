"""What the tool has to say about a source, as values.

Every stage that can find fault returns an `Outcome`: a value, or none, and all
the diagnostics it found. A diagnostic is data; `render` turns it into words on
a terminal or into JSON, and `codes` tells what each code means.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, replace
from enum import StrEnum
from typing import Generic, TypeVar

T_co = TypeVar("T_co", covariant=True)


class Severity(StrEnum):
    ERROR = "error"
    WARNING = "warning"


@dataclass(frozen=True, slots=True, order=True)
class Span:
    """A stretch of one line in a file; line and column count from 1, in characters.

    `path` is the file as the person named it. A fault of a whole file stands
    at line 1, column 1. What stands in a definition, or is danced again, has the
    places where it is used besides, the nearest first.
    """

    path: str
    line: int
    column: int
    length: int = 1
    uses: tuple[Span, ...] = ()


@dataclass(frozen=True, slots=True)
class Diagnostic:
    """One finding. `hints` say what was expected and how to mend it, a sentence each."""

    code: str
    message: str
    span: Span | None = None
    hints: tuple[str, ...] = ()
    related: tuple[tuple[Span, str], ...] = ()
    severity: Severity = Severity.ERROR


@dataclass(frozen=True, slots=True)
class Outcome(Generic[T_co]):
    """What a stage returns: `value` is None only where an error prevented one."""

    value: T_co | None
    diagnostics: tuple[Diagnostic, ...] = ()


MOST_USES = 3
"""Uses of one definition that are named at one fault; a longer list is not read."""


def told(diagnostics: Iterable[Diagnostic]) -> tuple[Diagnostic, ...]:
    """Each fault once at its own place, with the places of use among what is related."""
    found: dict[Diagnostic, list[tuple[Span, ...]]] = {}
    for diagnostic in diagnostics:
        span = diagnostic.span
        related = tuple((replace(near, uses=()), words) for near, words in diagnostic.related)
        own = replace(span, uses=()) if span else None
        place = replace(diagnostic, span=own, related=related)
        found.setdefault(place, []).append(span.uses if span else ())
    return tuple(_with_uses(place, uses) for place, uses in found.items())


def _with_uses(diagnostic: Diagnostic, uses: list[tuple[Span, ...]]) -> Diagnostic:
    # What is at fault where it stands is so without being used.
    if () in uses:
        return diagnostic
    nearest = [chain[0] for chain in uses[1:MOST_USES]]
    places = dict.fromkeys((*uses[0], *nearest))
    related = (*diagnostic.related, *((replace(span, uses=()), "used here") for span in places))
    more = len(uses) - MOST_USES
    hints = (f"The same in {more} more uses.",) if more > 0 else ()
    return replace(diagnostic, related=related, hints=(*diagnostic.hints, *hints))


def has_errors(diagnostics: Iterable[Diagnostic]) -> bool:
    return any(diagnostic.severity is Severity.ERROR for diagnostic in diagnostics)
