"""All pages of the demonstration book beside each other, as they were last looked at.

`pytest --update-references` draws the sheet anew where a page has changed; then look at it.
What is compared is the ink round every pixel: whatever a reader can see, one dot of one sign
too, makes more of a difference than another machine's rasteriser.
"""

from __future__ import annotations

import random
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass
from io import BytesIO
from pathlib import Path

import pikepdf
import pypdfium2
import pytest
from PIL import Image, ImageChops, ImageDraw, ImageFilter

BOOK = Path(__file__).parents[1] / "books" / "syllabus" / "book.xml"
SHEET = Path(__file__).parent / "references" / "contact-sheet.png"
# Pixels to a point, pages side by side, and white between them in pixels.
SCALE, COLUMNS, BETWEEN = 1.0, 12, 4
# By how many of 255 shades a pixel with the eight round it may be lighter or darker on the whole.
# The rasteriser is locked and reckons in whole numbers, so that another machine differs by one or
# two; the smallest dot of a sign makes 12.
ALIKE = 6
# In millimetres: the dots of the learner's centre line are no larger, and the smallest dots of
# signs are; nothing but a line of a stave is so long and thin.
CENTRE_DOT, SIGN_DOT, STAVE_LINE = 0.25, 0.6, 100


@pytest.fixture(scope="module")
def book(demonstration_book: Path) -> Path:
    return demonstration_book


@pytest.fixture(scope="module")
def pages(book: Path) -> list[Image.Image]:
    return drawn(book)


def test_all_pages_are_as_they_were_looked_at(
    pages: list[Image.Image], update_references: bool
) -> None:
    size = (_across(COLUMNS, pages[0].width), _across(-(-len(pages) // COLUMNS), pages[0].height))
    looked_at = Image.open(SHEET) if SHEET.exists() else Image.new("L", (1, 1))
    if looked_at.size == size:
        before = [looked_at.crop(_place(at, page)) for at, page in enumerate(pages)]
        pairs = enumerate(zip(before, pages, strict=True), 1)
        changed = [f"{at} {where}" for at, pair in pairs if (where := difference(*pair))]
    else:
        changed = [f"all {len(pages)}"]
    if changed and update_references:
        SHEET.parent.mkdir(exist_ok=True)
        _sheet(pages, size).save(SHEET, optimize=True)
    assert not changed, f"look at these pages (left, top, right, bottom in points): {changed}"


# ---------------------------------------------------------------- what is seen


Stream = Sequence[pikepdf.ContentStreamInstruction | pikepdf.ContentStreamInlineImage]


@dataclass(frozen=True, slots=True)
class Figure:
    """A closed figure of a page's stream, and how wide and high it is in millimetres."""

    begin: int
    end: int
    width: float
    height: float


def figures(page: Stream) -> Iterator[Figure]:
    begin = 0
    for at, instruction in enumerate(page):
        operator = str(instruction.operator)
        if operator == "m":
            begin = at
        elif operator == "re":
            width, height = (abs(float(side)) for side in instruction.operands[2:])
            yield Figure(at, at + 1, width, height)
        elif operator == "h":
            places = [float(each) for one in page[begin:at] for each in one.operands]
            width, height = (max(each) - min(each) for each in (places[::2], places[1::2]))
            yield Figure(begin, at + 1, width, height)


def is_dot_of_a_sign(figure: Figure) -> bool:
    return CENTRE_DOT < max(figure.width, figure.height) < SIGN_DOT


def is_line_of_a_stave(figure: Figure) -> bool:
    return figure.width > STAVE_LINE and figure.height < SIGN_DOT


@pytest.mark.parametrize("is_it", [is_dot_of_a_sign, is_line_of_a_stave])
def test_ink_that_is_gone_is_seen(book: Path, is_it: Callable[[Figure], bool]) -> None:
    """Really gone: the page is written without one figure, and drawn again. On six pages."""
    seen = 0
    with pikepdf.open(book) as pdf:
        for page in pdf.pages:
            stream = pikepdf.parse_content_stream(page)
            figure = next(filter(is_it, figures(stream)), None)
            if figure:
                seen += 1
                without = [*stream[: figure.begin], *stream[figure.end :]]
                assert difference(drawn_from(page, stream), drawn_from(page, without))
            if seen == 6:
                return
    pytest.fail(f"only {seen} pages have such ink")


@pytest.mark.parametrize("word", ["a", "in", "1"])
def test_a_word_that_is_gone_is_seen(book: Path, pages: list[Image.Image], word: str) -> None:
    """On every fifth page that has it."""
    seen = 0
    with pypdfium2.PdfDocument(book) as document:
        for page, drawing in list(zip(document, pages, strict=True))[::5]:
            text = page.get_textpage()
            found = text.search(word, match_case=True, match_whole_word=True).get_next()
            if found:
                seen += 1
                letters = [text.get_charbox(found[0] + at) for at in range(found[1])]
                top = page.get_height()
                box = (letters[0][0], top - letters[0][3], letters[-1][2], top - letters[0][1])
                without = drawing.copy()
                ImageDraw.Draw(without).rectangle([SCALE * each for each in box], fill=255)
                assert difference(drawing, without), page
    assert seen >= 3


def test_noise_is_not_seen(pages: list[Image.Image]) -> None:
    """Shades that are a little lighter or darker everywhere, and more so here and there."""
    for page in pages[::20]:
        darker = page.point(lambda shade: max(shade - ALIKE, 0))
        assert difference(page, darker) is None
        chance = random.Random(0)
        spots = bytes(128 + chance.randint(-ALIKE, ALIKE) for _ in range(page.width * page.height))
        noise = Image.frombytes("L", page.size, spots)
        assert difference(page, ImageChops.add(page, noise, offset=-128)) is None


# ---------------------------------------------------------------- pages as pixels


def drawn(pdf: Path | bytes) -> list[Image.Image]:
    with pypdfium2.PdfDocument(pdf) as document:
        return [page.render(scale=SCALE, grayscale=True).to_pil() for page in document]


def drawn_from(page: pikepdf.Page, stream: Stream) -> Image.Image:
    """The page as it is with this stream instead of its own."""
    with pikepdf.new() as alone, BytesIO() as file:
        alone.pages.append(page)
        alone.pages[0].Contents = alone.make_stream(pikepdf.unparse_content_stream(stream))
        alone.save(file)
        (image,) = drawn(file.getvalue())
        return image


def difference(one: Image.Image, other: Image.Image) -> tuple[int, int, int, int] | None:
    """Where two drawings of a page differ for whoever looks at them, in points from the upper
    left corner; None where they do not."""
    each_with_those_round_it = ImageFilter.BoxBlur(1)
    softened = (image.convert("L").filter(each_with_those_round_it) for image in (one, other))
    seen = ImageChops.difference(*softened).point(lambda shade: 255 * (shade > ALIKE))
    box = seen.getbbox()
    return box and (round(box[0] / SCALE), round(box[1] / SCALE),
                    round(box[2] / SCALE), round(box[3] / SCALE))  # fmt: skip


def _across(count: int, pixels: int) -> int:
    return count * (pixels + BETWEEN) - BETWEEN


def _place(at: int, page: Image.Image) -> tuple[int, int, int, int]:
    """Where the page is on the sheet."""
    row, column = divmod(at, COLUMNS)
    left, top = column * (page.width + BETWEEN), row * (page.height + BETWEEN)
    return left, top, left + page.width, top + page.height


def _sheet(pages: list[Image.Image], size: tuple[int, int]) -> Image.Image:
    sheet = Image.new("L", size, 160)
    for at, page in enumerate(pages):
        sheet.paste(page, _place(at, page)[:2])
    return sheet
