"""Chapters: the exercises of a book as sheets of HTML.

In: an `Edition` and the setting. Out: a sheet a chapter, with its staves.
Headings go down in order; every line of music has a text that stands for it.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from stavebound.book.common import (
    caution_html,
    chapter_anchor,
    exercise_anchor,
    in_labels,
    page,
    reading_of,
    words_of_layout,
)
from stavebound.book.values import Edition, Piece, Sheet
from stavebound.book.words import Reading, html_of, slug, term_anchor
from stavebound.engrave.parts import Setting
from stavebound.engrave.system import System
from stavebound.score.book import Chapter, Exercise, Paragraph
from stavebound.score.model import Prose
from stavebound.score.words import fold_name
from stavebound.svg.draw import draw
from stavebound.wording.sentences import music_facts, start_words

# Texts of an exercise that stand before its staves, and after, in this order.
BEFORE = ("preparation",)
AFTER = ("finish", "times", "quality", "fault", "note", "variant", "caution", "source", "rights")
LISTED = ("quality", "fault")


@dataclass(frozen=True, slots=True)
class Line:
    """A line of music on a page: its image, the text that stands for it, and an
    anchor for each word of the glossary that stands under it."""

    name: str
    alt: str
    anchors: tuple[str, ...]


def chapter_sheets(edition: Edition, setting: Setting) -> tuple[Sheet, ...]:
    return tuple(
        _chapter_sheet(chapter, index, edition, setting)
        for index, chapter in enumerate(edition.plan.chapters, 1)
    )


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
        "music": in_labels(music_facts(score.music, edition.labels), edition)
        if score.music
        else "",
        "character": html_of(score.music.words, reading) if score.music else "",
        "start": in_labels(
            start_words(score, piece.school, edition.school, setting.catalogue, edition.labels),
            edition,
        ),
        "before": list(_groups(piece, BEFORE, edition, reading, setting)),
        "lines": [
            Line(
                f"{piece.number}-{index}",
                f"{words['bars']} {system.bars[0]}–{system.bars[1]}",
                tuple(_step_anchors(system, index, reading)),
            )
            for index, system in enumerate(piece.systems)
        ],
        "after": list(_groups(piece, AFTER, edition, reading, setting)),
    }


def _step_anchors(system: System, index: int, reading: Reading) -> Iterator[str]:
    """An anchor for each entry of the glossary whose word is a step's name in this line."""
    steps = dict.fromkeys(fold_name(text.text) for text in system.texts if text.lane == "step")
    for step in steps:
        if entry := reading.entries.get(step):
            yield f"{term_anchor(entry.term)}{reading.where}.line.{index}"


def _groups(
    piece: Piece, kinds: tuple[str, ...], edition: Edition, reading: Reading, setting: Setting
) -> Iterator[dict[str, object]]:
    """The texts of an exercise by kind, with the kind's label."""
    for kind in kinds:
        texts = [_text(prose, edition, reading, setting) for prose in piece.score.texts(kind)]
        if texts:
            label = words_of_layout(edition)[kind]
            yield {"kind": kind, "label": label, "texts": texts, "listed": kind in LISTED}


def _text(prose: Prose, edition: Edition, reading: Reading, setting: Setting) -> dict[str, object]:
    usual = prose.kind == "caution" and not prose.words
    return {
        "text": caution_html(prose, edition, reading, setting.catalogue)
        if usual
        else html_of(prose.words, reading),
        "title": prose.get("title"),
        "by": ", ".join(filter(None, (prose.get("by"), prose.get("dated")))),
    }
