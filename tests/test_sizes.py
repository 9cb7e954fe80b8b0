"""Staves in several sizes: larger where a card has room, smaller where a page has none.

The trial class is small: its cards are pressed twice, in some two seconds, and engraved once.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Sequence
from pathlib import Path

import pytest

from stavebound.book.blocks import Block, PlannedExercise, PlannedPage
from stavebound.book.common import page_css, spreads
from stavebound.book.editions import body_sheets
from stavebound.book.facing import with_staves
from stavebound.book.grid import POINTS
from stavebound.book.layouts import Asked
from stavebound.book.values import Manuscript
from stavebound.build.enlarging import enlarged, has_larger
from stavebound.build.loading import load_project, load_style, with_style
from stavebound.build.manuscripts import OnOnePage, manuscript_of
from stavebound.build.on_paper import Sizes, score_on_paper
from stavebound.build.sizes import on_one_page
from stavebound.build.values import open_house
from stavebound.press import Chapter, Pressed, press_chapters
from tests.support.staves import SYLLABUS

BOOKS = Path(__file__).parents[1] / "books"
TRIAL = BOOKS / "syllabus" / "trial.xml"
LARCHES = BOOKS / "houses" / "three-larches.xml"


@pytest.fixture(scope="module")
def book() -> Manuscript:
    return cards()


def cards(style: Path | None = None) -> Manuscript:
    return in_print(Asked("cards", "A5"), style)


def in_print(asked: Asked, style: Path | None = None) -> Manuscript:
    project = with_style(load_project(TRIAL, str(TRIAL)), load_style(style))
    book = manuscript_of(project, asked, open_house()).value
    assert book is not None
    return book


def pressed(book: Manuscript) -> tuple[Pressed, ...]:
    css, setting = page_css(book), spreads(book)
    sheets = (sheet for _, sheet in body_sheets(book, book.setting))
    made = (
        Chapter(sheet.key, sheet.html, sheet.images, css=css, spreads=setting) for sheet in sheets
    )
    return press_chapters(made, book.faces)


def test_staves_of_a_card_are_as_large_as_its_page_has_room_for(book: Manuscript) -> None:
    made = enlarged(book, pressed(book), 1)
    larger, usual = made.value, book.setting.style.stave_height
    assert larger is not None
    assert not made.diagnostics
    heights = [height(larger, path) for path, _ in larger.pieces]
    assert has_larger(book)
    assert set(heights) <= {size.style.stave_height for size in book.sizes}
    assert max(heights) > usual
    plans = [plan for part in pressed(larger) for plan in part.planned]
    assert all(len(plan.pages) == 1 for plan in plans)
    assert [piece.number for _, piece in larger.pieces] == [
        piece.number for _, piece in book.pieces
    ]


def test_an_exercise_is_smaller_where_its_chapter_has_it_on_one_page_then() -> None:
    book = in_print(Asked("teacher", "A4"))
    usual, smaller, *_ = (size.style.stave_height for size in book.sizes)
    ((first, piece),) = book.pieces
    lines = [line.height * POINTS for line in piece.lines]
    setting = spreads(book)
    white = (len(lines) - 1) * setting.apart + setting.half * 4
    fills = setting.depth - white - sum(lines) * (smaller / usual)
    for words, taken in ((fills, smaller), (setting.depth, usual)):
        part = Pressed("chapter", b"", 2, planned=(two_pages(words, lines),))
        assert height(on_one_page(book, (part,), 1), first) == taken


def two_pages(words: float, staves: Sequence[float]) -> PlannedExercise:
    """What is planned of an exercise with text so high over its staves."""
    blocks = with_staves((Block(words, group=1), Block(1, staves=True)), staves)
    pages = (PlannedPage(0, (0.0,), words), PlannedPage(1, (0.0,), 0.0))
    return PlannedExercise(pages, forms=(blocks,))


def height(book: Manuscript, path: str) -> float:
    """Of the staves of a piece, which has one."""
    (space,) = {line.space for line in book.piece(path).lines}
    return round(space * 4, 6)


def test_a_style_that_sets_a_height_has_no_other_size() -> None:
    assert not cards(LARCHES).sizes


@pytest.mark.parametrize("taken", [13.0, 10.0, 9.0])
def test_the_largest_size_with_room_is_taken_and_the_usual_one_where_none_has(
    book: Manuscript, taken: float
) -> None:
    """Room is what the staves of one size take: for larger ones it is too little."""
    room = sum(lines_in((taken,), 1000, book).values())
    assert set(lines_in((13, 10, 9), room, book)) == {taken}
    assert set(lines_in((13, 10, 9), 1, book)) == {book.setting.style.stave_height}


def lines_in(heights: Sequence[float], room: float, book: Manuscript) -> dict[float, float]:
    """The heights of the lines that are engraved, added up by that of their staves."""
    _, piece = book.pieces[0]
    own = tuple(book.setting.at_height(size) for size in heights)
    sizes = Sizes(own, OnOnePage(room + 0.01, 0))
    found = score_on_paper(
        piece.score, None, SYLLABUS.paper("A5"), book.setting, book.key, sizes=sizes
    )
    assert found.value is not None
    added: dict[float, float] = defaultdict(float)
    for line in found.value.lines:
        added[round(line.space * 4, 6)] += line.height
    return added


@pytest.mark.parametrize(
    ("heights", "fit"), [((40, 40), True), ((48, 48), True), ((49, 48), False), ((97,), True)]
)
def test_lines_have_room_with_the_white_between_them(heights: Sequence[float], fit: bool) -> None:
    assert OnOnePage(100, 4)(heights) is fit


def test_words_keep_their_order_round_staves_of_other_heights() -> None:
    title, words, last = Block(26, kept=True), Block(40, before=6), Block(13, before=6)
    blocks = (title, words, Block(90, staves=True), Block(91, staves=True), last)
    staves = (Block(70, staves=True), Block(71, staves=True), Block(72, staves=True))
    assert with_staves(blocks, (70, 71, 72)) == (title, words, *staves, last)
