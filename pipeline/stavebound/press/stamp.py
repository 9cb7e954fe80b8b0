"""Folios over the pages of a bound book.

In: the joined pages and a layer that has a page for each. Out: the same pages,
each with its page of the layer drawn over it as an artifact, so that a reader's
machine skips it when it reads aloud or reflows. The layer brings its own font,
and stands where the layout's own margin boxes put it.
"""

from __future__ import annotations

import io
from collections.abc import Sequence

from pikepdf import Dictionary, Name, Page, Pdf, Stream

from stavebound.press.numbering import BoundPage
from stavebound.press.values import Pressed, PressError

# A page of WeasyPrint's ends with its matrix upside down: save before, restore after.
SAVE = b"q\n"
RESTORE_AND_STAMP = (
    b"\nQ\n/Artifact <</Type /Pagination /Subtype /PageNum>> BDC\nq /Folio Do Q\nEMC\n"
)


def stamp_folios(book: Pdf, pages: Sequence[BoundPage], layer: Pressed) -> None:
    """Draw page n of the layer over page n of the book, where that page is stamped.

    PressError where the layer does not have the book's number or size of pages.
    """
    if layer.pages != len(pages):
        raise PressError(f"{len(pages)} pages to stamp, but {layer.pages} pages of folios")
    save, stamp = Stream(book, SAVE), Stream(book, RESTORE_AND_STAMP)
    with Pdf.open(io.BytesIO(layer.pdf)) as folios:
        for index, bound in enumerate(pages):
            if bound.stamped:
                _stamp(book, book.pages[index], folios.pages[index], save, stamp)


def _stamp(book: Pdf, page: Page, folio: Page, save: Stream, stamp: Stream) -> None:
    if list(page.mediabox) != list(folio.mediabox):
        raise PressError("the folios are laid out for paper of another size")
    form = book.copy_foreign(folio.as_form_xobject())
    # The pages of a chapter share one dictionary of resources: each stamp gets its own.
    resources = Dictionary(dict(page.resources.items()))
    others = dict(resources.XObject.items()) if Name.XObject in resources else {}
    resources.XObject = Dictionary({**others, "/Folio": form})
    page.obj.Resources = resources
    page.contents_add(save, prepend=True)
    page.contents_add(stamp)
