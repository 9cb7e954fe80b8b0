"""The demonstration book as it comes from the press, read by libraries that did not make it."""

from __future__ import annotations

import re
from collections.abc import Iterator
from pathlib import Path

import pikepdf
import pypdfium2
import pytest

from stavebound.build.books import build_book
from stavebound.build.values import open_house

SOURCE = Path(__file__).parents[1] / "books" / "syllabus" / "book.xml"


@pytest.fixture(scope="module")
def path(tmp_path_factory: pytest.TempPathFactory) -> Path:
    out = tmp_path_factory.mktemp("demo") / "syllabus.pdf"
    report = build_book(SOURCE, out, "A5", 2, open_house(), lambda what: None)
    assert report.diagnostics == ()
    return out


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


def test_it_holds_all_its_parts_in_order(texts: list[str]) -> None:
    openings = (
        "The Patient Foot",
        "Before you dance",
        "Contents",
        "To the reader",
        "How to read the stave",
        "Signs used in this book",
        "At the barre",
        "In the centre",
        "Glossary",
    )
    pages = [next(n for n, text in enumerate(texts) if text.startswith(o)) for o in openings]
    assert pages == sorted(pages)
    assert len(texts) >= 8


def test_each_exercise_has_its_title_on_the_page_of_its_first_line(texts: list[str]) -> None:
    titles = ("1 Pliés", "2 Battements tendus and glissés", "3 Fondus, temps lié and relevé lent")
    for title in titles:
        body = texts.index(next(text for text in texts if text.startswith("How to read")))
        (page,) = [text for text in texts[body:] if title in text]
        assert "top of head" in page


def test_roman_folios_in_front_and_arabic_after_odd_pages_on_the_right(texts: list[str]) -> None:
    first = next(n for n, text in enumerate(texts) if text.startswith("How to read"))
    assert first % 2 == 0
    folios = [(re.findall(r"([ivx]+|\d+)$", text) or [""])[0] for text in texts]
    for page, (text, folio) in enumerate(zip(texts, folios, strict=True)):
        if text and page >= first:
            assert folio == str(page - first + 1)
    assert folios[2:5] == ["iii", "iv", "v"]


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


def test_the_outline_has_chapters_and_exercises(path: Path) -> None:
    with pypdfium2.PdfDocument(path) as document:
        rows = [(item.level, item.get_title()) for item in document.get_toc()]
    assert (0, "At the barre") in rows
    assert (1, "1 Pliés") in [(level, " ".join(title.split())) for level, title in rows]
    assert rows[-1] == (0, "Glossary")


def test_every_face_is_the_books_own_and_embedded(pdf: pikepdf.Pdf) -> None:
    fonts = [
        font for page in pdf.pages for font in page.resources.get("/Font", {}).values()
    ]  # fmt: skip
    assert fonts
    for font in fonts:
        descriptor = font.DescendantFonts[0].FontDescriptor
        assert "Crimson" in str(descriptor.FontName)
        assert "/FontFile2" in descriptor


def test_the_key_shows_what_is_used_and_nothing_else(texts: list[str]) -> None:
    key = " ".join(text for text in texts if "Signs used in this book" in text)
    assert "third position" in key
    assert "on point" in key
    assert "behind the body" not in key
