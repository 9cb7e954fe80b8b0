"""The press: HTML to PDF a chapter at a time, then bound into one book.

`values` says what goes in and comes out, `pool` presses chapters, `numbering`
tells the page numbers to print, `margins` the folios and running heads, `bind`
makes the book, `libraries` names the software it all stands on. No other room
imports WeasyPrint or pikepdf.
"""

from stavebound.press.bind import bind
from stavebound.press.libraries import Library, versions
from stavebound.press.margins import Leaf, leaves, margin_chapters
from stavebound.press.numbering import (
    BoundPage,
    anchor_pages,
    number_pages,
    page_places,
    printed_numbers,
)
from stavebound.press.pool import open_press, press_chapters
from stavebound.press.values import (
    Bookmark,
    Chapter,
    Destination,
    Folios,
    Metadata,
    Pressed,
    PressError,
)

__all__ = [
    "Bookmark",
    "BoundPage",
    "Chapter",
    "Destination",
    "Folios",
    "Leaf",
    "Library",
    "Metadata",
    "PressError",
    "Pressed",
    "anchor_pages",
    "bind",
    "leaves",
    "margin_chapters",
    "number_pages",
    "open_press",
    "page_places",
    "press_chapters",
    "printed_numbers",
    "versions",
]
