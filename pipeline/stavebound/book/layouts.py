"""Layouts: what a book is laid out by, and which of them a book has.

In: the layouts that there are, a plan, and what is asked for. Out: layout, edition and paper,
and what is wrong with the names that the plan gives. A layout is described in
its layout.toml (`descriptions.py`); whatever differs from one to another stands there.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass, replace
from decimal import Decimal

from stavebound.book.papers import Paper
from stavebound.book.places import PlaceRow
from stavebound.book.templates import Folders
from stavebound.check.phrasing import hints, listed, quoted
from stavebound.diagnostics import Diagnostic, Span
from stavebound.plan.book import USUAL_LAYOUT, BookPlan, DistanceSet
from stavebound.score.origin import Origin
from stavebound.source.meant import likely
from stavebound.suggest import did_you_mean

DESCRIPTION = "layout.toml"


@dataclass(frozen=True, slots=True)
class Section:
    """A part of a book: the name of what makes it, its template, and what it shows of an
    exercise, in this order; `beside` are those that stand in the margin column of a paper that has
    one. `label` is that of its heading; one that heads itself has none. `facing` says whether
    the words of an exercise may stand on a left page and its staves on the right one."""

    name: str
    make: str
    template: str
    label: str | None
    texts: tuple[str, ...]
    beside: tuple[str, ...] = ()
    facing: bool = False


@dataclass(frozen=True, slots=True)
class Edition:
    """An edition. `label` is the label that the title page calls it by, `paper` the paper it
    is for where nobody asks for another; None where the book's own will do. `staves` are the
    heights of its staves by paper, the usual one first; the others are for an exercise whose staves
    have more room, or too little, on their page. `papers` are the papers on which it has margins
    or type of its own, by their names, and `distances` those of the engraving that it sets, by
    paper; `costs` lie over the layout's. The pages of a `loose` one are no book's. The sections of
    `back` refer to pages."""

    name: str
    label: str | None
    paper: str | None
    staves: Mapping[str, tuple[float, ...]]
    papers: Mapping[str, Paper]
    distances: Mapping[str, Mapping[str, float]]
    costs: Mapping[str, float]
    loose: bool
    front: tuple[Section, ...]
    body: tuple[Section, ...]
    back: tuple[Section, ...]


@dataclass(frozen=True, slots=True)
class Layout:
    """`folders` are where its templates are looked for, one after the other; of papers and
    editions the first is the usual one. `forms` are how texts of an exercise are set, by their
    kinds; `places` are where words stand that are not broken; `costs` and `measures` are those
    by which exercises are made up into pages. One without editions is no book's."""

    name: str
    folders: Folders
    papers: tuple[Paper, ...]
    forms: Mapping[str, str]
    places: tuple[PlaceRow, ...]
    editions: tuple[Edition, ...]
    costs: Mapping[str, float]
    measures: Mapping[str, float]

    def paper(self, name: str | None) -> Paper:
        """The usual one for None. KeyError where it has none of that name."""
        return {paper.name: paper for paper in self.papers}[name or self.papers[0].name]

    def edition(self, name: str | None) -> Edition:
        """The book itself for None. KeyError where it has none of that name."""
        return {row.name: row for row in self.editions}[name or self.editions[0].name]


Layouts = Mapping[str, Layout]


@dataclass(frozen=True, slots=True)
class Asked:
    """What is asked for by name: an edition and a paper; None where the usual one will do."""

    edition: str | None = None
    paper: str | None = None


@dataclass(frozen=True, slots=True)
class LaidOut:
    """By what a book is laid out; edition and paper are of the layout, the paper with the stave
    of the edition."""

    layout: Layout
    edition: Edition
    paper: Paper

    @property
    def sizes(self) -> tuple[float, ...]:
        """All heights that its staves may have, the largest first."""
        return tuple(sorted(self.edition.staves.get(self.paper.name, ()), reverse=True))

    @property
    def distances(self) -> tuple[DistanceSet, ...]:
        """Those of the engraving that the edition sets, told at the layout's description."""
        origin = Origin(Span(str(self.layout.folders[0] / DESCRIPTION), 1, 1))
        own = self.edition.distances.get(self.paper.name, {})
        return tuple(DistanceSet(name, Decimal(str(by)), origin) for name, by in own.items())


def book_layouts(layouts: Layouts) -> tuple[Layout, ...]:
    return tuple(layout for layout in layouts.values() if layout.editions)


def paper_names(layouts: Iterable[Layout]) -> tuple[str, ...]:
    """Those of any of these layouts, each once."""
    return tuple(dict.fromkeys(paper.name for layout in layouts for paper in layout.papers))


def edition_names(layouts: Iterable[Layout]) -> tuple[str, ...]:
    return tuple(dict.fromkeys(row.name for layout in layouts for row in layout.editions))


def laid_out(
    plan: BookPlan, asked: Asked, layouts: Layouts
) -> tuple[LaidOut, tuple[Diagnostic, ...]]:
    """By what a book is laid out, and what is wrong with the names in its plan; the usual ones
    stand in for those, so that all else can be checked. The paper is the one asked for, else
    the edition's, else the book's. KeyError where the layout has not what is asked for."""
    books = {layout.name: layout for layout in book_layouts(layouts)}
    layout = books.get(plan.layout)
    if layout is None:
        usual = layouts[USUAL_LAYOUT]
        message = f"there is no layout “{plan.layout}” for books"
        fault = _unknown("B518", message, "layout", plan.layout, books, plan)
        return LaidOut(usual, usual.edition(None), usual.paper(None)), (fault,)
    faults = tuple(_paper_known(plan, layout))
    edition = layout.edition(asked.edition)
    name = asked.paper or edition.paper or (None if faults else plan.paper)
    return LaidOut(layout, edition, _for_edition(layout.paper(name), edition)), faults


def _for_edition(paper: Paper, edition: Edition) -> Paper:
    """The paper with margins, type and staves of the edition, and with a margin column only where a
    section of it has something to stand there."""
    own = edition.papers.get(paper.name, paper)
    usual, *_others = edition.staves.get(paper.name, (paper.stave,))
    enlarged = own.type_size / paper.type_size
    sized = replace(own, stave=usual, enlarged=enlarged, loose=edition.loose)
    sections = (*edition.front, *edition.body, *edition.back)
    used = any(section.beside for section in sections)
    return sized if used else replace(sized, column=0.0, gap=0.0)


def _paper_known(plan: BookPlan, layout: Layout) -> Iterator[Diagnostic]:
    known = paper_names((layout,))
    if plan.paper and plan.paper not in known:
        message = f"the layout “{layout.name}” has no paper “{plan.paper}”"
        yield _unknown("B519", message, "paper", plan.paper, known, plan)


def _unknown(
    code: str, message: str, attribute: str, name: str, known: Iterable[str], plan: BookPlan
) -> Diagnostic:
    names = tuple(known)
    expected = f"Expected {listed(quoted(names), 'or')}."
    span = plan.origin.of(attribute)
    return Diagnostic(code, message, span, hints(did_you_mean(likely(name, names)), expected))
