"""What the tool has to say about a source, as values.

Every stage that can find fault returns an `Outcome`: a value, or none, and all
the diagnostics it found. A diagnostic is data; `render` turns it into words on
a terminal or into JSON, and `codes` tells what each code means.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
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
    at line 1, column 1.
    """

    path: str
    line: int
    column: int
    length: int = 1


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


def has_errors(diagnostics: Iterable[Diagnostic]) -> bool:
    return any(diagnostic.severity is Severity.ERROR for diagnostic in diagnostics)
