"""What stands on a chapter's first page besides its words and its list.

In: a chapter's pieces, those before it, the setting and what the reader goes by. Out: a frame
of the chapter as a picture, proved like a stave; and what the chapter is the first to write, by
the names that the key has.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from functools import partial
from itertools import groupby

from stavebound.book.key import PictureError, proved_picture, shown
from stavebound.book.values import Piece
from stavebound.dance.danced import Danced
from stavebound.dance.features import features
from stavebound.dance.pose import Posed
from stavebound.engrave.parts import Setting
from stavebound.readback.claims import ReadingKey
from stavebound.score.model import CentrePart
from stavebound.trade.catalogue import Catalogue
from stavebound.trade.tables import KeyTable

# What an emblem shows, best of all the first two; a frame may write other things, such as turns.
BEST = {"hand", "foot"}
# How many frames of a score are kept to choose from.
KEPT = 4
SHOWN = {*BEST, "knee", "elbow", *map(str, CentrePart)}
# What one sees from across the room, by the names that the key's rows have: it comes before all
# that a frame has besides.
TELLING = {
    "hand height overhead",
    *(f"free {height}" for height in ("knee", "90", "105", "120", "135", "180")),
}


@dataclass(frozen=True, slots=True)
class FirstMet:
    """Ways of writing that are met first: a group of the key, and their names in it."""

    group: str
    names: tuple[str, ...]


def first_met(
    pieces: Iterable[Piece], before: Iterable[Piece], table: KeyTable
) -> tuple[FirstMet, ...]:
    """What these pieces write and none before them does, in the order of the key."""
    new = _features(pieces) - _features(before)
    groups = {scale.name: scale.group for scale in table.scale}
    rows = (row for row in table.row if row.feature in new)
    return tuple(
        FirstMet(group, tuple(dict.fromkeys(row.name for row in alike)))
        for group, alike in groupby(rows, key=lambda row: groups[row.scale])
    )


def _features(pieces: Iterable[Piece]) -> frozenset[str]:
    return frozenset().union(*(line for piece in pieces for line in piece.features))


def telling_frames(danced: Danced, catalogue: Catalogue) -> tuple[Posed, ...]:
    """The few frames of a score that show most, of those that can stand alone."""
    alone = filter(_stands_alone, danced.poses)
    return tuple(sorted(alone, key=partial(_shows, catalogue), reverse=True)[:KEPT])


def emblem(pieces: Iterable[Piece], setting: Setting, key: ReadingKey) -> str | None:
    """The frame of these pieces that has most to show, as SVG; None where none can be drawn."""
    large = setting.at_height(setting.style.distance("emblem stave height"))
    return next(_drawn(pieces, large, key), None)


def _drawn(pieces: Iterable[Piece], setting: Setting, key: ReadingKey) -> Iterator[str]:
    found = [(posed, piece.score.title) for piece in pieces for posed in piece.telling]
    shows = partial(_shows, setting.catalogue)
    for posed, title in sorted(found, key=lambda each: shows(each[0]), reverse=True):
        try:
            yield proved_picture(shown(posed, title, setting), posed, title, setting, key)
        except PictureError:
            continue


def _shows(catalogue: Catalogue, posed: Posed) -> tuple[bool, int, int]:
    found = features(posed, catalogue)
    return _kinds(posed) >= BEST, len(found & TELLING), len(found)


def _stands_alone(posed: Posed) -> bool:
    """Nothing in it needs what is before it, and something is written."""
    return set() < _kinds(posed) <= SHOWN and not posed.moves


def _kinds(posed: Posed) -> set[str]:
    return {subject.kind for subject, _ in posed.written}
