"""Left and right pages of a bound book, and the margins over them.

In: the joined pages, all laid out as right-hand ones, and a layer that has a page
for each with nothing but its margins. Out: the same pages, those on the left moved
over by `shift`, with their links; and each with its page of the layer drawn over it
as an artifact, so that a reader's machine skips it when it reads aloud or reflows.
The layer brings its own font, and stands where the layout's own margin boxes put it.
"""

from __future__ import annotations

import io
from collections.abc import Sequence
from contextlib import ExitStack
from itertools import chain

from pikepdf import Array, Dictionary, Name, Page, Pdf, Stream

from stavebound.press.numbering import BoundPage, is_left
from stavebound.press.values import Pressed, PressError

# A page of WeasyPrint's ends with its matrix upside down: save before, restore after.
SAVE = b"q\n"
RESTORE = b"\nQ\n"
STAMP = b"/Artifact <</Type /Pagination>> BDC\nq /Margins Do Q\nEMC\n"


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


def stamp_margins(book: Pdf, pages: Sequence[BoundPage], layer: Sequence[Pressed]) -> None:
    """Draw page n of the layer over page n of the book, where that page is not bare.

    PressError where the layer does not have the book's number or size of pages.
    """
    stamped = sum(part.pages for part in layer)
    if stamped != len(pages):
        raise PressError(f"{len(pages)} pages to stamp, but {stamped} pages of margins")
    stamp = Stream(book, STAMP)
    with ExitStack() as opened:
        parts = [opened.enter_context(Pdf.open(io.BytesIO(part.pdf))) for part in layer]
        margins = chain.from_iterable(part.pages for part in parts)
        for page, bound, drawn in zip(book.pages, pages, margins, strict=True):
            if not bound.bare:
                _stamp(book, page, drawn, stamp)


def _stamp(book: Pdf, page: Page, margins: Page, stamp: Stream) -> None:
    if list(page.mediabox) != list(margins.mediabox):
        raise PressError("the margins are laid out for paper of another size")
    form = book.copy_foreign(margins.as_form_xobject())
    # The pages of a chapter share one dictionary of resources: each stamp gets its own.
    resources = Dictionary(dict(page.resources.items()))
    others = dict(resources.XObject.items()) if Name.XObject in resources else {}
    resources.XObject = Dictionary({**others, "/Margins": form})
    page.obj.Resources = resources
    page.contents_add(stamp)
