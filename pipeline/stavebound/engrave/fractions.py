"""Fractions: amounts of which the face has no sign of its own, made up of small figures.

In: an amount as it is written, such as 3/8 or 1 3/8. Out: its pieces from the left, each
with its place. Small figures are of the bolder weight, so that they are as strong as those
of the face's own ½, ¼ and ¾, and no smaller than these.

       3
    1  ──╱     raised, a fraction slash between, on the base line
           8
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from stavebound.faces import BOLD, REGULAR, Faces
from stavebound.trade.lanes import FractionFigures

# The lane of the pieces of a fraction.
FRACTION = "fraction"
SLASH = "\u2044"


@dataclass(frozen=True, slots=True)
class FractionPiece:
    """A text `x` from the amount's left end, `y` above its baseline."""

    text: str
    x: float
    y: float
    size: float
    width: float
    weight: int = REGULAR


def pieces(text: str, size: float, row: FractionFigures, faces: Faces) -> tuple[FractionPiece, ...]:
    """The whole of an amount; one piece where it has no fraction of small figures."""
    return tuple(_pieces(text, size, row, faces))


def width(text: str, size: float, row: FractionFigures, faces: Faces) -> float:
    last = pieces(text, size, row, faces)[-1]
    return last.x + last.width


def _pieces(text: str, size: float, row: FractionFigures, faces: Faces) -> Iterator[FractionPiece]:
    above, slash, below = text.rpartition(" ")[2].partition("/")
    whole = text.rpartition(" ")[0] if slash else text
    small, x = size * row.size, 0.0
    for part, y, own, weight in (
        (whole, 0.0, size, REGULAR),
        (above if slash else "", size * row.rise, small, BOLD),
        (SLASH if slash else "", 0.0, size, REGULAR),
        (below, 0.0, small, BOLD),
    ):
        if part:
            wide = faces.width(part, own, "normal", weight)
            yield FractionPiece(part, x, y, own, wide, weight)
            x += wide
