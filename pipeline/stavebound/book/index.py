"""The index: titles of exercises, the steps in them, and those that stand under the staves.

In: a `Manuscript` and the printed page number of every anchor. Out: a sheet. Order is that
of the language, articles passed over; names of one step stand together, what says more than
a headword under it, and a shorter form leads to the whole one. Neighbouring pages are one
range. A step's main pages are those of all exercises whose titles name it.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass, field
from itertools import groupby

from stavebound.book.collation import collation_key
from stavebound.book.common import exercise_anchor, section_page
from stavebound.book.headwords import Filed, Headword, filed
from stavebound.book.layouts import Section
from stavebound.book.references import PageReference, page_ranges, steps_named, with_main
from stavebound.book.titled import titled_steps
from stavebound.book.values import Manuscript, Numbers, Sheet
from stavebound.engrave.parts import Setting
from stavebound.score.words import fold_name
from stavebound.wording.filing import filings

# What stands over entries that begin with no letter.
NO_LETTER = "0–9"

Pages = tuple[PageReference, ...]


@dataclass(frozen=True, slots=True)
class IndexEntry:
    """A line of the index, with those under it; `title` tells an exercise's own title from a
    step's name, `see` is the headword of a shorter form."""

    text: str
    pages: Pages = ()
    title: bool = False
    language: str | None = None
    under: tuple[IndexEntry, ...] = ()
    see: Headword | None = None


@dataclass(slots=True)
class _Lines:
    """The anchors of a headword's lines, of what stands under it, and its shorter forms."""

    own: list[str] = field(default_factory=list)
    under: dict[Headword, list[str]] = field(default_factory=dict)
    shorter: set[str] = field(default_factory=set)


def index_sheet(
    section: Section, manuscript: Manuscript, setting: Setting, numbers: Numbers
) -> tuple[Sheet, ...]:
    entries = sorted((*_titles(manuscript, numbers), *_steps(manuscript, numbers)), key=_place)
    groups = [(letter, tuple(alike)) for letter, alike in groupby(entries, key=_letter)]
    html = section_page(section, manuscript, groups=groups)
    return (Sheet(section.name, html, (), "arabic"),)


def _place(entry: IndexEntry) -> tuple[tuple[int, ...], bool, Pages]:
    return collation_key(entry.text), entry.title, entry.pages


def _letter(entry: IndexEntry) -> str:
    first = fold_name(entry.text)[:1].upper()
    return first if first.isalpha() else NO_LETTER


def _titles(manuscript: Manuscript, numbers: Numbers) -> Iterator[IndexEntry]:
    filing = filings()[manuscript.language]
    for _, piece in manuscript.pieces:
        anchor = exercise_anchor(piece.number)
        pages = page_ranges((anchor,), numbers)
        yield IndexEntry(filing.turned(piece.score.title), pages, title=True)


def _steps(manuscript: Manuscript, numbers: Numbers) -> Iterator[IndexEntry]:
    titled = titled_steps(manuscript)
    found = {head: _Lines() for head in titled} | _by_headword(manuscript)
    for head, lines in found.items():
        under = (
            IndexEntry(rest.text, page_ranges(anchors, numbers), language=rest.language)
            for rest, anchors in lines.under.items()
        )
        yield IndexEntry(
            head.text,
            with_main(lines.own, titled.get(head, ()), numbers),
            language=head.language,
            under=tuple(sorted(under, key=_place)),
        )
        for short in lines.shorter:
            yield IndexEntry(short, language=head.language, see=head)


def _by_headword(manuscript: Manuscript) -> dict[Headword, _Lines]:
    steps = steps_named(manuscript).values()
    places = filed([step.written for step in steps], manuscript.plan.glossary, manuscript.language)
    found: dict[Headword, _Lines] = {}
    for step in steps:
        if place := places.get(step.written):
            _add(found.setdefault(place.head, _Lines()), place, step.lines)
    return found


def _add(lines: _Lines, place: Filed, anchors: Iterable[str]) -> None:
    (lines.under.setdefault(place.under, []) if place.under else lines.own).extend(anchors)
    if place.short:
        lines.shorter.add(place.short)
