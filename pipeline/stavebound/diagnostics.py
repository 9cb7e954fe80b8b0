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
    places where it is used besides, the nearest first; `again` tells the latter.
    """

    path: str
    line: int
    column: int
    length: int = 1
    uses: tuple[Span, ...] = ()
    again: bool = False


Uses = tuple[Span, ...]


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
    """Each fault once at its own place, with the places of use among what is related.

    What is danced again is at fault for one reason, though its words may tell of another
    side or facing each time: it is told as it was found first.
    """
    found: dict[Diagnostic, list[Uses]] = {}
    first: dict[tuple[str, Span | None, Uses], Diagnostic] = {}
    for diagnostic in diagnostics:
        span, uses = diagnostic.span, diagnostic.span.uses if diagnostic.span else ()
        related = tuple((replace(near, uses=()), words) for near, words in diagnostic.related)
        own = replace(span, uses=()) if span else None
        place = replace(diagnostic, span=own, related=related)
        written = tuple(use for use in uses if not use.again)
        same = first.setdefault((diagnostic.code, own, written), place)
        danced_again = len(written) < len(uses) and place not in found
        found.setdefault(same if danced_again else place, []).append(uses)
    return tuple(_with_uses(place, chains) for place, chains in found.items())


def _with_uses(diagnostic: Diagnostic, chains: list[Uses]) -> Diagnostic:
    # What is at fault where it stands is so without being used.
    used = [uses for uses in chains if uses and (uses[0].again or () not in chains)]
    if not used:
        return diagnostic
    places = tuple(dict.fromkeys(use for uses in used for use in uses))
    shown = max(len(used[0]), MOST_USES)
    related = tuple((replace(use, again=False), _how(use)) for use in places[:shown])
    more = len(places) - shown
    hints = (f"The same in {more} more {'use' if more == 1 else 'uses'}.",) if more > 0 else ()
    return replace(
        diagnostic,
        related=(*diagnostic.related, *related),
        hints=(*diagnostic.hints, *hints),
    )


def _how(use: Span) -> str:
    return "danced again here" if use.again else "used here"


def has_errors(diagnostics: Iterable[Diagnostic]) -> bool:
    return any(diagnostic.severity is Severity.ERROR for diagnostic in diagnostics)
