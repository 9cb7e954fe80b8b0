"""The glossary: each word with what it means and where it is used.

In: an `Edition` and the printed page number of every anchor. Out: a sheet.
"""

from __future__ import annotations

from collections.abc import Mapping

from stavebound.book.collation import collation_key
from stavebound.book.common import GLOSSARY, page, reading_of
from stavebound.book.references import page_ranges
from stavebound.book.values import Edition, Sheet
from stavebound.book.words import entry_anchor, html_of, term_anchor


def glossary_sheet(edition: Edition, numbers: Mapping[str, str]) -> Sheet:
    reading = reading_of(edition, GLOSSARY)
    entries = [
        {
            "anchor": entry_anchor(entry.term),
            "term": entry.term,
            "language": entry.language,
            "said": entry.said,
            "text": html_of(entry.words, reading),
            "pages": page_ranges(term_anchor(entry.term), numbers),
        }
        for entry in sorted(edition.plan.glossary, key=lambda entry: collation_key(entry.term))
    ]
    html = page(edition, "glossary.html", anchor=GLOSSARY, entries=entries)
    return Sheet(GLOSSARY, html, (), "arabic")
