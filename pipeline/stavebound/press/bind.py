"""Pressed chapters and their margins into one PDF.

In: chapters in the order of the book, the layer of margins, and what the file
says of itself. Out: the bytes of the book. It always holds that chapters open on
right-hand pages, that openings of two pages face each other, that page labels,
links, outline and printed folios agree, that the page boxes are the trimmed size,
and that the same input gives the same bytes.
"""

from __future__ import annotations

import io
from collections.abc import Sequence
from contextlib import ExitStack
from itertools import chain

from pikepdf import Array, Dictionary, Name, ObjectStreamMode, Pdf, String

from stavebound.press.fonts import part_subsets
from stavebound.press.libraries import versions
from stavebound.press.numbering import BoundPage, number_pages
from stavebound.press.references import name_destinations, point_links, write_outline
from stavebound.press.sides import stamp_margins, turn_pages
from stavebound.press.values import Folios, Metadata, Pressed, PressError

PDF_VERSION = "1.7"
PRODUCERS = ("weasyprint", "pikepdf")
# How PDF calls the kinds of page numbers (ISO 32000-1, 12.4.2).
NUMBER_STYLES = {Folios.ROMAN: Name.r, Folios.ARABIC: Name.D}


def bind(
    parts: Sequence[Pressed], strips: Sequence[Pressed], metadata: Metadata, shift: float = 0.0
) -> bytes:
    """The bound book. `strips` are `margin_chapters(leaves(parts), …)`, pressed; `shift` how
    many points a left-hand page stands to the right of the right-hand one it was laid out as.

    PressError where an id is used twice, a link leads to no anchor, the margins
    do not fit the pages, or `metadata.created` has no time zone.
    """
    pages = number_pages(parts)
    with ExitStack() as opened:
        sources = [opened.enter_context(Pdf.open(io.BytesIO(part.pdf))) for part in parts]
        book = opened.enter_context(Pdf.new())
        _join(book, sources, pages)
        _label_pages(book, pages)
        name_destinations(book, parts, shift)
        point_links(book, parts)
        write_outline(book, parts)
        turn_pages(book, shift)
        stamp_margins(book, pages, strips)
        part_subsets(book)
        _describe(book, metadata)
        return _saved(book)


def _join(book: Pdf, sources: Sequence[Pdf], pages: Sequence[BoundPage]) -> None:
    for page in pages:
        if page.part is None:
            _left, _bottom, width, height = book.pages[-1].mediabox
            book.add_blank_page(page_size=(float(width), float(height)))
        else:
            book.pages.append(sources[page.part].pages[page.page])


def _label_pages(book: Pdf, pages: Sequence[BoundPage]) -> None:
    """Page labels: a range for each run of one kind of folios (ISO 32000-1, 12.4.2)."""
    ranges = [
        (index, _label(page))
        for index, page in enumerate(pages)
        if index == 0 or page.folios is not pages[index - 1].folios
    ]
    book.Root.PageLabels = book.make_indirect(Dictionary(Nums=Array(chain(*ranges))))


def _label(page: BoundPage) -> Dictionary:
    if page.folios is Folios.NONE:
        return Dictionary()
    return Dictionary(S=NUMBER_STYLES[page.folios], St=page.number)


def _describe(book: Pdf, metadata: Metadata) -> None:
    """Write XMP metadata and the information dictionary, and how a reader opens the book."""
    if metadata.created.tzinfo is None:
        raise PressError("the date of the book has no time zone")
    created = metadata.created.isoformat(timespec="seconds")
    entries = {
        "dc:title": metadata.title,
        "dc:creator": [metadata.author] if metadata.author else [],
        "dc:description": metadata.subject,
        "dc:language": {metadata.language},
        "xmp:CreatorTool": metadata.creator,
        "xmp:CreateDate": created,
        "xmp:ModifyDate": created,
        "pdf:Producer": _producers(),
    }
    with book.open_metadata(set_pikepdf_as_editor=False) as xmp:
        for name, value in entries.items():
            if value:
                xmp[name] = value
    book.Root.Lang = String(metadata.language)
    book.Root.PageMode = Name.UseOutlines
    book.Root.PageLayout = Name.TwoPageRight
    book.Root.ViewerPreferences = Dictionary(DisplayDocTitle=True)


def _producers() -> str:
    made_by = {library.name: library.version for library in versions()}
    return ", ".join(f"{name} {made_by[name]}" for name in PRODUCERS)


def _saved(book: Pdf) -> bytes:
    out = io.BytesIO()
    book.save(
        out,
        min_version=PDF_VERSION,
        deterministic_id=True,
        compress_streams=True,
        object_stream_mode=ObjectStreamMode.generate,
    )
    return out.getvalue()
