"""Left and right pages of a bound book, and the margins over them.

In: the joined pages, all laid out as right-hand ones, and strips of the margins of all of
them. Out: the same pages, those on the left moved over by `shift`, with their links; and
each with its margins drawn over it as an artifact, so that a reader's machine skips them
when it reads aloud or reflows. They bring their own fonts, and stand where the layout's
style sheet puts them.
"""

from __future__ import annotations

from collections.abc import Sequence

from pikepdf import Array, Dictionary, Name, Page, Pdf, Stream

from stavebound.press.numbering import BoundPage, is_left
from stavebound.press.strips import Cut, cut
from stavebound.press.values import Pressed, PressError

# A page of WeasyPrint's ends with its matrix upside down: save before, restore after.
SAVE = b"q\n"
RESTORE = b"\nQ\n"
STAMP = b"/Artifact <</Type /Pagination>> BDC\nq\n"
END = b"\nQ\nEMC\n"


def turn_pages(book: Pdf, shift: float) -> None:
    """Move what stands on left-hand pages, and its links, by `shift` points to the right."""
    move, restore = (
        Stream(book, SAVE + f"1 0 0 1 {shift:.3f} 0 cm\n".encode()),
        Stream(book, RESTORE),
    )
    save = Stream(book, SAVE)
    for index, page in enumerate(book.pages):
        page.contents_add(move if is_left(index) else save, prepend=True)
        page.contents_add(restore)
        if is_left(index):
            _move_links(page, shift)


def _move_links(page: Page, shift: float) -> None:
    for link in page.obj.get(Name.Annots, ()):
        left, bottom, right, top = (float(edge) for edge in link.Rect)
        link.Rect = Array([round(left + shift, 3), bottom, round(right + shift, 3), top])


def stamp_margins(book: Pdf, pages: Sequence[BoundPage], strips: Sequence[Pressed]) -> None:
    """Draw the margins of page n over page n of the book, where that page is not bare.

    PressError where the strips do not have the book's number or size of pages.
    """
    _left, _bottom, *corner = (float(edge) for edge in book.pages[0].mediabox)
    width, height = corner
    margins = tuple(cut(book, strips, (width, height)))
    if len(margins) != len(pages):
        raise PressError(f"{len(pages)} pages to stamp, but {len(margins)} pages of margins")
    for page, bound, drawn in zip(book.pages, pages, margins, strict=True):
        if drawn.stream and not bound.bare:
            _stamp(book, page, drawn)


def _stamp(book: Pdf, page: Page, drawn: Cut) -> None:
    """The pages of a chapter share one dictionary of resources, so that fonts come into it
    once."""
    resources = page.obj.Resources
    if Name.Font not in resources:
        resources.Font = Dictionary()
    for name, font in drawn.fonts.items():
        resources.Font[name] = font
    page.contents_add(Stream(book, STAMP + drawn.stream + END))
