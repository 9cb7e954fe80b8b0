"""The front matter: half-title, title, imprint, cautions, contents and preface.

In: a `Manuscript` with its sections, the setting, the titles of all that comes after, and the
printed page number of every anchor. Out: a sheet.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass

from markupsafe import Markup

from stavebound.book.colophon import colophon
from stavebound.book.common import (
    caution_html,
    named,
    page,
    reading_of,
    section_page,
    usual_caution,
)
from stavebound.book.exercise import shown_line
from stavebound.book.layouts import Section
from stavebound.book.values import Images, Manuscript, Numbers, Piece, Sheet, Title
from stavebound.book.words import Meanings, ended, html_of
from stavebound.engrave.parts import Setting
from stavebound.plan.book import Paragraph

Values = Mapping[str, object]


@dataclass(frozen=True, slots=True)
class FrontMaker:
    """What makes the values for a section's template. `bare` is with how many pages of empty
    margins it begins; `images` are the same however often the pages are set."""

    values: Callable[[Manuscript, Setting], Values] = lambda manuscript, setting: {}
    bare: int = 0
    images: Callable[[Manuscript, Setting], Images] = lambda manuscript, setting: ()


def front_sheet(
    sections: tuple[Section, ...],
    manuscript: Manuscript,
    setting: Setting,
    titles: tuple[Title, ...],
    numbers: Numbers,
    images: Images,
) -> Sheet:
    """`titles` are those of the contents; `images` are those of `front_images`."""
    made = [
        section_page(
            section,
            manuscript,
            **FRONT[section.make].values(manuscript, setting),
            contents=titles,
            numbers=numbers,
        )
        for section in sections
    ]
    html = page(manuscript, FRONT_PAGE, sections=map(Markup, made))
    bare = sum(FRONT[section.make].bare for section in sections)
    return Sheet("front", html, images, "roman", blind=tuple(range(bare)))


def front_images(sections: tuple[Section, ...], manuscript: Manuscript, setting: Setting) -> Images:
    makers = (FRONT[section.make] for section in sections)
    return tuple(image for maker in makers for image in maker.images(manuscript, setting))


def _title_piece(manuscript: Manuscript) -> Piece:
    """The piece whose first line stands on the title page."""
    pieces, shown = dict(manuscript.pieces), manuscript.plan.shown
    filled = (piece for piece in pieces.values() if len(piece.lines) > 1)
    return pieces[shown] if shown else next(filled, next(iter(pieces.values())))


def _title_page(manuscript: Manuscript, setting: Setting) -> Values:
    plan, reading = manuscript.plan, reading_of(manuscript, "front")
    rights = [ended(html_of(prose.words, reading)) for prose in plan.texts("rights")]
    return {
        "named": named(manuscript),
        "line": shown_line(_title_piece(manuscript), 0, manuscript),
        "imprint": _paragraphs(plan.imprint, reading),
        "rights": rights,
        "colophon": colophon(manuscript),
    }


def _title_images(manuscript: Manuscript, setting: Setting) -> Images:
    piece = _title_piece(manuscript)
    return ((shown_line(piece, 0, manuscript).name, piece.lines[0].svg),)


def _said_before(manuscript: Manuscript, setting: Setting) -> Values:
    return {"cautions": list(_cautions(manuscript, reading_of(manuscript, "front"), setting))}


def _preface(manuscript: Manuscript, setting: Setting) -> Values:
    return {"preface": _paragraphs(manuscript.plan.preface, reading_of(manuscript, "front"))}


def _paragraphs(paragraphs: tuple[Paragraph, ...], reading: Meanings) -> list[Markup]:
    return [ended(html_of(paragraph.words, reading)) for paragraph in paragraphs]


def _cautions(manuscript: Manuscript, reading: Meanings, setting: Setting) -> Iterator[Markup]:
    """The book's own cautions, and of the usual ones those that every book prints."""
    said = {prose.get("about"): prose for prose in manuscript.plan.texts("caution")}
    for row in setting.catalogue.cautions.caution:
        if row.about in said:
            yield ended(caution_html(said[row.about], manuscript, reading, setting.catalogue))
        elif row.always:
            yield ended(usual_caution(row.about, manuscript, setting.catalogue))


# The sheet that holds the sections.
FRONT_PAGE = "front.html"
# What makes sections before the body, by name.
FRONT: Mapping[str, FrontMaker] = {
    "half-title": FrontMaker(bare=2),
    "title": FrontMaker(_title_page, bare=2, images=_title_images),
    "cautions": FrontMaker(_said_before),
    "contents": FrontMaker(),
    "preface": FrontMaker(_preface),
}
