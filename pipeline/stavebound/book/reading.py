"""How to read the stave, and the key to the signs that the book uses.

In: an `Edition` and the setting. Out: a sheet with a labelled stave and a
picture for every row of the key.
"""

from __future__ import annotations

from dataclasses import replace

from stavebound.book.common import READING, page
from stavebound.book.key import key_groups, shown
from stavebound.book.values import Edition, Piece, Sheet
from stavebound.engrave.parts import Setting
from stavebound.score.counts import time_line
from stavebound.score.features import features
from stavebound.score.pose import Posed
from stavebound.score.state import fold
from stavebound.svg.draw import draw

# A position to explain the lines with, and the height of its stave in millimetres.
LABELLED = '<feet in="first"/><arms in="side"/>'
LABELLED_HEIGHT = 18.0


def reading_sheet(edition: Edition, setting: Setting) -> Sheet:
    groups = key_groups(used_features(edition, setting), setting.catalogue)
    pictures = {
        row.feature: draw(shown(row.show, setting, edition.school), setting.faces)
        for _, rows in groups
        for row in rows
    }
    large = replace(setting, style=replace(setting.style, stave_height=LABELLED_HEIGHT))
    labelled = draw(shown(LABELLED, large, edition.school, named=True), setting.faces)
    html = page(
        edition,
        "reading.html",
        anchor=READING,
        groups=groups,
        centre_line=setting.style.centre_line,
    )
    return Sheet(READING, html, (("labelled", labelled), *pictures.items()), "arabic")


def used_features(edition: Edition, setting: Setting) -> frozenset[str]:
    """Every way of writing that the book's scores use."""
    return frozenset(
        feature
        for _, piece in edition.pieces
        for posed in _poses(piece, setting)
        for feature in features(posed)
    )


def _poses(piece: Piece, setting: Setting) -> tuple[Posed, ...]:
    start = piece.score.start.changes if piece.score.start else ()
    events = time_line(piece.score).events
    changes = (start, *(event.frame.changes for event in events))
    return fold(changes, setting.catalogue, piece.school)
