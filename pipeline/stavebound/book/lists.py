"""Lists by exercise: the music, for whoever plays, and the examiner's sheet.

In: an `Edition` and the setting, and for the list in the teacher's book the printed page
number of every anchor. Out: a sheet.
"""

from __future__ import annotations

from collections.abc import Mapping

from stavebound.book.common import MUSIC, page
from stavebound.book.exercise import ExercisePage, exercise_page, note_images
from stavebound.book.values import Edition, Sheet
from stavebound.engrave.parts import Setting

EXAMINER = "examiner"
# The texts of an exercise that an examiner has before the eyes.
EXAMINED = ("times", "quality")


def music_list(edition: Edition, setting: Setting) -> tuple[Sheet, ...]:
    """The list by itself, under the book's title."""
    return (_music(edition, setting, {}, edition.plan.title),)


def music_sheet(edition: Edition, setting: Setting, numbers: Mapping[str, str]) -> Sheet:
    """The list at the end of the book, with the page of each exercise."""
    return _music(edition, setting, numbers, None)


def examiner_sheets(edition: Edition, setting: Setting) -> tuple[Sheet, ...]:
    """The order, times and qualities, with room to write."""
    items = _items(edition, setting, EXAMINED)
    html = page(edition, "examiner.html", anchor=EXAMINER, items=items, named=edition.plan.title)
    return (Sheet(EXAMINER, html, (), "arabic"),)


def _music(
    edition: Edition, setting: Setting, numbers: Mapping[str, str], named: str | None
) -> Sheet:
    items = _items(edition, setting, ())
    html = page(edition, "music.html", anchor=MUSIC, items=items, numbers=numbers, named=named)
    pieces = [piece for _, piece in edition.pieces]
    return Sheet(MUSIC, html, note_images(pieces, edition, setting), "arabic")


def _items(edition: Edition, setting: Setting, after: tuple[str, ...]) -> list[ExercisePage]:
    return [
        exercise_page(piece, path, edition, setting, after=after) for path, piece in edition.pieces
    ]
