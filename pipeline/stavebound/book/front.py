"""The front matter: title, imprint, cautions, contents and preface.

In: an `Edition`, the setting and the printed page number of every anchor.
Out: a sheet.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping

from markupsafe import Markup

from stavebound.book.common import (
    GLOSSARY,
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
from stavebound.book.values import Edition, Sheet
from stavebound.book.words import Reading, html_of
from stavebound.engrave.parts import Setting
from stavebound.score.book import Exercise


def front_sheet(edition: Edition, setting: Setting, numbers: Mapping[str, str]) -> Sheet:
    plan, reading = edition.plan, reading_of(edition, "front")
    html = page(
        edition,
        "front.html",
        imprint=[html_of(paragraph.words, reading) for paragraph in plan.imprint],
        preface=[html_of(paragraph.words, reading) for paragraph in plan.preface],
        rights=[html_of(prose.words, reading) for prose in plan.texts("rights")],
        cautions=list(_cautions(edition, reading, setting)),
        contents=list(_contents(edition)),
        numbers=numbers,
    )
    return Sheet("front", html, (), "roman", blind=(0, 1))


def _cautions(edition: Edition, reading: Reading, setting: Setting) -> Iterator[Markup]:
    """The book's own cautions, and of the usual ones those that every book prints."""
    said = {prose.get("about"): prose for prose in edition.plan.texts("caution")}
    for row in setting.catalogue.cautions.caution:
        if row.about in said:
            yield caution_html(said[row.about], edition, reading, setting.catalogue)
        elif row.always:
            yield usual_caution(row.about, edition, setting.catalogue)


def _contents(edition: Edition) -> Iterator[dict[str, object]]:
    words = words_of_layout(edition)
    yield {"anchor": READING, "title": in_labels(words["reading"], edition), "entries": ()}
    for index, chapter in enumerate(edition.plan.chapters, 1):
        pieces = [edition.piece(item.score) for item in chapter.items if isinstance(item, Exercise)]
        yield {
            "anchor": chapter_anchor(index),
            "title": chapter.title,
            "entries": [
                (exercise_anchor(piece.number), piece.number, piece.score.title) for piece in pieces
            ],
        }
    if edition.plan.glossary:
        yield {"anchor": GLOSSARY, "title": in_labels(words["glossary"], edition), "entries": ()}
