"""What the margins of the bound pages say: folios and running heads.

In: pressed chapters in the order of the book. Out: a `Leaf` for each bound page,
and chapters that have nothing but their margins, to be pressed and stamped over
the book. A running head names the chapter on the left and what the chapter's
page deals with on the right, both taken from the bookmarks; a page on which a
chapter begins has none.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from html import escape

from stavebound.press.numbering import BoundPage, is_left, number_pages
from stavebound.press.values import WORD, Bookmark, Chapter, Folios, Pressed

# An even number, since the first page of a chapter lies on the right.
PORTION = 64

# What each page of the layer is: empty, but for what margin boxes make of its strings.
LAYER_CSS = """
.leaf { break-after: page; string-set: folio attr(data-folio), head attr(data-head) }
.leaf:last-child { break-after: auto }
"""


@dataclass(frozen=True, slots=True)
class Leaf:
    """The margins of one bound page; empty strings print nothing."""

    folio: str = ""
    head: str = ""


def leaves(parts: Sequence[Pressed]) -> tuple[Leaf, ...]:
    """The margins of every bound page in order."""
    return tuple(
        Leaf() if page.bare else Leaf(page.label, _head(page, is_left(at), parts))
        for at, page in enumerate(number_pages(parts))
    )


def margin_chapters(margins: Sequence[Leaf], css: str, language: str) -> Iterator[Chapter]:
    """The layer of margins: one page a bound page, empty but for its margin boxes, in
    chapters of so many pages that several can be pressed at once.

    `css` is the layout's own: its `@page` rules say paper and margins, and print
    `string(folio)` and `string(head)`, left and right as it wishes.
    """
    for start in range(0, len(margins), PORTION):
        yield _chapter(start, margins[start : start + PORTION], css, language)


def _chapter(start: int, margins: Sequence[Leaf], css: str, language: str) -> Chapter:
    pages = "".join(
        f'<section class="leaf" data-folio="{escape(leaf.folio)}"'
        f' data-head="{escape(leaf.head)}"></section>'
        for leaf in margins
    )
    html = (
        f'<!DOCTYPE html><html lang="{escape(language)}"><head><title>Margins</title>'
        f"<style>{LAYER_CSS}</style></head><body>{pages}</body></html>"
    )
    return Chapter(key=f"margins {start + 1}", html=html, folios=Folios.NONE, css=css)


def _head(page: BoundPage, left: bool, parts: Sequence[Pressed]) -> str:
    if page.part is None:
        return ""
    marks = [mark for mark in parts[page.part].bookmarks if mark.page <= page.page]
    listed = [mark for mark in marks if mark.level == WORD and mark.page == page.page]
    titles = [mark for mark in marks if mark.level != WORD]
    chapters = [mark for mark in titles if mark.level == 1]
    if not chapters or chapters[-1].page == page.page:
        return ""
    if listed:
        return " – ".join(dict.fromkeys(_words(mark) for mark in (listed[0], listed[-1])))
    begun_before = titles[-1].page < page.page
    return _words(titles[-1] if begun_before and not left else chapters[-1])


def _words(mark: Bookmark) -> str:
    return " ".join(mark.label.split())
