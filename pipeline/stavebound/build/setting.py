"""Setting: a house in its styles.

In: the house, the styles laid over it, the last uppermost, and the language of a book's
text. Out: an `Outfit`: what its scores are engraved by and read back by, and what its books
print by themselves; with the faults of the styles.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, replace
from decimal import Decimal
from itertools import count

from stavebound.book.papers import Paper
from stavebound.build.values import House
from stavebound.check.books import check_style, check_styles_together
from stavebound.diagnostics import Diagnostic
from stavebound.engrave.style import Setting, Style, resolve_style
from stavebound.faces import Faces, load_faces
from stavebound.plan.book import DistanceSet, StyleSheet
from stavebound.plan.house_promises import with_house_promises
from stavebound.plan.house_signs import with_house_signs
from stavebound.readback.claims import ReadingKey
from stavebound.readback.read import reading_key
from stavebound.remembering import forget, remembered
from stavebound.trade.catalogue import Catalogue
from stavebound.trade.tables import School
from stavebound.wording.labels import ENGLISH
from stavebound.wording.translation import catalogue_in

DEFAULT_SCHOOL = "english"
# How many houses in their styles are remembered; after as many new ones, all is forgotten that
# follows from them.
OUTFITS = 12

_made = count(1)


@dataclass(frozen=True, slots=True)
class Outfit:
    """`setting` is what scores are engraved by, and `key` what they are read back by;
    `labels` is the language of what layouts print by themselves, `school` the one for books
    that name none."""

    setting: Setting
    key: ReadingKey
    labels: str
    school: str | None


@remembered(OUTFITS)
def outfit_of(sheets: tuple[StyleSheet, ...], house: House, language: str | None = None) -> Outfit:
    """`language` is that of the labels where no sheet has one. The same styles over the same
    house are one outfit, so that what was remembered of it holds for the next book too."""
    if next(_made) % OUTFITS == 0:
        forget()
    style = resolve_style(house.catalogue, sheets)
    labels = labels_of(sheets, language)
    catalogue = with_house_promises(catalogue_in(labels, house.catalogue), sheets)
    catalogue = with_house_signs(catalogue, sheets)
    setting = Setting(catalogue, style, house_faces(style, house))
    schools = (sheet.school for sheet in reversed(sheets) if sheet.school)
    return Outfit(setting, key_in(setting, house), labels, next(schools, None))


def on_paper(
    sheets: tuple[StyleSheet, ...], paper: Paper, distances: tuple[DistanceSet, ...] = ()
) -> tuple[StyleSheet, ...]:
    """The styles over what paper and edition say: the height of the staves, and these distances."""
    return (StyleSheet(stave_height=Decimal(str(paper.stave)), distances=distances), *sheets)


def setting_of(
    sheets: tuple[StyleSheet, ...], house: House, language: str | None = None
) -> Setting:
    """The house with what the sheets lay over its tables."""
    return outfit_of(sheets, house, language).setting


def labels_of(sheets: Iterable[StyleSheet], language: str | None = None) -> str:
    """The language of the labels: the styles', else the one of the text, else English."""
    own = [sheet.labels for sheet in sheets if sheet.labels]
    return own[-1] if own else language or ENGLISH


def key_in(setting: Setting, house: House) -> ReadingKey:
    """What the reader goes by in this setting."""
    return reading_key(setting.catalogue, house.table, house.anchors, setting.style.signs)


def house_faces(style: Style, house: House) -> Faces:
    """The faces that the style names, else the house's."""
    text, headings = style.type.text, style.type.headings
    return load_faces(text or house.faces.family, headings) if text or headings else house.faces


def style_faults(sheets: tuple[StyleSheet, ...], house: House) -> tuple[Diagnostic, ...]:
    """The faults of each style by itself, and of all together; each once."""
    alone = (fault for sheet in sheets for fault in check_style(sheet, house.catalogue))
    together = check_styles_together(sheets, house.catalogue)
    return tuple(dict.fromkeys((*alone, *together)))


def in_type(paper: Paper, style: Style) -> Paper:
    """The paper with the sizes of the style, in the edition's proportion to the book, and its
    binding margin; a size without leading has the paper's proportion."""
    own, led = style.type.size, style.type.leading
    size = float(own) * paper.enlarged if own else paper.type_size
    leading = float(led) * paper.enlarged if led else size * paper.leading / paper.type_size
    lines = int(paper.lines * paper.leading / leading)
    inside = paper.inside + style.binding
    return replace(paper, inside=inside, type_size=size, leading=leading, lines=lines)


def school_of(name: str | None, fallback: str | None, catalogue: Catalogue) -> School | None:
    """The school that reads a score: its own, else its book's; None where there is no such."""
    return catalogue.school(name or fallback or DEFAULT_SCHOOL)
