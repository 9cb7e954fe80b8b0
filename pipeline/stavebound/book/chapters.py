"""Chapters, a sheet each.

In: the section, a `Manuscript` and the setting. Out: sheets with their staves. A chapter opens
with the most telling frame of its exercises, its own words and the list of them; what it says
between two exercises leads into the second. Each exercise begins a page.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator

from markupsafe import Markup

from stavebound.book.common import chapter_anchor, exercise_anchor, reading_of, section_page
from stavebound.book.exercise import exercise_images, exercise_page
from stavebound.book.layouts import Section
from stavebound.book.openers import emblem, first_met
from stavebound.book.values import Images, Manuscript, Piece, Sheet, Title
from stavebound.book.words import Meanings, ended, html_of
from stavebound.engrave.parts import Setting
from stavebound.plan.book import Chapter, Exercise, Paragraph

# The name of the picture on its first page.
EMBLEM = "emblem"


def chapter_sheets(section: Section, manuscript: Manuscript, setting: Setting) -> Iterator[Sheet]:
    """In their order, each made when it is asked for."""
    for index, chapter in enumerate(manuscript.plan.chapters, 1):
        yield _chapter_sheet(chapter, index, section, manuscript, setting)


def chapter_titles(section: Section, manuscript: Manuscript) -> Iterator[Title]:
    """Each chapter with its exercises."""
    for index, chapter in enumerate(manuscript.plan.chapters, 1):
        pieces = [manuscript.piece(exercise.score) for exercise in chapter.exercises]
        entries = (
            (exercise_anchor(piece.number), piece.number, piece.score.title) for piece in pieces
        )
        yield Title(chapter_anchor(index), chapter.title, tuple(entries), index)


def _chapter_sheet(
    chapter: Chapter, index: int, section: Section, manuscript: Manuscript, setting: Setting
) -> Sheet:
    anchor = chapter_anchor(index)
    reading = reading_of(manuscript, anchor)
    led, rest = _led(chapter)
    pieces = [manuscript.piece(exercise.score) for exercise in chapter.exercises]
    picture = emblem(pieces, setting, manuscript.key)
    opening = led[0][0] if led else rest
    items = [
        exercise_page(
            manuscript.piece(exercise.score),
            exercise.score,
            section,
            manuscript,
            setting,
            _paragraphs(lead if number else (), reading),
        )
        for number, (lead, exercise) in enumerate(led)
    ]
    html = section_page(
        section,
        manuscript,
        anchor=anchor,
        chapter=chapter,
        number=index,
        emblem=EMBLEM if picture else None,
        met=first_met(pieces, _before(index, manuscript), setting.catalogue.key),
        opening=_paragraphs(opening, reading),
        items=items,
        closing=_paragraphs(rest if led else (), reading),
    )
    openings = tuple(item.anchor for item in items)
    images = exercise_images(pieces, section, manuscript, setting)
    return Sheet(
        anchor,
        html,
        (*images, *_named(picture)),
        "arabic",
        openings=openings,
        facing=section.facing,
    )


def _before(index: int, manuscript: Manuscript) -> Iterator[Piece]:
    """The pieces of the chapters before the one of this number."""
    for chapter in manuscript.plan.chapters[: index - 1]:
        yield from (manuscript.piece(exercise.score) for exercise in chapter.exercises)


def _named(picture: str | None) -> Images:
    return ((EMBLEM, picture),) if picture else ()


def _paragraphs(paragraphs: Iterable[Paragraph], reading: Meanings) -> tuple[Markup, ...]:
    return tuple(ended(html_of(paragraph.words, reading)) for paragraph in paragraphs)


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
