"""The key on one page: every frame that the book uses with its name, to be laid beside a score.

In: a `Manuscript` and the setting. Out: a sheet of one page. Its pictures are those of the key,
proved on the lowest stave that print allows and drawn as large as all have room; where they have
none even so, scales are left out by their ranks.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from itertools import count, takewhile

from stavebound.book.common import section_page
from stavebound.book.first_uses import first_uses
from stavebound.book.grid import POINTS
from stavebound.book.layouts import Section
from stavebound.book.papers import Paper
from stavebound.book.reading import amounts_used, in_key
from stavebound.book.scales import Pictured, Strip, pictures, strip, used_scales
from stavebound.book.values import Manuscript, Numbers, Sheet
from stavebound.engrave.parts import Setting
from stavebound.engrave.style import Style
from stavebound.svg.draw import draw
from stavebound.trade.tables import KeyCell, KeyRow


@dataclass(frozen=True, slots=True)
class LeafSize:
    """`columns` frames a line, on a stave of so many millimetres, each with `room` of them."""

    stave: float
    columns: int
    room: float


def leaf_sheet(
    section: Section, manuscript: Manuscript, setting: Setting, numbers: Numbers
) -> tuple[Sheet, ...]:
    least = setting.at_height(setting.style.distance("leaf least stave height"))
    school, amounts = manuscript.school, amounts_used(manuscript)
    rows = pictures(_rows(manuscript, setting), least, school, manuscript.key, amounts)
    size, kept = fitting(rows, manuscript.paper, setting)
    lines = [kept[at : at + size.columns] for at in range(0, len(kept), size.columns)]
    strips = [_strip(at, line, size, least) for at, line in enumerate(lines, 1)]
    html = section_page(
        section,
        manuscript,
        strips=strips,
        names=setting.style.distance("leaf name size"),
        leading=setting.style.distance("leaf name leading"),
        inset=setting.style.distance("leaf name inset"),
    )
    images = tuple((each.name, each.svg) for each in strips)
    return (Sheet(section.name, html, images, "arabic"),)


def _rows(manuscript: Manuscript, setting: Setting) -> Iterator[KeyRow]:
    """Those of the features that the book uses."""
    table, used = setting.catalogue.key, frozenset(first_uses(manuscript))
    for scale in used_scales(used, table):
        yield from (row for row in table.rows_of(scale) if row.feature in used)


def fitting(
    rows: Sequence[Pictured], paper: Paper, setting: Setting
) -> tuple[LeafSize, Sequence[Pictured]]:
    """The largest stave on which all fit, and what is left on the least where none would do."""
    ranks = {scale.name: scale.rank for scale in setting.catalogue.key.scale}
    sizes = list(_sizes(paper, setting))
    for rank in sorted(set(ranks.values()), reverse=True):
        kept = [each for each in rows if ranks[each.row.scale] <= rank]
        for size in sizes:
            if _depth(kept, size, setting) <= _room(paper, setting.style):
                return size, kept
    return sizes[-1], kept


def _sizes(paper: Paper, setting: Setting) -> Iterator[LeafSize]:
    """From the key's own staves downwards."""
    style, cell = setting.style, setting.style.distance("leaf frame")
    greatest, step = in_key(setting).style.stave_height, style.distance("leaf stave height step")
    least = style.distance("leaf least stave height")
    for stave in takewhile(lambda height: height >= least, count(greatest, -step)):
        columns = max(1, int(paper.measure / (cell * stave / 4)))
        yield LeafSize(stave, columns, paper.measure / columns)


def _room(paper: Paper, style: Style) -> float:
    """What a page has for strips, in millimetres."""
    return paper.depth - style.distance("leaf head lines") * paper.leading / POINTS


def _depth(rows: Sequence[Pictured], size: LeafSize, setting: Setting) -> float:
    """How deep these frames are with their names, in millimetres."""
    leading = setting.style.distance("leaf name leading") / POINTS
    found = 0.0
    for at in range(0, len(rows), size.columns):
        line = rows[at : at + size.columns]
        boxes = [each.system.box for each in line]
        spaces = max(box.top for box in boxes) - min(box.bottom for box in boxes)
        names = max(name_lines(each.row.name, size, setting) for each in line)
        found += spaces * size.stave / 4 + names * leading
    return found


def name_lines(name: str, size: LeafSize, setting: Setting) -> int:
    """How many lines a name takes."""
    style = setting.style
    type_size = style.distance("leaf name size") / POINTS
    room = size.room - 2 * style.distance("leaf name inset")
    lines, line = 1, ""
    for word in name.split():
        longer = f"{line} {word}".strip()
        if line and setting.faces.width(longer, type_size) > room:
            lines, line = lines + 1, word
        else:
            line = longer
    return lines


def _strip(at: int, line: Sequence[Pictured], size: LeafSize, setting: Setting) -> Strip:
    space = size.stave / 4
    cell = KeyCell(ink=size.room / space, words=0.0, axis=-0.3, meanings=False)
    systems = [each.system for each in line]
    top = max(system.box.top for system in systems)
    drawing = replace(strip(systems, cell, top, setting), unit=space)
    rows = tuple(each.row for each in line)
    return Strip(f"leaf {at}", rows, size.room, False, draw(drawing, setting.faces))
