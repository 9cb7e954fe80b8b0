"""The key on one leaf: every frame that the book uses with its name, to be laid beside a score.

In: a `Manuscript` and the setting. Out: a sheet of one page, or of two where one has no room for
staves that can be read. Its pictures are those of the key, proved on the lowest stave that the
leaf has and drawn as large as all have room; nothing is left out.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from itertools import count, takewhile

from stavebound.book.common import leaf_paper, section_page
from stavebound.book.first_uses import first_uses
from stavebound.book.grid import POINTS
from stavebound.book.layouts import Section
from stavebound.book.named_arms import arms_rows, arms_scale
from stavebound.book.papers import Paper
from stavebound.book.reading import amounts_used, in_key
from stavebound.book.repeats import repeat_picture, repeat_rows, white_over
from stavebound.book.scales import Pictured, Strip, pictures, strip, used_scales
from stavebound.book.values import Manuscript, Numbers, Sheet
from stavebound.engrave.parts import NAMES, Setting
from stavebound.engrave.style import Style
from stavebound.proof.lines import DrawnLine
from stavebound.svg.draw import draw
from stavebound.trade.tables import KeyCell, KeyRow
from stavebound.wording.labels import ENGLISH

# Rooms that together are wider by less than this are as wide as the measure.
ROUNDING = 1e-6
# Of a leaf.
SIDES = 2


@dataclass(frozen=True, slots=True)
class LeafLine:
    """Frames beside each other, with `room` millimetres each; the widest of them is of `cell`."""

    rows: tuple[Pictured, ...]
    cell: KeyCell
    room: float


@dataclass(frozen=True, slots=True)
class LeafPlan:
    """Lines on staves of so many millimetres, by pages."""

    stave: float
    pages: tuple[tuple[LeafLine, ...], ...]

    @property
    def lines(self) -> tuple[LeafLine, ...]:
        return tuple(line for page in self.pages for line in page)

    @property
    def rows(self) -> tuple[Pictured, ...]:
        return tuple(row for line in self.lines for row in line.rows)


@dataclass(frozen=True, slots=True)
class LeafRepeat:
    """A sign of a repeat, and what it means."""

    name: str
    meaning: str
    line: DrawnLine


def leaf_sheet(
    section: Section, manuscript: Manuscript, setting: Setting, numbers: Numbers
) -> tuple[Sheet, ...]:
    least = setting.at_height(setting.style.distance("leaf least stave height"))
    school, amounts = manuscript.school, amounts_used(manuscript)
    rows = _pictures(manuscript, setting, least, amounts)
    repeats = tuple(
        LeafRepeat(row.feature, row.meaning, repeat_picture(row, least, school, manuscript.key))
        for row in repeat_rows(manuscript, setting.catalogue)
    )
    paper = leaf_paper(manuscript.paper, setting.style)
    found = fitting(rows, paper, setting, repeats)
    numbered = count(1)
    pages = [
        [_strip(next(numbered), line, found.stave, least) for line in page] for page in found.pages
    ]
    html = section_page(
        section,
        manuscript,
        pages=pages,
        repeats=repeats,
        half=paper.measure / 2,
        over=white_over({each.name: each.line for each in repeats}),
        names=setting.style.distance("leaf name size"),
        leading=setting.style.distance("leaf name leading"),
        inset=setting.style.distance("leaf name inset"),
    )
    images = (
        *((each.name, each.svg) for page in pages for each in page),
        *((each.name, each.line.svg) for each in repeats),
    )
    return (Sheet(section.name, html, images, "arabic"),)


def _pictures(
    manuscript: Manuscript, setting: Setting, least: Setting, amounts: Mapping[str, str]
) -> tuple[Pictured, ...]:
    """Those of the key, where they are the same but for their size. They have no line names."""
    large, texts = in_key(setting), setting.catalogue.lanes.text
    alike = large.style.alike(least.style, {row.size for row in texts if row.name != NAMES})
    rows, own = _rows(manuscript, setting), large if alike else least
    pictured = pictures(rows, own, manuscript.school, manuscript.key, amounts)
    space = least.style.space
    return tuple(replace(each, system=replace(each.system, space=space)) for each in pictured)


def _rows(manuscript: Manuscript, setting: Setting) -> Iterator[KeyRow]:
    """Those of the features that the book uses, what explains them, and the named arms."""
    table, used = setting.catalogue.key, frozenset(first_uses(manuscript))
    for scale in used_scales(used, table):
        yield from (row for row in table.rows_of(scale) if row.brought_by & used)
    yield from arms_rows(manuscript.school, setting.catalogue, manuscript.labels)


def fitting(
    rows: Sequence[Pictured],
    paper: Paper,
    setting: Setting,
    repeats: Sequence[LeafRepeat] = (),
) -> LeafPlan:
    """The largest stave on which all fit on one page; else on both sides of a leaf; else the
    least, on as many pages as it takes."""
    for most in (1, SIDES):
        for stave in _staves(setting):
            lines = tuple(_lines(rows, stave, paper, setting))
            found = LeafPlan(stave, tuple(_pages(lines, stave, paper, setting, repeats)))
            if len(found.pages) <= most:
                return found
    return found


def _staves(setting: Setting) -> Iterator[float]:
    """From the key's own staves downwards."""
    style = setting.style
    greatest, step = in_key(setting).style.stave_height, style.distance("leaf stave height step")
    least = style.distance("leaf least stave height")
    return takewhile(lambda height: height >= least, count(greatest, -step))


def _pages(
    lines: Sequence[LeafLine],
    stave: float,
    paper: Paper,
    setting: Setting,
    repeats: Sequence[LeafRepeat],
) -> Iterator[tuple[LeafLine, ...]]:
    """As many lines on a page as it has room for; the repeats stand under the last."""
    room, page, depth = _room(paper, setting.style), list[LeafLine](), 0.0
    for line in lines:
        last = _repeats_depth(repeats, paper, setting) if line is lines[-1] else 0.0
        own = _depth(line, stave, setting)
        if page and depth + own + last > room:
            yield tuple(page)
            page, depth = [], 0.0
        page, depth = [*page, line], depth + own
    yield tuple(page)


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
    names = {scale.name: scale.cell for scale in (*table.scale, arms_scale(ENGLISH))}
    own = table.cell[names[row.row.scale]]
    cell = max((own, line.cell) if line.rows else (own,), key=lambda each: each.ink)
    need = max(setting.style.distance("leaf frame"), cell.ink * stave / 4)
    room = paper.measure / max(1, int(paper.measure / need))
    return LeafLine((*line.rows, row), cell, room)


def _room(paper: Paper, style: Style) -> float:
    """What a page has for strips, in millimetres."""
    return paper.depth - style.distance("leaf head lines") * paper.leading / POINTS


def _depth(line: LeafLine, stave: float, setting: Setting) -> float:
    """How deep its frames are with their names, in millimetres."""
    boxes = [each.system.box for each in line.rows]
    spaces = max(box.top for box in boxes) - min(box.bottom for box in boxes)
    names = max(name_lines(each.row.name, line.room, setting) for each in line.rows)
    return spaces * stave / 4 + names * setting.style.distance("leaf name leading") / POINTS


def _repeats_depth(repeats: Sequence[LeafRepeat], paper: Paper, setting: Setting) -> float:
    """Two beside each other, with their meanings, in millimetres."""
    leading, half = setting.style.distance("leaf name leading") / POINTS, paper.measure / 2
    highest = max((each.line.height for each in repeats), default=0.0)
    depth = 0.0
    for first in range(0, len(repeats), 2):
        pair = repeats[first : first + 2]
        meanings = max(name_lines(each.meaning, half, setting) for each in pair)
        depth += highest + (meanings + 1) * leading
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
