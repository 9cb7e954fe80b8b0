"""Page references: the pages on which something stands, as they are printed.

In: how the names of its anchors begin, and the printed page number of every anchor. Out:
(number, anchor) in order, neighbouring arabic pages merged into a range, which leads to
its first page.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping


def page_ranges(start: str, numbers: Mapping[str, str]) -> tuple[tuple[str, str], ...]:
    pages: dict[str, str] = {}
    for anchor, number in numbers.items():
        if anchor.startswith(start):
            pages.setdefault(number, anchor)
    roman = [(number, anchor) for number, anchor in pages.items() if not number.isdecimal()]
    arabic = [(int(number), anchor) for number, anchor in pages.items() if number.isdecimal()]
    return (*roman, *_ranges(sorted(arabic)))


def _ranges(pages: list[tuple[int, str]]) -> Iterator[tuple[str, str]]:
    index = 0
    while index < len(pages):
        first, anchor = pages[index]
        last = first
        while index + 1 < len(pages) and pages[index + 1][0] == last + 1:
            index, last = index + 1, last + 1
        yield (f"{first}–{last}" if last > first else str(first)), anchor
        index += 1
