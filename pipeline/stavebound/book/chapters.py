"""Chapters of the teacher's book, a sheet each, and the pupils' cards.

In: an `Edition` and the setting. Out: sheets with their staves. A chapter opens with
its own words and the list of its exercises; what it says between two exercises leads
into the second. Each exercise begins a page.
"""

from __future__ import annotations

from collections.abc import Iterator

from stavebound.book.common import chapter_anchor, page, reading_of
from stavebound.book.exercise import exercise_page, note_images, stave_images
from stavebound.book.values import Edition, Images, Piece, Sheet
from stavebound.book.words import html_of
from stavebound.engrave.parts import Setting
from stavebound.score.book import Chapter, Exercise, Paragraph

# The texts of an exercise before its staves and after them, in this order.
BEFORE = ("preparation",)
AFTER = ("finish", "times", "quality", "fault", "note", "variant", "caution", "source", "rights")
ON_CARDS = ("finish", "times", "quality", "caution")


def chapter_sheets(edition: Edition, setting: Setting) -> Iterator[Sheet]:
    """In their order, each made when it is asked for."""
    for index, chapter in enumerate(edition.plan.chapters, 1):
        yield _chapter_sheet(chapter, index, edition, setting)


def card_sheets(edition: Edition, setting: Setting) -> tuple[Sheet, ...]:
    """All cards, one after the other, whatever their chapters."""
    items = [
        exercise_page(piece, path, edition, setting, BEFORE, ON_CARDS)
        for path, piece in edition.pieces
    ]
    html = page(edition, "cards.html", items=items)
    pieces = [piece for _, piece in edition.pieces]
    return (Sheet("cards", html, _images(pieces, edition, setting), "arabic"),)


def _chapter_sheet(chapter: Chapter, index: int, edition: Edition, setting: Setting) -> Sheet:
    anchor = chapter_anchor(index)
    reading = reading_of(edition, anchor)
    led, rest = _led(chapter)
    opening = led[0][0] if led else rest
    items = [
        exercise_page(
            edition.piece(exercise.score),
            exercise.score,
            edition,
            setting,
            BEFORE,
            AFTER,
            tuple(html_of(paragraph.words, reading) for paragraph in lead if number),
        )
        for number, (lead, exercise) in enumerate(led)
    ]
    html = page(
        edition,
        "chapter.html",
        anchor=anchor,
        chapter=chapter,
        opening=[html_of(paragraph.words, reading) for paragraph in opening],
        items=items,
        closing=[html_of(paragraph.words, reading) for paragraph in rest if led],
    )
    openings = tuple(item.anchor for item in items)
    pieces = [edition.piece(exercise.score) for exercise in chapter.exercises]
    return Sheet(anchor, html, _images(pieces, edition, setting), "arabic", openings=openings)


def _led(
    chapter: Chapter,
) -> tuple[list[tuple[tuple[Paragraph, ...], Exercise]], tuple[Paragraph, ...]]:
    """Each exercise with the paragraphs before it, and those behind the last."""
    led: list[tuple[tuple[Paragraph, ...], Exercise]] = []
    waiting: tuple[Paragraph, ...] = ()
    for item in chapter.items:
        if isinstance(item, Exercise):
            led.append((waiting, item))
            waiting = ()
        else:
            waiting = (*waiting, item)
    return led, waiting


def _images(pieces: list[Piece], edition: Edition, setting: Setting) -> Images:
    return (*note_images(pieces, edition, setting), *stave_images(pieces))
