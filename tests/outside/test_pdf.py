"""Our PDF read by other people's programs, and its paper held against the standards.

Sources: ISO 216:2007, *Writing paper and certain classes of printed matter*
(A4 and A5); ANSI/ASME Y14.1 (size A, which is US Letter); ISO 32000-1 (PDF
syntax) as PDFium, qpdf and Poppler read it.
"""

import ctypes
import shutil
import subprocess
from collections.abc import Iterator
from datetime import UTC, datetime
from pathlib import Path

import pypdfium2
import pytest
from pypdfium2 import raw

from stavebound.faces import load_faces
from stavebound.press import (
    Chapter,
    Folios,
    Metadata,
    bind,
    leaves,
    margin_chapters,
    press_chapters,
)

POINTS_PER_MILLIMETRE = 72 / 25.4
# Width and height in millimetres.
PAPERS = {
    "A5": (148.0, 210.0),
    "A4": (210.0, 297.0),
    "Letter": (8.5 * 25.4, 11 * 25.4),
}
STAVE = """<svg xmlns="http://www.w3.org/2000/svg" width="80mm" height="16mm" viewBox="0 0 80 16">
<path d="M0,3.9L0,4.1L80,4.1L80,3.9ZM0,7.9L0,8.1L80,8.1L80,7.9Z"/>
<text x="1 20 40" y="14" font-family="Crimson Text, serif" font-size="3">123</text></svg>"""
BODY = """<!DOCTYPE html><html lang="en"><title>Pliés</title><body>
<h1 id="{key}">Pliés</h1><p>An <i>even</i> <b>demi-plié</b>.</p>
<img src="stave:line" alt="a stave"><p style="break-before: page">The end.</p></body></html>"""


def made_book(paper: str) -> bytes:
    css = f"""
    @page {{ size: {paper}; margin: 20mm }}
    html {{ font: 10pt "{load_faces().family}" }}"""
    chapters = [
        Chapter(key, BODY.format(key=key), (("line", STAVE),), folios, css)
        for key, folios in (("front", Folios.ROMAN), ("body", Folios.ARABIC))
    ]
    faces = load_faces()
    parts = press_chapters(chapters, faces)
    folios = f"""
    .leaf {{ font: 10pt "{faces.family}" }}
    .head {{ display: none }}
    .folio {{ bottom: 9mm; left: 50% }}"""
    layer = press_chapters(margin_chapters(leaves(parts), folios, "en", PAPERS[paper]), faces)
    about = Metadata("Pliés", "A. Notator", "A test", "en", datetime(2026, 1, 1, tzinfo=UTC))
    return bind(parts, layer, about)


@pytest.fixture(scope="module")
def a5() -> bytes:
    return made_book("A5")


@pytest.fixture
def document(a5: bytes) -> Iterator[pypdfium2.PdfDocument]:
    opened = pypdfium2.PdfDocument(a5)
    yield opened
    opened.close()


@pytest.mark.parametrize("paper", PAPERS)
def test_pages_have_the_size_of_the_standard(paper: str) -> None:
    """Media, trim and bleed box alike, within a twentieth of a millimetre."""
    width, height = (side * POINTS_PER_MILLIMETRE for side in PAPERS[paper])
    opened = pypdfium2.PdfDocument(made_book(paper))
    assert len(opened) == 4
    for page in opened:
        for box in (page.get_mediabox(), page.get_trimbox(), page.get_bleedbox()):
            within = 0.05 * POINTS_PER_MILLIMETRE
            assert box == pytest.approx((0, 0, width, height), abs=within)
    opened.close()


def test_pdfium_reads_the_text_of_every_page(document: pypdfium2.PdfDocument) -> None:
    words = [document[at].get_textpage().get_text_range().split() for at in range(len(document))]
    opening = ["Pliés", "An", "even", "demi-plié.", "1", "2", "3"]
    assert [sorted(page) for page in words] == [
        sorted([*opening, "i"]),
        sorted(["The", "end.", "ii"]),
        sorted([*opening, "1"]),
        sorted(["The", "end.", "2"]),
    ]


def test_pdfium_finds_ink_where_folios_stand(document: pypdfium2.PdfDocument) -> None:
    """The folio is drawn upright in the lower margin, not mirrored or at the page's head."""
    for page in document:
        text = page.get_textpage()
        last = len(text.get_text_range().rstrip()) - 1
        _left, bottom, _right, top = text.get_charbox(last)
        assert 0 < bottom < top < 20 * POINTS_PER_MILLIMETRE


def test_pdfium_finds_our_faces_only_and_all_of_them_embedded(
    document: pypdfium2.PdfDocument,
) -> None:
    names = set()
    for page in document:
        for drawn in page.get_objects([raw.FPDF_PAGEOBJ_TEXT], max_depth=5):
            font = raw.FPDFTextObj_GetFont(drawn)
            assert raw.FPDFFont_GetIsEmbedded(font) == 1
            names.add(base_name(font))
    assert names == {"Crimson-Text", "Crimson-Text-Italic", "Crimson-Text-Bold"}


def base_name(font: object) -> str:
    length = raw.FPDFFont_GetBaseFontName(font, None, 0)
    name = ctypes.create_string_buffer(length)
    raw.FPDFFont_GetBaseFontName(font, name, length)
    return name.value.decode().partition("+")[2]


def run(program: str, *arguments: object) -> str:
    found = shutil.which(program)
    if found is None:
        pytest.skip(f"{program} is not on this machine")
    command = [found, *map(str, arguments)]
    done = subprocess.run(command, capture_output=True, text=True, check=False)
    assert (done.returncode, done.stderr) == (0, "")
    return done.stdout


def test_qpdf_finds_no_fault(a5: bytes, tmp_path: Path) -> None:
    (tmp_path / "book.pdf").write_bytes(a5)
    assert "No syntax or stream encoding errors" in run("qpdf", "--check", tmp_path / "book.pdf")


def test_poppler_finds_embedded_subsets_of_our_faces(a5: bytes, tmp_path: Path) -> None:
    (tmp_path / "book.pdf").write_bytes(a5)
    rows = [row.split() for row in run("pdffonts", tmp_path / "book.pdf").splitlines()[2:]]
    assert rows
    for name, *_kind, embedded, subset, unicode_map, _number, _generation in rows:
        assert name.partition("+")[2].startswith("Crimson-Text")
        assert (embedded, subset, unicode_map) == ("yes", "yes", "yes")
