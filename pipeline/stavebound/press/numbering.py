"""The order of the bound pages, and the number printed on each.

In: pressed chapters in the order of the book. Out: a tuple of bound pages, and
the printed number of every anchor. It always holds that each chapter opens on a
right-hand page, an empty one being bound in where it must; that roman and arabic
folios each run on from 1 through the book; and that empty pages count.

    chapter   title, imprint  │ contents │         │ exercises      │
    page      i      ii       │ iii      │ (iv)    │ 1   2   3      │
    side      right  left     │ right    │ left    │ right …

References are printed as plain numbers, so a book is made in this order: press
the body and number it; write the glossary with those numbers and press it;
write the contents with the numbers of all of these and press the front; press
the folio layer; bind. The numbers of a body do not depend on what stands before
it; roman numbers that the contents print about their own neighbours do: press
the contents again until their numbers agree.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from html import escape

from stavebound.press.values import Chapter, Folios, Pressed, PressError

ROMAN = (
    (1000, "m"),
    (900, "cm"),
    (500, "d"),
    (400, "cd"),
    (100, "c"),
    (90, "xc"),
    (50, "l"),
    (40, "xl"),
    (10, "x"),
    (9, "ix"),
    (5, "v"),
    (4, "iv"),
    (1, "i"),
)

# What each page of the folio layer is: empty, but for what a margin box makes of the string.
FOLIO_CSS = """
.leaf { break-after: page; string-set: folio attr(data-folio) }
.leaf:last-child { break-after: auto }
"""


@dataclass(frozen=True, slots=True)
class BoundPage:
    """One page of the bound book.

    `part` is the index of its chapter, None for an empty page bound in, and
    `page` its index there. `number` counts from 1 within its kind of folios, and
    is 0 where the kind is NONE. `stamped` tells whether the folio is printed.
    """

    part: int | None
    page: int
    folios: Folios
    number: int
    stamped: bool

    @property
    def label(self) -> str:
        """The page's number in words of its kind: "iii", "12", or nothing."""
        return LABELS[self.folios](self.number)


def roman(number: int) -> str:
    """Lower-case roman numerals for a number of 1 or more."""
    digits = ""
    for value, digit in ROMAN:
        times, number = divmod(number, value)
        digits += digit * times
    return digits


LABELS: dict[Folios, Callable[[int], str]] = {
    Folios.ROMAN: roman,
    Folios.ARABIC: str,
    Folios.NONE: lambda number: "",
}


def number_pages(parts: Sequence[Pressed]) -> tuple[BoundPage, ...]:
    """Every page of the book in order, with the empty ones that open chapters on the right."""
    pages: list[BoundPage] = []
    counts = {Folios.ROMAN: 0, Folios.ARABIC: 0}

    def add(part: int | None, page: int, folios: Folios, stamped: bool) -> None:
        if folios in counts:
            counts[folios] += 1
        pages.append(BoundPage(part, page, folios, counts.get(folios, 0), stamped))

    for index, part in enumerate(parts):
        if len(pages) % 2:
            add(None, 0, pages[-1].folios, stamped=False)
        unstamped = {*part.blind, *part.blank}
        for page in range(part.pages):
            stamped = part.folios is not Folios.NONE and page not in unstamped
            add(index, page, part.folios, stamped)
    return tuple(pages)


def next_opening(parts: Sequence[Pressed]) -> str:
    """The number of the right-hand page on which a next arabic chapter would open."""
    pages = number_pages(parts)
    last = max((page.number for page in pages if page.folios is Folios.ARABIC), default=0)
    return str(last + 1 + len(pages) % 2)


def anchor_pages(parts: Sequence[Pressed]) -> dict[str, int]:
    """The bound page, counted from 0, that each anchor stands on.

    PressError where two chapters use one id.
    """
    opening = {page.part: at for at, page in enumerate(number_pages(parts)) if page.page == 0}
    places: dict[str, int] = {}
    for index, part in enumerate(parts):
        for anchor in part.anchors:
            if anchor.name in places:
                raise PressError(f"chapter {part.key}: the id {anchor.name} is in use before it")
            places[anchor.name] = opening[index] + anchor.page
    return places


def printed_numbers(parts: Sequence[Pressed]) -> dict[str, str]:
    """The page number to print for each anchor; none for anchors on unnumbered pages.

    PressError where two chapters use one id.
    """
    pages = number_pages(parts)
    return {
        name: pages[at].label
        for name, at in anchor_pages(parts).items()
        if pages[at].folios is not Folios.NONE
    }


def folio_labels(parts: Sequence[Pressed]) -> tuple[str | None, ...]:
    """What to print as folio on each bound page; None where nothing is printed."""
    return tuple(page.label if page.stamped else None for page in number_pages(parts))


def folio_chapter(labels: Sequence[str | None], css: str, language: str) -> Chapter:
    """The layer of folios: one page a bound page, empty but for its margin boxes.

    `css` is the layout's own: its `@page` rules say paper and margins, and print
    `string(folio)` in a margin box, left and right as it wishes. Pages without a
    folio have an empty string.
    """
    leaves = "".join(
        f'<section class="leaf" data-folio="{escape(label or "")}"></section>' for label in labels
    )
    html = (
        f'<!DOCTYPE html><html lang="{escape(language)}"><head><title>Folios</title>'
        f"<style>{FOLIO_CSS}</style></head><body>{leaves}</body></html>"
    )
    return Chapter(key="folios", html=html, folios=Folios.NONE, css=css)
