"""First uses: where in a book each way of writing stands first.

In: a `Manuscript`. Out: the anchor of the first line of music that has it.
"""

from __future__ import annotations

from collections.abc import Mapping

from stavebound.book.common import line_anchor
from stavebound.book.values import Manuscript


def first_uses(manuscript: Manuscript) -> Mapping[str, str]:
    """By the names of the features, in no order."""
    found: dict[str, str] = {}
    for _, piece in manuscript.pieces:
        for at, features in enumerate(piece.features):
            anchor = line_anchor(piece.number, at)
            found |= {feature: anchor for feature in features if feature not in found}
    return found
