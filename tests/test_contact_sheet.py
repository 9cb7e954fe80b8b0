"""All pages of the demonstration book, small, beside each other, as they were last looked at.

`pytest --update-references` draws the sheet anew where a page has changed; then look at it.
"""

from __future__ import annotations

from pathlib import Path

import pypdfium2
import pytest
from PIL import Image, ImageChops, ImageStat

from stavebound.book.editions import TEACHER
from stavebound.build.books import build_book
from stavebound.build.values import open_house

BOOK = Path(__file__).parents[1] / "books" / "syllabus" / "book.xml"
SHEET = Path(__file__).parent / "references" / "contact-sheet.png"
# Pixels to a point, pages side by side, and white between them in pixels.
SCALE, COLUMNS, BETWEEN = 0.25, 12, 4
# The mean difference of two pages, of 255 shades, that the same page may have on another
# machine's rasteriser; a line of text moved by its own height makes more.
ALIKE = 1.0


@pytest.fixture(scope="module")
def pages(tmp_path_factory: pytest.TempPathFactory) -> list[Image.Image]:
    out = tmp_path_factory.mktemp("sheet") / "book.pdf"
    report = build_book(BOOK, out, "A5", TEACHER, 2, open_house(), lambda what: None)
    assert report.diagnostics == ()
    with pypdfium2.PdfDocument(out) as document:
        return [page.render(scale=SCALE, grayscale=True).to_pil() for page in document]


def test_all_pages_are_as_they_were_looked_at(
    pages: list[Image.Image], update_references: bool
) -> None:
    size = (_across(COLUMNS, pages[0].width), _across(-(-len(pages) // COLUMNS), pages[0].height))
    looked_at = Image.open(SHEET) if SHEET.exists() else Image.new("L", (1, 1))
    if looked_at.size == size:
        changed = [at + 1 for at, page in enumerate(pages) if _differs(at, page, looked_at)]
    else:
        changed = list(range(1, len(pages) + 1))
    if changed and update_references:
        SHEET.parent.mkdir(exist_ok=True)
        _sheet(pages, size).save(SHEET, optimize=True)
    assert not changed, f"look at these pages: {changed}"


def test_a_line_moved_by_its_height_is_seen(pages: list[Image.Image]) -> None:
    page = pages[0]
    moved = ImageChops.offset(page, 0, round(13 * SCALE))
    sheet = _sheet([moved], (page.width, page.height))
    assert _differs(0, page, sheet)


def _across(count: int, pixels: int) -> int:
    return count * (pixels + BETWEEN) - BETWEEN


def _place(at: int, page: Image.Image) -> tuple[int, int]:
    """Where the page's upper left corner is on the sheet."""
    row, column = divmod(at, COLUMNS)
    return column * (page.width + BETWEEN), row * (page.height + BETWEEN)


def _differs(at: int, page: Image.Image, sheet: Image.Image) -> bool:
    left, top = _place(at, page)
    before = sheet.crop((left, top, left + page.width, top + page.height))
    difference = ImageChops.difference(page, before.convert("L"))
    return ImageStat.Stat(difference).mean[0] > ALIKE


def _sheet(pages: list[Image.Image], size: tuple[int, int]) -> Image.Image:
    sheet = Image.new("L", size, 160)
    for at, page in enumerate(pages):
        sheet.paste(page, _place(at, page))
    return sheet
