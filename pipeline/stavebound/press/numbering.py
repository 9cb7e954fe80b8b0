"""The order of the bound pages, and the number printed on each.

In: pressed chapters in the order of the book. Out: a tuple of bound pages, and
the printed number of every anchor. It always holds that each chapter opens on a
right-hand page and that the two pages of an opening face each other, an empty
one being bound in where it must; that roman and arabic folios each run on from 1
through the book; and that empty pages count.

    chapter   title, imprint  │ contents │         │ exercises              │
    page      i      ii       │ iii      │ (iv)    │ 1      2   3    4   5  │
    side      right  left     │ right    │ left    │ right  └───┘    └───┘  │

References are printed as plain numbers, so a book is made in this order: press
the body and number it, again where pages of it refer to others; write the glossary
with those numbers and press it; write the contents with the numbers of all of these
and press the front; press the margins; bind. The numbers of a body do not depend on
what stands before it.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass

from stavebound.press.values import Folios, Pressed, PressError

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
# Pages that face each other.
FACING = 2


@dataclass(frozen=True, slots=True)
class BoundPage:
    """One page of the bound book.

    `part` is the index of its chapter, None for an empty page bound in, and
    `page` its index there. `number` counts from 1 within its kind of folios, and
    is 0 where the kind is NONE. `bare` pages have nothing in their margins.
    """

    part: int | None
    page: int
    folios: Folios
    number: int
    bare: bool

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
    """Every page of the book in order, with the empty ones that bring pages to their side."""
    pages: list[BoundPage] = []
    counts = {Folios.ROMAN: 0, Folios.ARABIC: 0}

    def add(part: int | None, page: int, folios: Folios, bare: bool) -> None:
        if folios in counts:
            counts[folios] += 1
        pages.append(BoundPage(part, page, folios, counts.get(folios, 0), bare))

    for index, part in enumerate(parts):
        for run in _runs(part):
            if pages and len(pages) % 2 != _side(run, len(pages)):
                add(None, 0, pages[-1].folios, bare=True)
            for page in run:
                add(index, page, part.folios, part.folios is Folios.NONE or page in part.blind)
    return tuple(pages)


def is_left(index: int) -> bool:
    """Whether the bound page at this index lies on the left."""
    return index % 2 == 1


def _runs(part: Pressed) -> Iterator[range]:
    """The pages of a chapter before its first opening, and those of each opening."""
    starts = sorted({0, *part.openings})
    for start, end in zip(starts, (*starts[1:], part.pages), strict=True):
        yield range(start, end)


def _side(run: range, wherever: int) -> int:
    """What is left of the index of a run's first page when halved: 0 on the right, 1 on the left.

    Chapters open on the right; openings of two pages on the left, others `wherever` they come.
    """
    if run.start == 0:
        return 0
    return 1 if len(run) == FACING else wherever % 2


def page_places(parts: Sequence[Pressed]) -> dict[tuple[int, int], int]:
    """The bound page, counted from 0, of every (chapter, page in it)."""
    return {
        (page.part, page.page): at
        for at, page in enumerate(number_pages(parts))
        if page.part is not None
    }


def anchor_pages(parts: Sequence[Pressed]) -> dict[str, int]:
    """The bound page, counted from 0, that each anchor stands on.

    PressError where two chapters use one id.
    """
    bound = page_places(parts)
    places: dict[str, int] = {}
    for index, part in enumerate(parts):
        for anchor in part.anchors:
            if anchor.name in places:
                raise PressError(f"chapter {part.key}: the id {anchor.name} is in use before it")
            places[anchor.name] = bound[index, anchor.page]
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
