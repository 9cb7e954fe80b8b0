"""How to read the stave, and the key to the signs that the book uses.

In: an `Edition` and the setting. Out: a sheet with a labelled stave and a
picture for every row of the key.
"""

from __future__ import annotations

from dataclasses import replace

from stavebound.book.common import READING, page
from stavebound.book.key import drawn, key_groups, row_picture
from stavebound.book.repeats import repeat_picture, repeat_rows
from stavebound.book.values import Edition, Piece, Sheet
from stavebound.engrave.parts import Setting
from stavebound.score.counts import time_line
from stavebound.score.features import score_features
from stavebound.score.pose import Posed
from stavebound.score.state import fold
from stavebound.wording.labels import labels

# A position to explain the lines with.
LABELLED = '<feet in="first"/><arms in="side"/>'
# Heights of staves in millimetres, whatever the book's own: of the one with the
# lines' names, and of the key's, small enough for a page of them.
LABELLED_HEIGHT = 18.0
KEY_HEIGHT = 7.0


def reading_sheet(edition: Edition, setting: Setting) -> Sheet:
    groups = key_groups(used_features(edition, setting), setting.catalogue)
    repeats = repeat_rows(edition, setting.catalogue)
    sized = _sized(setting, KEY_HEIGHT)
    pictures = {
        row.feature: row_picture(row, sized, edition.school) for _, rows in groups for row in rows
    } | {row.feature: repeat_picture(row, sized, edition.school) for row in repeats}
    label = labels(edition.plan.language)["repeats"]
    labelled = drawn(LABELLED, _sized(setting, LABELLED_HEIGHT), edition.school, named=True)
    html = page(
        edition,
        "reading.html",
        anchor=READING,
        groups=(*groups, (label, repeats)) if repeats else groups,
        centre_line=setting.style.centre_line,
    )
    return Sheet(READING, html, (("labelled", labelled), *pictures.items()), "arabic")


def _sized(setting: Setting, height: float) -> Setting:
    return replace(setting, style=replace(setting.style, stave_height=height))


def used_features(edition: Edition, setting: Setting) -> frozenset[str]:
    """Every way of writing that the book's scores use."""
    return frozenset(
        feature
        for _, piece in edition.pieces
        for feature in score_features(piece.score, _poses(piece, setting))
    )


def _poses(piece: Piece, setting: Setting) -> tuple[Posed, ...]:
    start = piece.score.start.changes if piece.score.start else ()
    events = time_line(piece.score).events
    changes = (start, *(event.frame.changes for event in events))
    return fold(changes, setting.catalogue, piece.school)
