"""How to read the stave, and the key to the signs that the book uses.

In: a `Manuscript` and the setting. Out: a sheet with a labelled stave and a
picture for every row of the key.
"""

from __future__ import annotations

from stavebound.book.common import section_page, words_of_layout
from stavebound.book.grid import whole_lines
from stavebound.book.key import key_groups, posed_in, proved_picture, row_picture, shown
from stavebound.book.layouts import Section
from stavebound.book.repeats import repeat_picture, repeat_rows
from stavebound.book.values import Manuscript, Sheet
from stavebound.engrave.parts import Setting
from stavebound.engrave.system import System
from stavebound.readback.claims import ReadingKey
from stavebound.trade.tables import School

# A position to explain the lines with.
LABELLED = '<feet in="first"/><arms in="side"/>'


def reading_sheets(section: Section, manuscript: Manuscript, setting: Setting) -> tuple[Sheet, ...]:
    groups = key_groups(used_features(manuscript), setting.catalogue)
    repeats = repeat_rows(manuscript, setting.catalogue)
    sized = in_key(setting)
    pictures = {
        row.feature: row_picture(row, sized, manuscript.school, manuscript.key)
        for _, rows in groups
        for row in rows
    } | {
        row.feature: repeat_picture(row, sized, manuscript.school, manuscript.key)
        for row in repeats
    }
    label = words_of_layout(manuscript)["repeats"]
    leading = manuscript.paper.leading
    labelled, picture = labelled_picture(setting, manuscript.school, manuscript.key)
    html = section_page(
        section,
        manuscript,
        groups=(*groups, (label, repeats)) if repeats else groups,
        centre_line=setting.style.centre_line,
        height=whole_lines(labelled.box.height * labelled.space, leading) * leading,
    )
    return (Sheet(section.name, html, (("labelled", picture), *pictures.items()), "arabic"),)


def in_key(setting: Setting) -> Setting:
    """The setting of the key's pictures, which are never smaller than the book's own staves."""
    style = setting.style
    return setting.at_height(max(style.distance("key stave height"), style.stave_height))


def labelled_picture(setting: Setting, school: School, key: ReadingKey) -> tuple[System, str]:
    """A position with the names of the lines, and its SVG, read back. PictureError where it
    cannot be drawn."""
    large = setting.at_height(setting.style.distance("labelled stave height"))
    posed = posed_in(LABELLED, setting.catalogue, school)
    labelled = shown(posed, LABELLED, large, named=True)
    return labelled, proved_picture(labelled, posed, LABELLED, large, key)


def used_features(manuscript: Manuscript) -> frozenset[str]:
    """Every way of writing that the book's scores use."""
    return frozenset(feature for _, piece in manuscript.pieces for feature in piece.features)
