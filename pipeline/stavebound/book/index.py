"""The index: titles of exercises, and the steps that stand under the staves.

In: an `Edition` and the printed page number of every anchor. Out: a sheet. Order is that
of the language; neighbouring pages are one range.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass

from stavebound.book.collation import collation_key
from stavebound.book.common import INDEX, exercise_anchor, page, reading_of
from stavebound.book.references import page_ranges, steps_named
from stavebound.book.values import Edition, Sheet


@dataclass(frozen=True, slots=True)
class Entry:
    """A line of the index; `title` tells an exercise's own title from a step's name."""

    text: str
    pages: tuple[tuple[str, str], ...]
    title: bool
    language: str | None = None


def index_sheet(edition: Edition, numbers: Mapping[str, str]) -> Sheet:
    found = (*_titles(edition, numbers), *_steps(edition, numbers))
    entries = sorted(found, key=lambda entry: (collation_key(entry.text), entry.pages))
    html = page(edition, "index.html", anchor=INDEX, entries=entries)
    return Sheet(INDEX, html, (), "arabic")


def _titles(edition: Edition, numbers: Mapping[str, str]) -> Iterator[Entry]:
    for _, piece in edition.pieces:
        anchor = exercise_anchor(piece.number)
        yield Entry(piece.score.title, ((numbers[anchor], anchor),), title=True)


def _steps(edition: Edition, numbers: Mapping[str, str]) -> Iterator[Entry]:
    entries = reading_of(edition, INDEX).entries
    for name, step in steps_named(edition).items():
        entry = entries.get(name)
        text = entry.term if entry else step.written
        language = entry.language if entry else None
        yield Entry(text, page_ranges(step.lines, numbers), False, language)
