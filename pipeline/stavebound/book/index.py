"""The index: titles of exercises, and the steps that stand under the staves.

In: a `Manuscript` and the printed page number of every anchor. Out: a sheet. Order is that
of the language; neighbouring pages are one range.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from stavebound.book.collation import collation_key
from stavebound.book.common import exercise_anchor, reading_of, section_page
from stavebound.book.layouts import Section
from stavebound.book.references import page_ranges, steps_named
from stavebound.book.values import Manuscript, Numbers, Sheet
from stavebound.engrave.parts import Setting


@dataclass(frozen=True, slots=True)
class IndexEntry:
    """A line of the index; `title` tells an exercise's own title from a step's name."""

    text: str
    pages: tuple[tuple[str, str], ...]
    title: bool
    language: str | None = None


def index_sheet(
    section: Section, manuscript: Manuscript, setting: Setting, numbers: Numbers
) -> tuple[Sheet, ...]:
    found = (*_titles(manuscript, numbers), *_steps(manuscript, numbers))
    entries = sorted(found, key=lambda entry: (collation_key(entry.text), entry.pages))
    html = section_page(section, manuscript, entries=entries)
    return (Sheet(section.name, html, (), "arabic"),)


def _titles(manuscript: Manuscript, numbers: Numbers) -> Iterator[IndexEntry]:
    for _, piece in manuscript.pieces:
        anchor = exercise_anchor(piece.number)
        yield IndexEntry(piece.score.title, ((numbers[anchor], anchor),), title=True)


def _steps(manuscript: Manuscript, numbers: Numbers) -> Iterator[IndexEntry]:
    entries = reading_of(manuscript, "index").entries
    for name, step in steps_named(manuscript).items():
        entry = entries.get(name)
        text = entry.term if entry else step.written
        language = entry.language if entry else None
        yield IndexEntry(text, page_ranges(step.lines, numbers), False, language)
