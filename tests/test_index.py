"""The index and the order of words."""

from __future__ import annotations

import re
from dataclasses import replace
from itertools import chain
from pathlib import Path

import pypdfium2
import pytest
from pyuca import Collator

from stavebound.book.collation import PART, collation_key
from stavebound.book.common import line_anchor
from stavebound.book.index import index_sheet
from stavebound.score.words import fold_name
from stavebound.wording.filing import filings
from stavebound.wording.labels import languages
from tests.support.manuscripts import SECTIONS, manuscript, one_chapter
from tests.support.pages import Tag, tree_of
from tests.support.staves import SETTING

SCORE = """
<start><feet in="first"/></start>
<phrase counts="8">
  <frame at="1" step="élevé"><feet on="half point"/></frame>
  <frame at="2"><feet on="whole foot"/></frame>
  <frame at="3" step="Demi-plié"><knees bend="half"/></frame>
  <frame at="4" step="demi-plié"><knees bend="none"/></frame>
</phrase>
"""


# The example words of the Unicode Collation Algorithm (Unicode Technical Standard 10, 1.1
# and 1.3): accents count only where letters are equal, capitals only where accents are.
@pytest.mark.parametrize(
    "words",
    [
        ("role", "roles", "rule"),
        ("role", "rôle", "roles"),
        ("role", "Role", "rôle"),
        ("cote", "coté", "côte", "côté"),
        ("demi-plié", "développé", "élevé", "en croix"),
    ],
)
def test_words_stand_where_a_reader_looks_for_them(words: tuple[str, ...]) -> None:
    mixed = list(reversed(words))
    assert sorted(mixed, key=collation_key) == list(words)


def test_words_of_european_letters_stand_as_by_the_whole_table() -> None:
    whole = Collator()
    words = [*map(chr, chain(*PART)), "Œuvre – l’été", "cœur", "a中", "ﬁn"]
    assert all(collation_key(word) == tuple(whole.sort_key(word)) for word in words)


GLOSSARY = """<glossary>
  <entry term='élevé' language='fr'>Up.</entry><entry term='arabesque' language='fr'>Long.</entry>
  <entry term='battement tendu' language='fr'>Stretched.</entry>
  <entry term='petit battement' language='fr'>Small.</entry><entry term='half point'>High.</entry>
  <entry term='posé' language='fr'>Placed.</entry><entry term='devant' language='fr'>Front.</entry>
</glossary>"""


def danced(*steps: str) -> str:
    frames = "".join(
        f'<frame at="{at}" step="{step}"><knees bend="{("none", "half")[at % 2]}"/></frame>'
        for at, step in enumerate(steps, 1)
    )
    return f'<start><feet in="first"/></start><phrase counts="{len(steps)}">{frames}</phrase>'


def index_of(score: str, numbers: dict[str, str], title: str = "") -> Tag:
    book = manuscript(one_chapter("one.xml") + GLOSSARY, {"one.xml": score})
    if title:
        ((path, piece),) = book.pieces
        piece = replace(piece, score=replace(piece.score, title=title))
        book = replace(book, pieces=((path, piece),))
    (sheet,) = index_sheet(SECTIONS["index"], book, SETTING, numbers)
    return tree_of(sheet.html)


def rows_of(*steps: str) -> list[str]:
    """The index of a book with a line for each of these, on a page of its own."""
    numbers = {"exercise-1": "1"} | {line_anchor(1, at): str(at + 1) for at in range(20)}
    page = index_of(danced(*steps), numbers)
    return [" ".join(item.text.split()) for item in page.all("li")]


def names_of(*steps: str) -> list[str]:
    return [re.sub(r" [\d, –]+$", "", row) for row in rows_of(*steps)]


def test_titles_and_steps_stand_in_one_order_with_their_pages_under_their_letters() -> None:
    numbers = {"exercise-1": "4", line_anchor(1, 0): "4"}
    page = index_of(SCORE, numbers)
    rows = [" ".join(item.text.split()) for item in page.all("li")]
    assert rows == ["Demi-plié 4", "élevé 4", "Example, An 4"]
    assert [head.text for head in page.all("h2")] == ["D", "E"]


def test_names_of_one_step_stand_together_however_they_are_inflected() -> None:
    assert names_of("arabesque", "arabesques", "petits battements", "Élevées") == [
        "arabesque",
        "élevé",
        "Example, An",
        "petit battement",
    ]


def test_what_says_more_than_a_headword_stands_under_it() -> None:
    assert names_of("arabesque", "1st arabesque", "curtsy", "deep curtsy", "élevé devant") == [
        "arabesque",
        "1st",
        "curtsy",
        "deep",
        "élevé",
        "devant",
        "Example, An",
    ]


def test_a_shorter_form_leads_to_the_whole_one() -> None:
    assert names_of("tendu") == ["battement tendu", "Example, An", "tendu, see battement tendu"]


def main_pages(title: str, *steps: str) -> dict[str, list[str]]:
    """The main pages of each headword in a book of one exercise, which begins on page 1."""
    score = danced(*steps)
    numbers = {"exercise-1": "1"} | {line_anchor(1, at): str(at + 2) for at in range(20)}
    page = index_of(score, numbers, title)
    return {
        item.attributes["data-word"]: main
        for item in page.all("li")
        if (main := [a.text for a in item.all("a") if a.attributes.get("class") == "main"])
    }


def test_the_main_page_of_a_step_is_where_a_title_names_it() -> None:
    found = main_pages("Tendus and Élevés", "élevé", "tendu", "arabesque")
    assert found == {"battement tendu": ["1–2"], "élevé": ["1–2"]}


def test_what_a_title_names_is_in_the_index_though_no_stave_names_it() -> None:
    """But neither the shorter name that is in a longer one nor what names no step."""
    found = main_pages("Petits battements, posés and point", "élevé")
    assert found == {"petit battement": ["1–2"], "posé": ["1–2"]}
    assert main_pages("At half point", "élevé") == {}


def test_every_title_that_names_a_step_has_its_main_page() -> None:
    titles = ("Arabesques with bends of the body", "An adage", "A third arabesque")
    paths = tuple(f"{at}.xml" for at in range(len(titles)))
    book = manuscript(one_chapter(*paths) + GLOSSARY, dict.fromkeys(paths, danced("arabesque")))
    pieces = tuple(
        (path, replace(piece, score=replace(piece.score, title=title)))
        for (path, piece), title in zip(book.pieces, titles, strict=True)
    )
    numbers = {f"exercise-{at}": str(at) for at in (1, 2, 3)}
    lines = {line_anchor(at, 0): str(at) for at in (1, 2, 3)}
    book = replace(book, pieces=pieces)
    (sheet,) = index_sheet(SECTIONS["index"], book, SETTING, numbers | lines)
    marked = [a.text for a in tree_of(sheet.html).all("a") if a.attributes.get("class") == "main"]
    assert marked == ["1", "3"]


@pytest.mark.parametrize("bare", ["in", "half", "back", "and out", "to the pianist", "double"])
def test_what_names_no_step_is_not_in_it(bare: str) -> None:
    assert names_of("élevé", bare) == ["élevé", "Example, An"]


def test_words_that_differ_by_their_accents_are_others() -> None:
    assert names_of("final pose") == ["Example, An", "final pose"]


TURNED = {
    ("en", "A study of the arabesques"): "Study of the arabesques,\u00a0A",
    ("en", "An adage"): "Adage,\u00a0An",
    ("en", "Andante"): "Andante",
    ("en", "A"): "A",
    ("fr", "Les pliés"): "Pliés,\u00a0Les",
    ("fr", "L’adage"): "Adage,\u00a0L’",
    ("fr", "A study"): "A study",
}


@pytest.mark.parametrize(("given", "turned"), TURNED.items())
def test_an_article_stands_behind_its_title(given: tuple[str, str], turned: str) -> None:
    language, title = given
    assert filings()[language].turned(title) == turned


@pytest.mark.parametrize("language", languages())
def test_every_language_files_its_words(language: str) -> None:
    filing = filings()[language]
    assert filing.articles
    assert filing.joins
    assert not filing.names_a_step(" ".join(sorted(filing.bare)))
    assert all(
        filing.stem("abcd" + old) == filing.stem("abcd" + new) for old, new in filing.endings
    )


def test_no_letter_ends_a_column(demonstration_book: Path) -> None:
    """The line below a letter's is an entry of its own, in the same column."""
    with pypdfium2.PdfDocument(demonstration_book) as document:
        texts = [page.get_textpage().get_text_range() for page in document]
    (first,) = (at for at, text in enumerate(texts) if "Index\r\n" in text and "capitals" in text)
    rows = [row.strip() for text in texts[first:] for row in text.splitlines()]
    letters = [at for at, row in enumerate(rows) if re.fullmatch("[A-Z]", row)]
    assert len(letters) > 10
    for at in letters:
        assert fold_name(rows[at + 1])[:1].upper() == rows[at]
