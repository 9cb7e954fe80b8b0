"""The glossary: each word with what it means and where it is used.

In: a `Manuscript` and the printed page number of every anchor. Out: a sheet.
"""

from __future__ import annotations

import re
from collections.abc import Mapping

from markupsafe import Markup, escape

from stavebound.book.collation import collation_key
from stavebound.book.common import reading_of, section_page
from stavebound.book.headwords import filed
from stavebound.book.layouts import Section
from stavebound.book.references import page_ranges, steps_named, terms_marked
from stavebound.book.titled import titled_steps
from stavebound.book.values import Manuscript, Numbers, Sheet
from stavebound.book.words import ended, entry_anchor, html_of, term_anchor
from stavebound.engrave.parts import Setting
from stavebound.plan.book import GlossaryEntry

# A syllable that is written in capitals.
STRESS = re.compile(r"[A-Z]{2,}")


def glossary_sheet(
    section: Section, manuscript: Manuscript, setting: Setting, numbers: Numbers
) -> tuple[Sheet, ...]:
    reading = reading_of(manuscript, section.name)
    terms, steps = terms_marked(numbers), _steps_under(manuscript)
    entries = [
        {
            "anchor": entry_anchor(entry.term),
            "term": entry.term,
            "language": entry.language,
            "said": entry.said and stressed(entry.said),
            "text": ended(html_of(entry.words, reading)),
            "pages": page_ranges(_places(entry, terms, steps), numbers),
        }
        for entry in sorted(manuscript.plan.glossary, key=lambda entry: collation_key(entry.term))
    ]
    html = section_page(section, manuscript, entries=entries)
    return (Sheet(section.name, html, (), "arabic"),)


def stressed(said: str) -> Markup:
    """How a word is said, the syllables in capitals as small ones."""
    return Markup(STRESS.sub(r'<span class="stressed">\g<0></span>', str(escape(said))))


def _places(
    entry: GlossaryEntry, terms: Mapping[str, list[str]], steps: Mapping[str, list[str]]
) -> tuple[str, ...]:
    """The anchors of an entry: where it is marked in running text, and where it stands as a
    step."""
    return (*terms.get(term_anchor(entry.term), ()), *steps.get(entry.term, ()))


def _steps_under(manuscript: Manuscript) -> Mapping[str, list[str]]:
    """The anchors of the lines under which steps stand and of the exercises whose titles name
    them, by their headwords."""
    steps = steps_named(manuscript).values()
    glossary, language = manuscript.plan.glossary, manuscript.language
    places = filed([step.written for step in steps], glossary, language)
    found = {head.text: list(anchors) for head, anchors in titled_steps(manuscript).items()}
    for step in steps:
        if place := places.get(step.written):
            found.setdefault(place.head.text, []).extend(step.lines)
    return found
