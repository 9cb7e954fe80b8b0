"""The key on one page: every frame that the book uses with its name, to be laid beside a score.

In: a `Manuscript` and the setting. Out: a sheet of one page. Its pictures are those of the key,
proved on the lowest stave that print allows and drawn as large as all have room; where they have
none even so, scales are left out by their ranks.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from itertools import count, takewhile

from stavebound.book.common import leaf_paper, section_page
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

# Rooms that together are wider by less than this are as wide as the measure.
ROUNDING = 1e-6


@dataclass(frozen=True, slots=True)
class LeafLine:
    """Frames beside each other, with `room` millimetres each; the widest of them is of `cell`."""

    rows: tuple[Pictured, ...]
    cell: KeyCell
    room: float


@dataclass(frozen=True, slots=True)
class LeafPlan:
    """Lines on staves of so many millimetres."""

    stave: float
    lines: tuple[LeafLine, ...]

    @property
    def rows(self) -> tuple[Pictured, ...]:
        return tuple(row for line in self.lines for row in line.rows)


def leaf_sheet(
    section: Section, manuscript: Manuscript, setting: Setting, numbers: Numbers
) -> tuple[Sheet, ...]:
    least = setting.at_height(setting.style.distance("leaf least stave height"))
    school, amounts = manuscript.school, amounts_used(manuscript)
    rows = pictures(_rows(manuscript, setting), least, school, manuscript.key, amounts)
    paper = leaf_paper(manuscript.paper, setting.style)
    found = fitting(rows, paper, setting)
    strips = [_strip(at, line, found.stave, least) for at, line in enumerate(found.lines, 1)]
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
    """Those of the features that the book uses, and what explains them."""
    table, used = setting.catalogue.key, frozenset(first_uses(manuscript))
    for scale in used_scales(used, table):
        yield from (row for row in table.rows_of(scale) if row.brought_by & used)


def fitting(rows: Sequence[Pictured], paper: Paper, setting: Setting) -> LeafPlan:
    """The largest stave on which all fit, and what is left on the least where none would do."""
    ranks = {scale.name: scale.rank for scale in setting.catalogue.key.scale}
    for rank in sorted(set(ranks.values()), reverse=True):
        kept = [each for each in rows if ranks[each.row.scale] <= rank]
        for stave in _staves(setting):
            found = LeafPlan(stave, tuple(_lines(kept, stave, paper, setting)))
            if _depth(found, setting) <= _room(paper, setting.style):
                return found
    return found


def _staves(setting: Setting) -> Iterator[float]:
    """From the key's own staves downwards."""
    style = setting.style
    greatest, step = in_key(setting).style.stave_height, style.distance("leaf stave height step")
    least = style.distance("leaf least stave height")
    return takewhile(lambda height: height >= least, count(greatest, -step))


def _lines(
    rows: Sequence[Pictured], stave: float, paper: Paper, setting: Setting
) -> Iterator[LeafLine]:
    """As many frames in a line as it has room for, if all have as much as the widest."""
    line = LeafLine((), KeyCell(ink=0.0, words=0.0, axis=0.0, meanings=False), 0.0)
    for row in rows:
        longer = _longer(line, row, stave, paper, setting)
        if longer.room * len(longer.rows) > paper.measure + ROUNDING:
            yield line
            longer = _longer(replace(line, rows=(), room=0.0), row, stave, paper, setting)
        line = longer
    yield line


def _longer(
    line: LeafLine, row: Pictured, stave: float, paper: Paper, setting: Setting
) -> LeafLine:
    """With one more frame."""
    table = setting.catalogue.key
    own = next(table.cell[scale.cell] for scale in table.scale if scale.name == row.row.scale)
    cell = max((own, line.cell) if line.rows else (own,), key=lambda each: each.ink)
    need = max(setting.style.distance("leaf frame"), cell.ink * stave / 4)
    room = paper.measure / max(1, int(paper.measure / need))
    return LeafLine((*line.rows, row), cell, room)


def _room(paper: Paper, style: Style) -> float:
    """What a page has for strips, in millimetres."""
    return paper.depth - style.distance("leaf head lines") * paper.leading / POINTS


def _depth(found: LeafPlan, setting: Setting) -> float:
    """How deep its frames are with their names, in millimetres."""
    leading = setting.style.distance("leaf name leading") / POINTS
    depth = 0.0
    for line in found.lines:
        boxes = [each.system.box for each in line.rows]
        spaces = max(box.top for box in boxes) - min(box.bottom for box in boxes)
        names = max(name_lines(each.row.name, line.room, setting) for each in line.rows)
        depth += spaces * found.stave / 4 + names * leading
    return depth


def name_lines(name: str, width: float, setting: Setting) -> int:
    """How many lines a name takes in so many millimetres."""
    style = setting.style
    type_size = style.distance("leaf name size") / POINTS
    room = width - 2 * style.distance("leaf name inset")
    lines, line = 1, ""
    for word in name.split():
        longer = f"{line} {word}".strip()
        if line and setting.faces.width(longer, type_size) > room:
            lines, line = lines + 1, word
        else:
            line = longer
    return lines


def _strip(at: int, line: LeafLine, stave: float, setting: Setting) -> Strip:
    space = stave / 4
    cell = KeyCell(ink=line.room / space, words=0.0, axis=line.cell.axis, meanings=False)
    systems = [each.system for each in line.rows]
    top = max(system.box.top for system in systems)
    drawing = replace(strip(systems, cell, top, setting), unit=space)
    rows = tuple(each.row for each in line.rows)
    return Strip(f"leaf {at}", rows, line.room, False, draw(drawing, setting.faces))
