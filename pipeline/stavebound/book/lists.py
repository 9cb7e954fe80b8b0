"""All exercises one after the other, whatever their chapters: cards, the list of the music,
the examiner's sheet, and what else a layout has of the kind.

In: the section, a `Manuscript` and the setting, and where the list stands behind the body the
printed page number of every anchor. Out: a sheet.
"""

from __future__ import annotations

from stavebound.book.common import section_page
from stavebound.book.exercise import exercise_images, exercise_page
from stavebound.book.layouts import Section
from stavebound.book.values import Manuscript, Numbers, Sheet
from stavebound.engrave.parts import Setting


def exercises_sheet(
    section: Section, manuscript: Manuscript, setting: Setting, numbers: Numbers | None = None
) -> tuple[Sheet, ...]:
    """Without page numbers it stands by itself, and names the book."""
    html = section_page(
        section,
        manuscript,
        items=[
            exercise_page(piece, path, section, manuscript, setting)
            for path, piece in manuscript.pieces
        ],
        numbers=numbers,
        named=manuscript.plan.title if numbers is None else None,
    )
    images = exercise_images(
        [piece for _, piece in manuscript.pieces], section, manuscript, setting
    )
    return (Sheet(section.name, html, images, "arabic", facing=section.facing),)
