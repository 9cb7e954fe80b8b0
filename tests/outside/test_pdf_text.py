"""Text that is taken from the finished PDF, searched or copied, says what the page says.

PDFium (through pypdfium2) tells it. What is drawn and stands for a word has that word; figures
that are set apart are one amount; and what stands first on the page is told first. Source of
replaced text: ISO 32000-1, 14.9.4; of letters that look alike, Unicode 15, chapter 23.
"""

from __future__ import annotations

import re
from itertools import pairwise
from pathlib import Path

import pypdfium2
import pytest

from stavebound.book.tempo import note_drawing
from stavebound.svg.draw import draw
from stavebound.svg.staves import draw_staves
from stavebound.trade.notes import Note
from tests.support.press_samples import page_texts, pressed
from tests.support.staves import CATALOGUE, FACES, engraved, small_score

# Amounts of turns as they are written, and as they are copied.
AMOUNTS = {"1/8": "⅛", "3/8": "⅜", "5/8": "⅝", "1 7/8": "1⅞", "1/4": "¼", "1 1/2": "1½"}
# More characters than these has a line of a paragraph.
LONG = 45
# Letters joined in one glyph, and what else stands for plain letters: none is told.
JOINED = re.compile("[\ufb00-\ufb06\ue000-\uf8ff\ufffd]")


@pytest.fixture(scope="module")
def pages(demonstration_book: Path) -> list[str]:
    with pypdfium2.PdfDocument(demonstration_book) as document:
        return [page.get_textpage().get_text_range() for page in document]


def turns(*amounts: str) -> str:
    frames = "".join(
        f'<frame at="{at}"><turn to="right" by="{by}" on="both"/></frame>'
        for at, by in enumerate(amounts, 1)
    )
    score = small_score(
        f'<start><feet in="first"/></start><phrase counts="{len(amounts)}">{frames}</phrase>'
    )
    (system,) = engraved(score).systems
    return draw_staves(system, FACES)


def test_figures_of_a_fraction_are_one_amount() -> None:
    """Also where several stand in one row."""
    (text,) = page_texts(pressed((("turns", turns(*AMOUNTS)),)))
    assert " ".join(AMOUNTS.values()) in " ".join(text.split())


@pytest.mark.parametrize("language", ["en", "fr"])
@pytest.mark.parametrize("note", CATALOGUE.notes.note, ids=lambda note: note.name["en"])
def test_a_note_is_copied_by_its_name(note: Note, language: str) -> None:
    svg = draw(note_drawing(note, 10.5, CATALOGUE.notes, language), FACES)
    pdf = pressed((), '<p>Music: <img src="stave:note"> = 44; four</p>', ("note", svg))
    assert f"Music: {note.name[language]} = 44; four" in page_texts(pdf)[0]


def test_every_tempo_of_the_book_says_its_note(pages: list[str]) -> None:
    names = "|".join(note.name["en"] for note in CATALOGUE.notes.note)
    told = re.findall(r"(.*?)\s=\s\d", " ".join(pages))
    heads = re.findall(rf"\b(?:{names})\s=\s\d", " ".join(pages))
    assert len(heads) > 60, "at the head of each score, and in the list of the music"
    assert not [words for words in told if not re.search(rf"({names}|1)$", words)]


def test_a_line_of_staves_is_told_in_order() -> None:
    """The names of the lines, a metre among the counts, the steps; a change where it stands."""
    frames = '<frame at="1" step="plié"><knees bend="half"/></frame>'
    frames += '<frame at="3" step="rise"><knees bend="none"/></frame>'
    inside = (
        f'<start><feet in="first"/></start><phrase counts="4">{frames}'
        '<bar at="3" metre="2/4"/></phrase>'
    )
    (system,) = engraved(small_score(inside, '<music metre="3/4" tempo="60"/>')).systems
    (text,) = page_texts(pressed((("line", draw_staves(system, FACES)),)))
    said = " ".join(text.split())
    assert re.match(
        r"top of head shoulder waist knee floor .*= 60 3/4 1 2 2/4 3 4 plié rise", said
    ), said


def test_no_paragraph_ends_in_a_line_of_one_short_word(pages: list[str]) -> None:
    """A line that goes on, and below it one word that ends a sentence."""
    lines = [line.strip() for text in pages for line in text.splitlines()]
    alone = [
        (above, line)
        for above, line in pairwise(lines)
        if len(above) > LONG and above[-1] not in ".?!" and re.fullmatch(r"\w{1,4}[.?!]", line)
    ]
    assert sum(len(line) > LONG for line in lines) > 500
    assert alone == []


def test_hyphens_are_copied_as_the_source_has_them(pages: list[str]) -> None:
    told = "".join(pages)
    assert "\u2010" not in told
    assert "demi-plié" in told


def test_what_stands_first_on_a_page_is_told_first(pages: list[str]) -> None:
    """What is said of an exercise, then the staves with their counts and steps."""
    page = next(at for at, text in enumerate(pages) if "Feet in first; right arm" in text)
    both = "".join(pages[page : page + 2])
    order = ["Pliés", "Feet in first", "closing chord", "1 2 3 4 5 6", "demi-plié grand plié"]
    assert [both.index(words) for words in order] == sorted(map(both.index, order))


def test_letters_are_told_as_plain_ones(pages: list[str]) -> None:
    told = "".join(pages)
    assert {"first", "fifth", "floor", "finish"} <= {
        word.lower() for word in re.findall(r"\w+", told)
    }
    assert JOINED.findall(told) == []
