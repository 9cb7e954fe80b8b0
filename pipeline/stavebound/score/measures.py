"""What is measured as it was written: counts and heights."""

from __future__ import annotations

from collections.abc import Sequence
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


def nearest_height(height: float, lines: Sequence[str]) -> Height:
    """A height in spaces, to a hundredth, from the nearest of the lines, the lowest first."""
    height = round(height, 2)
    at = min(max(round(height), 0), len(lines) - 1)
    return Height(lines[at], Decimal(f"{height - at:.2f}"))
