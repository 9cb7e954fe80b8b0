"""Page references: the pages on which something stands, as they are printed.

In: the anchors of its places, and the printed page number of every anchor. Out: references in
order, neighbouring arabic pages merged into a range, which leads to its first page. Steps are
found by the lines of music under which they stand, terms by their own anchors in running text.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass, field
from typing import NamedTuple

from stavebound.book.common import line_anchor
from stavebound.book.values import Manuscript
from stavebound.book.words import term_of_anchor
from stavebound.score.words import fold_name


@dataclass(frozen=True, slots=True)
class IndexedStep:
    """A step as it is written first, and the anchors of the lines under which it stands."""

    written: str
    lines: list[str] = field(default_factory=list)


def steps_named(manuscript: Manuscript) -> dict[str, IndexedStep]:
    """The steps under the staves of a book, by their folded names."""
    found: dict[str, IndexedStep] = {}
    for _, piece in manuscript.pieces:
        for index, line in enumerate(piece.lines):
            for name in line.steps:
                step = found.setdefault(fold_name(name), IndexedStep(name))
                step.lines.append(line_anchor(piece.number, index))
    return found


def terms_marked(anchors: Iterable[str]) -> dict[str, list[str]]:
    """The anchors of marked terms, by how those of one entry begin."""
    found: dict[str, list[str]] = {}
    for anchor in anchors:
        if start := term_of_anchor(anchor):
            found.setdefault(start, []).append(anchor)
    return found


class PageReference(NamedTuple):
    """A page, or some that follow each other, as printed, and the anchor on the first of them;
    `main` is where a reader is to look first."""

    printed: str
    anchor: str
    main: bool = False


def with_main(
    anchors: Iterable[str], main: Iterable[str], numbers: Mapping[str, str]
) -> tuple[PageReference, ...]:
    """The pages of all anchors, each once, those of `main` told as such."""
    first = page_ranges(main, numbers, main=True)
    taken = {numbers[anchor] for anchor in main if anchor in numbers}
    others = (anchor for anchor in anchors if numbers.get(anchor) not in taken)
    return tuple(sorted((*first, *page_ranges(others, numbers)), key=_in_order))


def _in_order(reference: PageReference) -> tuple[bool, int]:
    first = reference.printed.partition("–")[0]
    return first.isdecimal(), int(first) if first.isdecimal() else 0


def page_ranges(
    anchors: Iterable[str], numbers: Mapping[str, str], *, main: bool = False
) -> tuple[PageReference, ...]:
    """Roman numbers first, and never merged. Anchors on pages without a number are left out."""
    pages: dict[str, str] = {}
    for anchor in anchors:
        if anchor in numbers:
            pages.setdefault(numbers[anchor], anchor)
    roman = [(number, anchor) for number, anchor in pages.items() if not number.isdecimal()]
    arabic = [(int(number), anchor) for number, anchor in pages.items() if number.isdecimal()]
    found = (*roman, *_ranges(sorted(arabic)))
    return tuple(PageReference(printed, anchor, main) for printed, anchor in found)


def _ranges(pages: list[tuple[int, str]]) -> Iterator[tuple[str, str]]:
    index = 0
    while index < len(pages):
        first, anchor = pages[index]
        last = first
        while index + 1 < len(pages) and pages[index + 1][0] == last + 1:
            index, last = index + 1, last + 1
        yield (f"{first}–{last}" if last > first else str(first)), anchor
        index += 1
