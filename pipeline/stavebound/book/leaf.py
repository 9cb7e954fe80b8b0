"""The key on one leaf: every frame that the book uses with its name, to be laid beside a score.

In: a `Manuscript` and the setting. Out: a sheet of one page, or of two where one has no room for
staves that can be read. Its pictures are those of the key, proved on the lowest stave that the
leaf has and drawn as large as all have room; nothing is left out.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, replace
from itertools import count

from stavebound.book.common import leaf_paper, section_page
from stavebound.book.first_uses import first_uses
from stavebound.book.layouts import Section
from stavebound.book.leaf_lines import LeafLine, LeafRepeat, bottom_of, fitting, top_of
from stavebound.book.named_arms import arms_rows
from stavebound.book.reading import amounts_used, in_key
from stavebound.book.repeats import repeat_picture, repeat_rows, white_over
from stavebound.book.scales import Pictured, pictures, strip, used_scales
from stavebound.book.values import Manuscript, Numbers, Sheet
from stavebound.engrave.columns import COUNTS
from stavebound.engrave.parts import NAMES, Setting
from stavebound.engrave.stack import StaveRow, system
from stavebound.engrave.system import System
from stavebound.proof.lines import DrawnLine
from stavebound.svg.draw import draw
from stavebound.trade.tables import KeyRow


@dataclass(frozen=True, slots=True)
class LeafStrip:
    """A line of the leaf with its picture as SVG."""

    name: str
    line: LeafLine
    svg: str

    @property
    def cells(self) -> Iterator[tuple[str, float]]:
        """The name of each frame and its room in millimetres."""
        names = (each.row.name for each in self.line.rows)
        return zip(names, self.line.rooms, strict=True)

    @property
    def said(self) -> str:
        """What the picture shows, in words."""
        return ". ".join(f"{each.row.name}: {each.row.meaning}" for each in self.line.rows)


def leaf_sheet(
    section: Section, manuscript: Manuscript, setting: Setting, numbers: Numbers
) -> tuple[Sheet, ...]:
    least = setting.at_height(setting.style.distance("leaf least stave height"))
    rows = _pictures(manuscript, setting, least, amounts_used(manuscript))
    signs, drawn = repeat_rows(manuscript, setting.catalogue), _repeats(manuscript, least)
    heights = (line.height / least.style.stave_height for line in drawn.values())
    repeats = tuple(
        LeafRepeat(row.meaning, height) for row, height in zip(signs, heights, strict=True)
    )
    paper = leaf_paper(manuscript.paper, setting.style)
    found = fitting(rows, paper, setting, repeats)
    drawn = _repeats(manuscript, setting.at_height(found.type.stave))
    numbered = count(1)
    pages = [
        [_strip(next(numbered), line, found.type.stave, least) for line in page]
        for page in found.pages
    ]
    html = section_page(
        section,
        manuscript,
        pages=pages,
        repeats=signs,
        half=paper.measure / 2,
        over=white_over(drawn),
        type=found.type,
    )
    images = (
        *((each.name, each.svg) for page in pages for each in page),
        *((name, line.svg) for name, line in drawn.items()),
    )
    return (Sheet(section.name, html, images, "arabic"),)


def _repeats(manuscript: Manuscript, setting: Setting) -> Mapping[str, DrawnLine]:
    """Their pictures by what they show."""
    rows = repeat_rows(manuscript, setting.catalogue)
    school, key = manuscript.school, manuscript.key
    return {row.feature: repeat_picture(row, setting, school, key) for row in rows}


def _pictures(
    manuscript: Manuscript, setting: Setting, least: Setting, amounts: Mapping[str, str]
) -> tuple[Pictured, ...]:
    """Those of the key, where they are the same but for their size. They have no line names."""
    large, texts = in_key(setting), setting.catalogue.lanes.text
    alike = large.style.alike(least.style, {row.size for row in texts if row.name != NAMES})
    rows, own = _rows(manuscript, setting), large if alike else least
    pictured = pictures(rows, own, manuscript.school, manuscript.key, amounts)
    space = least.style.space
    return tuple(replace(each, system=_on_leaf(each, space, setting)) for each in pictured)


def _on_leaf(pictured: Pictured, space: float, setting: Setting) -> System:
    """Its picture on staves of such spaces, in millimetres. A move goes from left to right, and
    needs no count there."""
    own = pictured.system
    if pictured.row.before and not pictured.row.phrased:
        texts = tuple(text for text in own.texts if text.lane != COUNTS)
        (stave,) = own.staves
        own = system((StaveRow(stave, texts),), own.bars, setting)
    return replace(own, space=space)


def _rows(manuscript: Manuscript, setting: Setting) -> Iterator[KeyRow]:
    """Those of the features that the book uses, what explains them, and the named arms."""
    table, used = setting.catalogue.key, frozenset(first_uses(manuscript))
    for scale in used_scales(used, table):
        yield from (row for row in table.rows_of(scale) if row.brought_by & used)
    yield from arms_rows(manuscript.school, setting.catalogue, manuscript.labels)


def _strip(at: int, line: LeafLine, stave: float, setting: Setting) -> LeafStrip:
    """On one stave from edge to edge."""
    space, systems = stave / 4, [each.system for each in line.rows]
    heights = bottom_of(line.rows, setting), top_of(line.rows, setting)
    drawing = strip(systems, [room / space for room in line.rooms], heights, setting)
    return LeafStrip(f"leaf {at}", line, draw(replace(drawing, unit=space), setting.faces))
