"""The glossary: each word with what it means and where it is used.

In: a `Manuscript` and the printed page number of every anchor. Out: a sheet.
"""

from __future__ import annotations

from collections.abc import Mapping

from stavebound.book.collation import collation_key
from stavebound.book.common import reading_of, section_page
from stavebound.book.layouts import Section
from stavebound.book.references import IndexedStep, page_ranges, steps_named, terms_marked
from stavebound.book.values import Manuscript, Numbers, Sheet
from stavebound.book.words import entry_anchor, html_of, term_anchor
from stavebound.engrave.parts import Setting
from stavebound.plan.book import GlossaryEntry
from stavebound.score.words import fold_name


def glossary_sheet(
    section: Section, manuscript: Manuscript, setting: Setting, numbers: Numbers
) -> tuple[Sheet, ...]:
    reading = reading_of(manuscript, section.name)
    terms, steps = terms_marked(numbers), steps_named(manuscript)
    entries = [
        {
            "anchor": entry_anchor(entry.term),
            "term": entry.term,
            "language": entry.language,
            "said": entry.said,
            "text": html_of(entry.words, reading),
            "pages": page_ranges(_places(entry, terms, steps), numbers),
        }
        for entry in sorted(manuscript.plan.glossary, key=lambda entry: collation_key(entry.term))
    ]
    html = section_page(section, manuscript, entries=entries)
    return (Sheet(section.name, html, (), "arabic"),)


def _places(
    entry: GlossaryEntry, terms: Mapping[str, list[str]], steps: Mapping[str, IndexedStep]
) -> tuple[str, ...]:
    """The anchors of an entry: where it is marked in running text, and of the lines under
    which it stands."""
    step = steps.get(fold_name(entry.term))
    return (*terms.get(term_anchor(entry.term), ()), *(step.lines if step else ()))
