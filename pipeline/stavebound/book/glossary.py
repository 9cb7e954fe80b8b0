"""The glossary: each word with what it means and where it is used.

In: an `Edition` and the printed page number of every anchor. Out: a sheet.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Collection, Iterator, Mapping

from stavebound.book.common import GLOSSARY, line_anchor, page, reading_of
from stavebound.book.values import Edition, Sheet
from stavebound.book.words import entry_anchor, html_of, term_anchor
from stavebound.score.book import Entry
from stavebound.score.words import fold_name


def glossary_sheet(edition: Edition, numbers: Mapping[str, str]) -> Sheet:
    reading, lines = reading_of(edition, GLOSSARY), _stepped_lines(edition)
    entries = [
        {
            "anchor": entry_anchor(entry.term),
            "term": entry.term,
            "language": entry.language,
            "said": entry.said,
            "text": html_of(entry.words, reading),
            "pages": page_references(entry, numbers, lines[fold_name(entry.term)]),
        }
        for entry in sorted(edition.plan.glossary, key=lambda entry: fold_name(entry.term))
    ]
    html = page(edition, "glossary.html", anchor=GLOSSARY, entries=entries)
    return Sheet(GLOSSARY, html, (), "arabic")


def _stepped_lines(edition: Edition) -> defaultdict[str, set[str]]:
    """The anchors of the lines of music under which a step's name stands, by folded names."""
    found = defaultdict[str, set[str]](set)
    for _, piece in edition.pieces:
        for index, system in enumerate(piece.systems):
            for text in system.texts:
                if text.lane == "step":
                    found[fold_name(text.text)].add(line_anchor(piece.number, index))
    return found


def page_references(
    entry: Entry, numbers: Mapping[str, str], lines: Collection[str] = ()
) -> tuple[tuple[str, str], ...]:
    """The pages that use an entry, each as (number, anchor), in order.

    `lines` are the anchors of the lines of music under which it stands. Neighbouring
    arabic pages are merged into a range, which leads to its first page.
    """
    start = term_anchor(entry.term)
    pages: dict[str, str] = {}
    for anchor, number in numbers.items():
        if anchor.startswith(start) or anchor in lines:
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
