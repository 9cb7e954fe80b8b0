"""The front matter: title, imprint, cautions, contents and preface.

In: an `Edition`, the setting, the sections wanted, and the printed page number of every
anchor. Out: a sheet.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping

from markupsafe import Markup

from stavebound.book.common import (
    GLOSSARY,
    INDEX,
    MUSIC,
    READING,
    caution_html,
    chapter_anchor,
    exercise_anchor,
    in_labels,
    page,
    reading_of,
    usual_caution,
    words_of_layout,
)
from stavebound.book.key import drawn
from stavebound.book.values import Edition, Images, Sheet
from stavebound.book.words import Reading, html_of
from stavebound.engrave.parts import Setting
from stavebound.readback.claims import Key
from stavebound.trade.tables import School

# The sections there are, in their order, and how many pages with empty margins each begins with.
SECTIONS = {"title": 2, "cautions": 0, "contents": 0, "preface": 0}
# The label of a part's title, by its anchor.
TITLES = {READING: "reading", MUSIC: "music_list", GLOSSARY: "glossary", INDEX: "index"}
# What stands on the title page.
EMBLEM = '<feet in="fifth" front="right"/><arms in="overhead rounded"/>'
EMBLEM_HEIGHT = 16.0


def front_sheet(
    edition: Edition,
    setting: Setting,
    numbers: Mapping[str, str],
    sections: tuple[str, ...],
    images: Images,
    references: tuple[str, ...] = (),
    named: str | None = None,
) -> Sheet:
    """`images` are those of `front_images`, `references` the anchors of the parts behind the
    chapters; `named` is what the title page calls this edition."""
    plan, reading = edition.plan, reading_of(edition, "front")
    html = page(
        edition,
        "front.html",
        sections=sections,
        named=named,
        imprint=[html_of(paragraph.words, reading) for paragraph in plan.imprint],
        preface=[html_of(paragraph.words, reading) for paragraph in plan.preface],
        rights=[html_of(prose.words, reading) for prose in plan.texts("rights")],
        cautions=list(_cautions(edition, reading, setting)),
        contents=list(_contents(edition, references)),
        numbers=numbers,
    )
    bare = sum(SECTIONS[section] for section in sections)
    return Sheet("front", html, images, "roman", blind=tuple(range(bare)))


def front_images(edition: Edition, setting: Setting) -> Images:
    """The stave on the title page, proved; the same however often the pages are set."""
    return (("emblem", emblem(setting, edition.school, edition.key)),)


def emblem(setting: Setting, school: School, key: Key) -> str:
    """The stave on the title page as SVG. PictureError where it cannot be drawn."""
    return drawn(EMBLEM, setting.at_height(EMBLEM_HEIGHT), school, key)


def _cautions(edition: Edition, reading: Reading, setting: Setting) -> Iterator[Markup]:
    """The book's own cautions, and of the usual ones those that every book prints."""
    said = {prose.get("about"): prose for prose in edition.plan.texts("caution")}
    for row in setting.catalogue.cautions.caution:
        if row.about in said:
            yield caution_html(said[row.about], edition, reading, setting.catalogue)
        elif row.always:
            yield usual_caution(row.about, edition, setting.catalogue)


def _contents(edition: Edition, references: tuple[str, ...]) -> Iterator[dict[str, object]]:
    words = words_of_layout(edition)
    yield {"anchor": READING, "title": in_labels(words[TITLES[READING]], edition), "entries": ()}
    for index, chapter in enumerate(edition.plan.chapters, 1):
        pieces = [edition.piece(exercise.score) for exercise in chapter.exercises]
        yield {
            "anchor": chapter_anchor(index),
            "title": chapter.title,
            "entries": [
                (exercise_anchor(piece.number), piece.number, piece.score.title) for piece in pieces
            ],
        }
    for anchor in references:
        yield {"anchor": anchor, "title": in_labels(words[TITLES[anchor]], edition), "entries": ()}
