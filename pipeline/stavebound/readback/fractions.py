"""Fractions: small figures on both sides of a fraction slash, read as one amount.

In: the texts of a line, in spaces. Out: the same, the pieces of a fraction put together to
one text, such as 3/8 or 1 3/8, at its first figure and on its base line. Pieces that do not
belong together stay as they are.

       3
    1  ──╱
           8
"""

from __future__ import annotations

from collections.abc import Iterable

from stavebound.faces import BOLD, REGULAR, Faces
from stavebound.readback.table import FractionRow
from stavebound.readback.values import TextRead

SLASH = "\u2044"
# In spaces.
NEAR = 0.02


def with_fractions(
    texts: Iterable[TextRead], table: FractionRow, faces: Faces
) -> tuple[TextRead, ...]:
    left = list(texts)
    for slash in [text for text in left if text.letters == SLASH]:
        above = _beside(left, slash, slash.xs[0], slash.y + table.rise * slash.size, -1, faces)
        below = _beside(left, slash, slash.xs[0] + _width(slash, faces), slash.y, 1, faces)
        small = [text for text in (above, below) if text and _is_small(text, slash, table)]
        if above and below and len(small) == 2:
            whole = _beside(left, slash, above.xs[0], slash.y, -1, faces)
            found = [whole] if whole and whole.size == slash.size else []
            letters = " ".join(
                (*(text.letters for text in found), f"{above.letters}/{below.letters}")
            )
            first = (found or [above])[0].xs
            left = [text for text in left if text not in (above, slash, below, *found)]
            left.append(TextRead(letters, first, slash.y, slash.size, italic=False))
    return tuple(left)


def _beside(
    texts: Iterable[TextRead], slash: TextRead, x: float, y: float, way: int, faces: Faces
) -> TextRead | None:
    """The upright figures that end at x, or begin there, at that height."""
    for text in texts:
        if text is not slash and not text.italic and text.letters.isdecimal():
            at = text.xs[0] if way > 0 else text.xs[0] + _width(text, faces)
            if abs(at - x) <= NEAR and abs(text.y - y) <= NEAR:
                return text
    return None


def _is_small(text: TextRead, slash: TextRead, table: FractionRow) -> bool:
    sized = abs(text.size - table.size * slash.size) <= NEAR
    return sized and text.weight == BOLD and slash.weight == REGULAR


def _width(text: TextRead, faces: Faces) -> float:
    return faces.width(text.letters, text.size, "normal", text.weight)
