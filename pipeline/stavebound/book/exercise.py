"""Chapters: the exercises of a book as sheets of HTML.

In: an `Edition` and the setting. Out: a sheet a chapter, with its staves.
Headings go down in order; every line of music has a text that stands for it.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from stavebound.book.common import (
    caution_words,
    chapter_anchor,
    exercise_anchor,
    line_anchor,
    page,
    reading_of,
    words_of_layout,
)
from stavebound.book.values import Edition, Piece, Sheet
from stavebound.book.words import Reading, html_of, slug
from stavebound.engrave.parts import Setting
from stavebound.score.book import Chapter, Exercise, Paragraph
from stavebound.score.model import Prose
from stavebound.svg.draw import draw
from stavebound.wording.sentences import music_facts, start_words

# Texts of an exercise that stand before its staves, and after, in this order.
BEFORE = ("preparation",)
AFTER = ("finish", "times", "quality", "fault", "note", "variant", "caution", "source", "rights")
LISTED = ("quality", "fault")


@dataclass(frozen=True, slots=True)
class Line:
    """A line of music on a page: its image, the text that stands for it, and its anchor."""

    name: str
    alt: str
    anchor: str


def chapter_sheets(edition: Edition, setting: Setting) -> Iterator[Sheet]:
    """In their order, each made when it is asked for."""
    for index, chapter in enumerate(edition.plan.chapters, 1):
        yield _chapter_sheet(chapter, index, edition, setting)


def _chapter_sheet(chapter: Chapter, index: int, edition: Edition, setting: Setting) -> Sheet:
    anchor = chapter_anchor(index)
    images: list[tuple[str, str]] = []
    items: list[dict[str, object]] = []
    for item in chapter.items:
        if isinstance(item, Paragraph):
            items.append({"text": html_of(item.words, reading_of(edition, anchor))})
        else:
            piece = edition.piece(item.score)
            items.append(_exercise(item, piece, edition, setting))
            images += _staves(piece, setting)
    html = page(edition, "chapter.html", anchor=anchor, chapter=chapter, items=items)
    return Sheet(anchor, html, tuple(images), "arabic")


def _staves(piece: Piece, setting: Setting) -> Iterator[tuple[str, str]]:
    for index, system in enumerate(piece.systems):
        yield f"{piece.number}-{index}", draw(system, setting.faces)


def _exercise(
    item: Exercise, piece: Piece, edition: Edition, setting: Setting
) -> dict[str, object]:
    words, score = words_of_layout(edition), piece.score
    reading = reading_of(edition, slug(item.score))
    return {
        "exercise": score,
        "anchor": exercise_anchor(piece.number),
        "number": piece.number,
        "aim": [html_of(prose.words, reading) for prose in score.texts("aim")],
        "music": music_facts(score.music) if score.music else (),
        "character": html_of(score.music.words, reading) if score.music else "",
        "start": start_words(score, piece.school, edition.school, setting.catalogue),
        "before": list(_groups(piece, BEFORE, reading, setting)),
        "lines": [
            Line(
                f"{piece.number}-{index}",
                f"{words['bars']} {system.bars[0]}–{system.bars[1]}",
                line_anchor(piece.number, index),
            )
            for index, system in enumerate(piece.systems)
        ],
        "after": list(_groups(piece, AFTER, reading, setting)),
    }


def _groups(
    piece: Piece, kinds: tuple[str, ...], reading: Reading, setting: Setting
) -> Iterator[dict[str, object]]:
    """The texts of an exercise by kind, with the kind's label."""
    for kind in kinds:
        texts = [_text(prose, reading, setting) for prose in piece.score.texts(kind)]
        if texts:
            label = reading.labels[kind]
            yield {"kind": kind, "label": label, "texts": texts, "listed": kind in LISTED}


def _text(prose: Prose, reading: Reading, setting: Setting) -> dict[str, object]:
    words = caution_words(prose, setting.catalogue) if prose.kind == "caution" else prose.words
    return {
        "text": html_of(words, reading),
        "title": prose.get("title"),
        "by": ", ".join(filter(None, (prose.get("by"), prose.get("dated")))),
    }
