"""What is measured as it was written: counts and heights."""

from __future__ import annotations

from dataclasses import dataclass
from decimal import Decimal
from fractions import Fraction


@dataclass(frozen=True, slots=True)
class At:
    """A count of a phrase, alone, with a syllable, or with an exact fraction."""

    count: int
    syllable: str | None = None
    fraction: Fraction | None = None


@dataclass(frozen=True, slots=True)
class Height:
    """A height on the body's lines: a named line and spaces above it."""

    line: str
    offset: Decimal = Decimal(0)
