"""The class made up into pages, on every paper and in the second house.

The laws of openings are of whole chapters, and made-up exercises (`test_spreads.py`) are not as
long as real ones. Two of the books are bound for other tests too; of the others the chapters are
engraved and pressed.
"""

from __future__ import annotations

import itertools
import re
from collections import Counter
from collections.abc import Iterator
from dataclasses import replace
from pathlib import Path
from statistics import mean

import pypdfium2
import pypdfium2.raw as raw
import pytest

from stavebound.book.common import page_css, spreads
from stavebound.book.editions import body_sheets
from stavebound.book.layouts import Asked
from stavebound.build.loading import load_project, load_style, with_style
from stavebound.build.manuscripts import manuscript_of
from stavebound.build.values import open_house
from stavebound.press import Chapter, Pressed, number_pages, press_chapters
from tests.support.class_books import BOOK as CLASS
from tests.support.class_books import ClassBook

BOOKS = Path(__file__).parents[1] / "books"
LARCHES = BOOKS / "houses" / "three-larches.xml"
# What no exercise of the class is to cost: it lies open, with all its staves on one page.
LAWS = (
    "list over the turn",
    "single staves",
    "few lines",
    "few words",
    "empty page",
    "turn",
    "staves parted",
    "list round staves",
    "staves before words",
)
# Characters of a full line, as they are easily read: the mean over the class. What is full, and
# how many characters a line of words can have.
READABLE, FULL, WORDS = (60, 70), 0.94, range(45, 100)
# The least type of running text, in points; what is smaller is for facts and notes.
TEXT = 9.5
PRESSED = [("Letter", None), ("A5", LARCHES)]


def pressed(paper: str, style: Path | None) -> tuple[Pressed, ...]:
    """The chapters of the class, with their exercises."""
    project = with_style(load_project(CLASS, str(CLASS)), load_style(style))
    book = manuscript_of(project, Asked(paper=paper), open_house()).value
    assert book is not None
    css, setting = page_css(book), spreads(book)
    sheets = (sheet for _, sheet in body_sheets(book, book.setting))
    made = (
        Chapter(
            sheet.key,
            sheet.html,
            sheet.images,
            css=css,
            openings=sheet.openings,
            spreads=replace(setting, facing=sheet.facing),
        )
        for sheet in sheets
        if sheet.key.startswith("chapter")
    )
    return press_chapters(made, book.faces)


@pytest.mark.parametrize("book", ["book_on_a5", "book_on_a4"])
def test_openings_keep_to_the_laws(book: str, request: pytest.FixtureRequest) -> None:
    bound: ClassBook = request.getfixturevalue(book)
    assert_lawful(bound.chapters)


@pytest.mark.parametrize(("paper", "style"), PRESSED)
def test_openings_of_another_keep_to_the_laws(paper: str, style: Path | None) -> None:
    assert_lawful(pressed(paper, style))


def assert_lawful(parts: tuple[Pressed, ...]) -> None:
    costs = Counter(
        name
        for part in parts
        for exercise in part.planned
        for page in exercise.pages
        for name, _ in page.costs
    )
    assert costs["page"] > 30
    assert not {name: costs[name] for name in LAWS if costs[name]}
    _no_page_is_empty_but_before_a_chapter(parts)
    sizes = {round(size, 2) for part in parts for size in _caution_sizes(part.pdf)}
    assert min(sizes) == max(sizes) >= TEXT, "cautions are in the type of the text on every paper"
    lengths = [length for part in parts for length in _full_lines(part.pdf)]
    assert len(lengths) > 300
    assert READABLE[0] <= mean(lengths) <= READABLE[1]


def _caution_sizes(pdf: bytes) -> Iterator[float]:
    """The type of the first letter behind the label of every caution, in points."""
    label = re.compile(r"(?:caution|précaution) (\w)", re.IGNORECASE)
    with pypdfium2.PdfDocument(pdf) as document:
        for page in document:
            text, matrix = page.get_textpage(), raw.FS_MATRIX()
            for found in label.finditer(text.get_text_range()):
                shown = raw.FPDFText_GetTextObject(text.raw, found.start(1))
                assert raw.FPDFPageObj_GetMatrix(shown, matrix)
                yield raw.FPDFText_GetFontSize(text.raw, found.start(1)) * abs(matrix.d)


def _full_lines(pdf: bytes) -> Iterator[int]:
    """How many characters have the lines that are as long as the longest of their page has
    them, words alone: counts and names stand apart."""
    with pypdfium2.PdfDocument(pdf) as document:
        for page in document:
            text = page.get_textpage()
            lines = [
                (line, text.get_charbox(at)[0], text.get_charbox(end)[2])
                for at, end, line in _lines(text.get_text_range())
            ]
            widest = max((right - left for _, left, right in lines), default=0)
            yield from (len(line) for line, left, right in lines if right - left > FULL * widest)


def _lines(text: str) -> Iterator[tuple[int, int, str]]:
    """Lines of words, each with the numbers of its first character and of its last."""
    for found in re.finditer(r"[^\r\n\ufffe\u0002]+", text):
        line = found.group().rstrip()
        if len(line) in WORDS and not re.search(r"\d .*\d .*\d ", line):
            yield found.start(), found.start() + len(line) - 1, line


def _no_page_is_empty_but_before_a_chapter(parts: tuple[Pressed, ...]) -> None:
    pages = number_pages(parts)
    for page, following in itertools.pairwise(pages):
        if page.part is None:
            assert following.page == 0
