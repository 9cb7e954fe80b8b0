"""The demonstration book as it comes from the press, read by libraries that did not make it."""

from __future__ import annotations

import ctypes
import re
from collections.abc import Iterator
from dataclasses import dataclass
from itertools import pairwise
from pathlib import Path

import pikepdf
import pypdfium2
import pytest
from pypdfium2 import raw

from stavebound.book.grid import POINTS
from stavebound.book.papers import Paper
from stavebound.build.loading import load_project
from stavebound.plan.book import BookPlan
from tests.support.staves import PAPERS

# PDF points to a pixel of CSS, in which the press says sizes of type.
CSS_PIXEL = 0.75
SOURCE = Path(__file__).parents[1] / "books" / "syllabus" / "book.xml"


@pytest.fixture(scope="module")
def path(demonstration_book: Path) -> Path:
    return demonstration_book


@pytest.fixture(scope="module")
def texts(path: Path) -> list[str]:
    """The text of each page, white space folded."""
    with pypdfium2.PdfDocument(path) as document:
        return [" ".join(_text(document, index).split()) for index in range(len(document))]


def _text(document: pypdfium2.PdfDocument, index: int) -> str:
    page = document[index]
    textpage = page.get_textpage()
    text = textpage.get_text_bounded()
    textpage.close()
    page.close()
    return str(text)


@pytest.fixture
def pdf(path: Path) -> Iterator[pikepdf.Pdf]:
    with pikepdf.open(path) as document:
        yield document


@pytest.fixture(scope="module")
def plan() -> BookPlan:
    plan = load_project(SOURCE, SOURCE.name).plan
    assert plan is not None
    return plan


@pytest.fixture(scope="module")
def places(path: Path) -> dict[str, int]:
    """The page, counted from 0, that each anchor stands on."""
    with pikepdf.open(path) as document:
        pages: dict[object, int] = {page.objgen: at for at, page in enumerate(document.pages)}
        names = pikepdf.NameTree(document.Root.Names.Dests)
        return {name: pages[goal[0].objgen] for name, goal in names.items()}


def test_it_holds_all_its_parts_in_order(
    texts: list[str], plan: BookPlan, places: dict[str, int]
) -> None:
    front = (plan.title, "Before you dance", "Contents", "To the reader")
    pages = [next(n for n, text in enumerate(texts) if text.startswith(o)) for o in front]
    chapters = [f"chapter-{number + 1}" for number in range(len(plan.chapters))]
    pages += [places[name] for name in ("reading", "key", *chapters, "music", "glossary", "index")]
    assert pages == sorted(pages)
    numerals = ("I", "II", "III", "IV", "V", "VI", "VII", "VIII")
    for name, numeral, chapter in zip(chapters, numerals, plan.chapters, strict=True):
        assert texts[places[name]].startswith(f"{numeral} {chapter.title}")


def test_each_exercise_has_its_title_on_the_page_of_its_first_line(
    texts: list[str], plan: BookPlan, places: dict[str, int]
) -> None:
    """Or on the left page that faces it."""
    for number in range(1, len(plan.exercises) + 1):
        at = places[f"exercise-{number}"]
        faced = at + (at % 2 == 1)
        assert "top of head" in texts[at] + texts[faced]
        assert re.search(rf"(^| ){number} \w", texts[at])


def test_an_exercise_of_two_pages_lies_open_at_once(
    plan: BookPlan, places: dict[str, int], texts: list[str]
) -> None:
    starts = sorted(
        at for name, at in places.items() if re.match(r"(exercise|chapter)-|music$", name)
    )
    openings = {places[f"exercise-{number + 1}"] for number in range(len(plan.exercises))}
    for start, end in pairwise(starts):
        filled = [page for page in range(start, end) if texts[page]]
        if start in openings and len(filled) == 2:
            assert start % 2 == 1


def test_roman_folios_in_front_and_arabic_after_odd_pages_on_the_right(texts: list[str]) -> None:
    first = next(n for n, text in enumerate(texts) if text.startswith("How to read"))
    assert first % 2 == 0
    folios = [(re.findall(r"([ivx]+|\d+)$", text) or [""])[0] for text in texts]
    for page, (text, folio) in enumerate(zip(texts, folios, strict=True)):
        if text and page >= first:
            assert folio == str(page - first + 1)
    assert folios[4:7] == ["v", "vi", "vii"]


def test_page_labels_say_the_same(pdf: pikepdf.Pdf) -> None:
    labels = [page.label for page in pdf.pages]
    assert labels[:5] == ["i", "ii", "iii", "iv", "v"]
    assert "1" in labels
    assert labels[labels.index("1") + 1] == "2"


def test_links_lead_somewhere_in_the_book(pdf: pikepdf.Pdf) -> None:
    pages = {page.objgen for page in pdf.pages}
    links = [
        annotation
        for page in pdf.pages
        for annotation in page.get("/Annots", [])
        if annotation.get("/Subtype") == "/Link"
    ]
    assert len(links) > 50
    names = pikepdf.NameTree(pdf.Root.Names.Dests)
    for link in links:
        named = link.get("/Dest") or link.A.D
        destination = names[str(named)] if isinstance(named, pikepdf.String) else named
        assert destination[0].objgen in pages


def test_the_outline_has_chapters_and_exercises(path: Path, plan: BookPlan) -> None:
    with pypdfium2.PdfDocument(path) as document:
        rows = [(item.level, " ".join(item.get_title().split())) for item in document.get_toc()]
    top = [title for level, title in rows if level == 0]
    assert top[-len(plan.chapters) - 4 :] == [
        *(chapter.title for chapter in plan.chapters),
        *("Music", "Glossary", "Index", "The signs on one leaf"),
    ]
    exercises = [title for level, title in rows if level == 1 and title[0].isdecimal()]
    assert [title.split()[0] for title in exercises] == [
        str(at + 1) for at in range(len(plan.exercises))
    ]


def test_every_face_is_the_books_own_and_embedded(pdf: pikepdf.Pdf) -> None:
    fonts = [
        font for page in pdf.pages for font in page.resources.get("/Font", {}).values()
    ]  # fmt: skip
    assert fonts
    for font in fonts:
        descriptor = font.DescendantFonts[0].FontDescriptor
        assert "Crimson" in str(descriptor.FontName)
        assert "/FontFile2" in descriptor


def test_the_key_shows_what_is_used_and_what_is_easily_taken_for_it(
    texts: list[str], places: dict[str, int]
) -> None:
    key = " ".join(texts[places["key"] : places["chapter-1"]])
    for said in ("half point across the floor line", "point on top of the floor line"):
        assert said in key
    assert key.count("fully, behind") == 2, "knees; and elbows, of which none is bent so"


def test_running_text_stands_on_the_baseline_grid(path: Path, places: dict[str, int]) -> None:
    """Every line of text of the size of running text, but for the key and what stands in
    staves and margins, is so many half lines below the first; half lines part the texts of an
    exercise, and two of them make a line before its staves."""
    paper = PAPERS["A5"]
    half = paper.leading / 2
    key = range(places["key"], places["chapter-1"])
    offsets = []
    with pypdfium2.PdfDocument(path) as document:
        for index in (index for index in range(len(document)) if index not in key):
            offsets += [line.below % half for line in _lines(document[index], paper)]
    assert len(offsets) > 300
    assert max(offsets) - min(offsets) < 0.2


def test_an_exercise_of_two_pages_lies_open_and_no_page_is_left_empty_for_it(
    texts: list[str], places: dict[str, int]
) -> None:
    starts = sorted(at for name, at in places.items() if re.fullmatch(r"exercise-\d+", name))
    chapters = {at for name, at in places.items() if re.fullmatch(r"chapter-\d+", name)}
    two = 0
    for start, following in pairwise(starts):
        if chapters.isdisjoint(range(start, following)):
            assert all(texts[start:following])
            if following - start == 2:
                assert start % 2 == 1
                two += 1
    assert two > 15


def test_no_label_of_a_list_is_parted_from_it(path: Path, places: dict[str, int]) -> None:
    paper = PAPERS["A5"]
    with pypdfium2.PdfDocument(path) as document:
        pages = [_lines(page, paper) for page in document]
    lasts = [page[-1].text for page in pages[places["chapter-1"] :] if page]
    assert not [last for last in lasts if last in ("QUALITIES", "COMMON FAULTS")]


@dataclass(frozen=True, slots=True)
class Line:
    """A line of running text: how far its baseline is below the top of the type area, in
    points."""

    below: float
    text: str


def _lines(page: pypdfium2.PdfPage, paper: Paper) -> list[Line]:
    """From above, all that is of the size of running text and stands within the type area."""
    top, textpage = (paper.height - paper.top) * POINTS, page.get_textpage()
    found: dict[float, str] = {}
    for index in range(textpage.count_chars()):
        x, y = ctypes.c_double(), ctypes.c_double()
        raw.FPDFText_GetCharOrigin(textpage, index, x, y)
        size = raw.FPDFText_GetFontSize(textpage, index) * CSS_PIXEL
        if abs(size - paper.type_size) < 0.01 and 0 < top - y.value < paper.depth * POINTS:
            below, letter = round(top - y.value, 1), chr(raw.FPDFText_GetUnicode(textpage, index))
            found[below] = found.get(below, "") + letter
    textpage.close()
    return [Line(below, text.strip()) for below, text in sorted(found.items())]
