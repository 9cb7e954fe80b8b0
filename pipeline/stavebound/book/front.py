"""The front matter: title, imprint, cautions, contents and preface.

In: an `Edition` with its sections, the setting, the titles of all that comes after, and the
printed page number of every anchor. Out: a sheet.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass

from markupsafe import Markup

from stavebound.book.common import (
    caution_html,
    named,
    page,
    reading_of,
    section_page,
    usual_caution,
)
from stavebound.book.key import drawn
from stavebound.book.layouts import Section
from stavebound.book.values import Edition, Images, Numbers, Sheet, Title
from stavebound.book.words import Reading, html_of
from stavebound.engrave.parts import Setting
from stavebound.plan.book import Paragraph
from stavebound.readback.claims import Key
from stavebound.trade.tables import School

# What stands on the title page.
EMBLEM = '<feet in="fifth" front="right"/><arms in="overhead rounded"/>'
EMBLEM_HEIGHT = 16.0

Values = Mapping[str, object]


@dataclass(frozen=True, slots=True)
class FrontMaker:
    """What makes the values for a section's template. `bare` is with how many pages of empty
    margins it begins; `images` are the same however often the pages are set."""

    values: Callable[[Edition, Setting], Values] = lambda edition, setting: {}
    bare: int = 0
    images: Callable[[Edition, Setting], Images] = lambda edition, setting: ()


def front_sheet(
    sections: tuple[Section, ...],
    edition: Edition,
    setting: Setting,
    titles: tuple[Title, ...],
    numbers: Numbers,
    images: Images,
) -> Sheet:
    """`titles` are those of the contents; `images` are those of `front_images`."""
    made = [
        section_page(
            section,
            edition,
            **FRONT[section.make].values(edition, setting),
            contents=titles,
            numbers=numbers,
        )
        for section in sections
    ]
    html = page(edition, FRONT_PAGE, sections=map(Markup, made))
    bare = sum(FRONT[section.make].bare for section in sections)
    return Sheet("front", html, images, "roman", blind=tuple(range(bare)))


def front_images(sections: tuple[Section, ...], edition: Edition, setting: Setting) -> Images:
    makers = (FRONT[section.make] for section in sections)
    return tuple(image for maker in makers for image in maker.images(edition, setting))


def emblem(setting: Setting, school: School, key: Key) -> str:
    """The stave on the title page as SVG. PictureError where it cannot be drawn."""
    return drawn(EMBLEM, setting.at_height(EMBLEM_HEIGHT), school, key)


def _title_page(edition: Edition, setting: Setting) -> Values:
    plan, reading = edition.plan, reading_of(edition, "front")
    rights = [html_of(prose.words, reading) for prose in plan.texts("rights")]
    return {
        "named": named(edition),
        "imprint": _paragraphs(plan.imprint, reading),
        "rights": rights,
    }


def _title_images(edition: Edition, setting: Setting) -> Images:
    return (("emblem", emblem(setting, edition.school, edition.key)),)


def _said_before(edition: Edition, setting: Setting) -> Values:
    return {"cautions": list(_cautions(edition, reading_of(edition, "front"), setting))}


def _preface(edition: Edition, setting: Setting) -> Values:
    return {"preface": _paragraphs(edition.plan.preface, reading_of(edition, "front"))}


def _paragraphs(paragraphs: tuple[Paragraph, ...], reading: Reading) -> list[Markup]:
    return [html_of(paragraph.words, reading) for paragraph in paragraphs]


def _cautions(edition: Edition, reading: Reading, setting: Setting) -> Iterator[Markup]:
    """The book's own cautions, and of the usual ones those that every book prints."""
    said = {prose.get("about"): prose for prose in edition.plan.texts("caution")}
    for row in setting.catalogue.cautions.caution:
        if row.about in said:
            yield caution_html(said[row.about], edition, reading, setting.catalogue)
        elif row.always:
            yield usual_caution(row.about, edition, setting.catalogue)


# The sheet that holds the sections.
FRONT_PAGE = "front.html"
# What makes sections before the body, by name.
FRONT: Mapping[str, FrontMaker] = {
    "title": FrontMaker(_title_page, bare=2, images=_title_images),
    "cautions": FrontMaker(_said_before),
    "contents": FrontMaker(),
    "preface": FrontMaker(_preface),
}
