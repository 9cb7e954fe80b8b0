"""The baseline grid: whatever is not text takes whole lines of it.

In: a height in millimetres and the leading in points. Out: so many lines.
"""

from __future__ import annotations

import math

# Points to a millimetre.
POINTS = 72 / 25.4


def whole_lines(height: float, leading: float) -> int:
    """The fewest lines of text that are at least as high."""
    return math.ceil(round(height * POINTS / leading, 6))
