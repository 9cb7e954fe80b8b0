"""First uses: where in a book each way of writing, each place and each repeat stands first.

In: a `Manuscript`. Out: the anchors of the first lines of music that have them.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping

from stavebound.book.common import line_anchor
from stavebound.book.values import Manuscript, Piece


def first_uses(manuscript: Manuscript) -> Mapping[str, str]:
    """By the names of the features, in no order."""
    return _first(line for _, piece in manuscript.pieces for line in _lines(piece, piece.features))


def first_placings(manuscript: Manuscript) -> Mapping[str, str]:
    """By the names of places and of repeats."""
    return _first(line for _, piece in manuscript.pieces for line in _lines(piece, piece.placings))


def _lines(piece: Piece, found: tuple[frozenset[str], ...]) -> Iterator[tuple[str, frozenset[str]]]:
    return ((line_anchor(piece.number, at), names) for at, names in enumerate(found))


def _first(lines: Iterator[tuple[str, frozenset[str]]]) -> Mapping[str, str]:
    first: dict[str, str] = {}
    for anchor, names in lines:
        first |= {name: anchor for name in names if name not in first}
    return first
