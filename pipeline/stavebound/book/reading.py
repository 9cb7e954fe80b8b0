"""How to read the stave, and the key to the signs that the book uses.

In: a `Manuscript` and the setting, then the printed page number of every anchor. Out: a sheet
with a labelled stave and, by groups, pieces of stave with the frames of the key.
"""

from __future__ import annotations

from collections.abc import Mapping

from stavebound.book.common import section_page
from stavebound.book.first_uses import first_placings, first_uses
from stavebound.book.grid import whole_lines
from stavebound.book.key import posed_in, proved_picture, shown
from stavebound.book.layouts import Section
from stavebound.book.named_arms import arms_rows, arms_scale
from stavebound.book.paged import first_page, paged
from stavebound.book.read_example import example_lines
from stavebound.book.repeats import repeat_picture, repeat_rows, white_over
from stavebound.book.scales import ShownGroup, pictures, shown_group, shown_groups
from stavebound.book.values import Manuscript, Numbers, Pages, Sheet
from stavebound.engrave.parts import Setting
from stavebound.engrave.system import System
from stavebound.readback.claims import ReadingKey
from stavebound.remembering import remembered
from stavebound.score.lanes import TurnChange
from stavebound.score.lexical import amount_text
from stavebound.trade.tables import School

# How many settings of pictures are remembered, so that a picture is known again by its own.
SIZES = 64
# A position to explain the lines with.
LABELLED = '<feet in="first"/><arms in="side"/>'


def reading_sheets(section: Section, manuscript: Manuscript, setting: Setting) -> Pages:
    """What makes the sheet, for any page numbers; its pictures are made once."""
    sized, school, key = in_key(setting), manuscript.school, manuscript.key
    uses, placed = first_uses(manuscript), first_placings(manuscript)
    amounts, measure = amounts_used(manuscript), manuscript.paper.measure
    groups = (
        *shown_groups(frozenset(uses), amounts, measure, sized, school, key),
        named_arms(manuscript, sized),
    )
    repeats = repeat_rows(manuscript, setting.catalogue)
    drawn = {row.feature: repeat_picture(row, setting, school, key) for row in repeats}
    leading = manuscript.paper.leading
    labelled, picture = labelled_picture(setting, school, key)
    strips = [strip for group in groups for line in group.lines for strip in line.strips]
    example = example_lines(measure, sized, school, key)
    images = (
        ("labelled", picture),
        *((f"example-{at}", line.svg) for at, line in enumerate(example, 1)),
        *(image for strip in strips for image in strip.images),
        *((feature, line.svg) for feature, line in drawn.items()),
    )

    def sheets(numbers: Numbers) -> tuple[Sheet, ...]:
        html = section_page(
            section,
            manuscript,
            groups=[paged(group, {**uses, **placed}, numbers) for group in groups],
            repeats=[first_page(row, placed, numbers) for row in repeats],
            over=white_over(drawn),
            example=[{"height": whole_lines(line.height, leading) * leading} for line in example],
            remarks=sized.catalogue.key.remark,
            centre_line=setting.style.centre_line,
            height=whole_lines(labelled.box.height * labelled.space, leading) * leading,
        )
        return (Sheet(section.name, html, images, "arabic"),)

    return sheets


def named_arms(manuscript: Manuscript, sized: Setting) -> ShownGroup:
    """The plate of the arms by the names of the book's school."""
    school, language = manuscript.school, manuscript.labels
    scale = arms_scale(language)
    rows = arms_rows(school, sized.catalogue, language)
    pictured = pictures(rows, sized, school, manuscript.key)
    return shown_group(scale.group, [(scale, pictured)], manuscript.paper.measure, sized)


@remembered(SIZES)
def in_key(setting: Setting) -> Setting:
    """The setting of the key's pictures, which are no smaller than the book's own staves."""
    style = setting.style
    return setting.at_height(max(style.distance("key stave height"), style.stave_height))


def labelled_picture(setting: Setting, school: School, key: ReadingKey) -> tuple[System, str]:
    """A position with the names of the lines, and its SVG, read back. PictureError where it
    cannot be drawn."""
    large = setting.at_height(setting.style.distance("labelled stave height"))
    posed = posed_in(LABELLED, setting.catalogue, school)
    labelled = shown(posed, LABELLED, large, named=True)
    return labelled, proved_picture(labelled, posed, LABELLED, large, key)


def amounts_used(manuscript: Manuscript) -> Mapping[str, str]:
    """The least amount that the book's scores have, of what has one."""
    changes = (
        change
        for _, piece in manuscript.pieces
        for phrase in piece.score.phrases
        for frame in phrase.frames
        for change in frame.changes
    )
    turns = [change.by for change in changes if isinstance(change, TurnChange)]
    return {"turn": amount_text(min(turns))} if turns else {}
