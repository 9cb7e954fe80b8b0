"""Manuscripts: a book's files through all that they go through before pages are made.

In: a project that was loaded, what is asked for, and the house. Out: a `Manuscript` with
every exercise engraved and proved, and all that is wrong; none where an error is in the way.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Sequence
from dataclasses import dataclass

from stavebound.book.layouts import Asked, LaidOut, laid_out
from stavebound.book.openers import telling_frames
from stavebound.book.papers import Paper
from stavebound.book.places import places
from stavebound.book.tempo import note_drawings
from stavebound.book.values import Manuscript, Piece
from stavebound.build.loading import Project
from stavebound.build.on_paper import Sizes, remains_faults, score_on_paper, sound
from stavebound.build.pictures import picture_faults
from stavebound.build.setting import Outfit, in_type, on_paper, outfit_of, school_of, style_faults
from stavebound.build.values import House
from stavebound.check.books import check_book
from stavebound.check.glossary import as_printed
from stavebound.check.measures import book_words_in_place, score_words_in_place
from stavebound.check.type import check_book_type
from stavebound.dance.danced import Danced
from stavebound.dance.features import score_features
from stavebound.dance.placings import score_placings
from stavebound.dance.pose import Posed
from stavebound.dance.slightly import in_numbers
from stavebound.diagnostics import Diagnostic, Outcome, has_errors
from stavebound.drawing.values import Drawing
from stavebound.engrave.style import Setting
from stavebound.geometry import Box
from stavebound.plan.book import BookPlan, StyleSheet
from stavebound.plan.typeset import typeset_book
from stavebound.proof.lines import DrawnLine, OnPaper
from stavebound.score.form import BarForm, form_features
from stavebound.score.model import Score
from stavebound.score.typeset import typeset_score
from stavebound.svg.draw import draw
from stavebound.trade.catalogue import Catalogue
from stavebound.wording.labels import languages, quotes_of
from stavebound.workers import silent, workers, worth


@dataclass(frozen=True, slots=True)
class OnOnePage:
    """Whether lines of such heights stand on a page by themselves; all in millimetres."""

    depth: float
    apart: float

    def __call__(self, heights: Sequence[float]) -> bool:
        return sum(heights) + self.apart * (len(heights) - 1) <= self.depth


@dataclass(frozen=True, slots=True)
class _Book:
    """A book whose files are understood, and how it is printed."""

    plan: BookPlan
    scores: tuple[tuple[str, Score], ...]
    chosen: LaidOut
    outfit: Outfit
    sizes: tuple[Setting, ...]
    """The setting in all sizes that it may have, the largest first."""

    @property
    def paper(self) -> Paper:
        """In the sizes of the house."""
        return in_type(self.chosen.paper, self.outfit.setting.style)

    @property
    def smaller(self) -> Sizes:
        """The usual size and smaller ones, for staves that are higher than a page."""
        usual = self.outfit.setting.style
        own = tuple(size for size in self.sizes if size.style.stave_height <= usual.stave_height)
        return Sizes(own, OnOnePage(self.paper.depth, usual.distance("staves apart")))

    @property
    def waiting(self) -> bool:
        """Whether scores are engraved only where it is known how much room their pages have."""
        return larger_than_usual(self.outfit.setting, self.sizes)

    @property
    def fallback(self) -> str | None:
        """The school of scores that name none."""
        return self.plan.school or self.outfit.school


@dataclass(frozen=True, slots=True)
class Inked:
    """What a book keeps of a score on paper, as `Piece` has it."""

    lines: tuple[DrawnLine, ...]
    form: tuple[BarForm, ...]
    bars: int
    features: tuple[frozenset[str], ...]
    placings: tuple[frozenset[str], ...]
    telling: tuple[Posed, ...]


@dataclass(frozen=True, slots=True)
class _Engraver:
    """Brings scores of a book to paper, by their paths."""

    book: _Book

    def __call__(self, path: str) -> Outcome[Inked]:
        book, outfit = self.book, self.book.outfit
        item = next(item for item in book.plan.exercises if item.score == path)
        score = dict(book.scores)[path]
        if book.waiting:
            danced = sound(score, book.fallback, outfit.setting)
            blank = _blank(danced.value, outfit.setting) if danced.value else None
            return Outcome(blank, danced.diagnostics)
        outcome = score_on_paper(
            score,
            book.fallback,
            book.paper,
            outfit.setting,
            outfit.key,
            book.plan.repeats_of(item),
            book.smaller,
        )
        inked = inked_of(outcome.value, outfit.setting.catalogue) if outcome.value else None
        return Outcome(inked, outcome.diagnostics)


def inked_of(score: OnPaper, catalogue: Catalogue) -> Inked:
    return Inked(
        score.lines,
        tuple(bar.form for bar in score.engraved.bars),
        sum(bar.number >= 1 for bar in score.danced.timeline.bars),
        tuple(score_features(score.printed.danced, span) for span in score.engraved.spans),
        tuple(_placings(score)),
        telling_frames(score.danced, catalogue),
    )


def larger_than_usual(setting: Setting, sizes: Iterable[Setting]) -> bool:
    usual = setting.style.stave_height
    return any(size.style.stave_height > usual for size in sizes)


def with_ink(piece: Piece, inked: Inked) -> Piece:
    own = (inked.lines, inked.form, inked.bars, inked.features, inked.placings, inked.telling)
    return Piece(piece.number, piece.score, piece.school, *own)


def _blank(danced: Danced, setting: Setting) -> Inked:
    """What stands for a score that is not engraved yet: one line that takes no room."""
    box = Box(0.0, 0.0, 1.0, 1.0)
    svg = draw(Drawing(box, setting.style.space), setting.faces)
    lines = (DrawnLine(svg, (1, 1), box, setting.style.space),)
    return Inked(lines, (), 0, (), (), telling_frames(danced, setting.catalogue))


def _placings(score: OnPaper) -> Iterator[frozenset[str]]:
    """Of each line, with the signs of repeats at its bars."""
    engraved = score.engraved
    for line, span in zip(engraved.lines, engraved.spans, strict=True):
        signs = form_features(bar.form for bar in engraved.bars[line.start : line.end])
        yield score_placings(score.printed.danced, span) | signs


def manuscript_of(
    project: Project,
    asked: Asked,
    house: House,
    jobs: int = 1,
    meanwhile: Callable[[], object] = tuple,
) -> Outcome[Manuscript]:
    """A book with every exercise engraved, in up to `jobs` processes; None where anything is
    in the way. `meanwhile` is called here where this process would wait for others."""
    if project.plan is None:
        return Outcome(None, project.diagnostics)
    chosen, strange = laid_out(project.plan, asked, house.layouts)
    styled = on_paper(project.sheets, chosen.paper, chosen.distances)
    styles = style_faults(styled, house)
    sheets = on_paper((), chosen.paper) if has_errors(styles) else styled
    outfit = outfit_of(sheets, house, language_of(project.plan))
    book = _in_print(project.plan, project.scores, chosen, outfit, _sizes(chosen, sheets, outfit))
    inked = _all_inked(book, jobs, meanwhile)
    faults = dict.fromkeys(
        (
            *project.diagnostics,
            *strange,
            *styles,
            *check_book(project.plan, dict(project.scores), house.catalogue),
            *_type_faults(book),
            *_remains_faults(project, book),
            *picture_faults(sheets, outfit.setting, outfit.key),
            *(fault for outcome in inked for fault in outcome.diagnostics),
        )
    )
    made = None if has_errors(faults) else _manuscript(book, inked)
    return Outcome(made, tuple(faults))


def _in_print(
    plan: BookPlan,
    scores: tuple[tuple[str, Score], ...],
    chosen: LaidOut,
    outfit: Outfit,
    sizes: tuple[Setting, ...],
) -> _Book:
    """The book with what is printed of it alone, and its words as they are printed."""
    used = as_printed(plan, [score for _, score in scores])
    quotes = quotes_of(language_of(plan) or outfit.labels)
    return _Book(
        typeset_book(used, quotes),
        tuple((path, typeset_score(score, quotes)) for path, score in scores),
        chosen,
        outfit,
        sizes,
    )


def _sizes(chosen: LaidOut, sheets: tuple[StyleSheet, ...], outfit: Outfit) -> tuple[Setting, ...]:
    """The setting in all sizes of the edition; a style that sets a height has that alone."""
    _usual, *styles = sheets
    if any(sheet.stave_height for sheet in styles):
        return ()
    setting = outfit.setting
    usual = setting.style.stave_height
    return tuple(setting if size == usual else setting.at_height(size) for size in chosen.sizes)


def language_of(plan: BookPlan) -> str | None:
    """The language that a book names for its text, where the labels have it too."""
    return plan.language if plan.language in languages() else None


def _all_inked(
    book: _Book, jobs: int, meanwhile: Callable[[], object]
) -> tuple[Outcome[Inked], ...]:
    jobs = worth(jobs, len({item.score for item in book.plan.exercises}))
    with workers(_Engraver(book), jobs, meanwhile=meanwhile) as do:
        return do(((path, path) for path, _ in book.scores), silent)


def _type_faults(book: _Book) -> Iterator[Diagnostic]:
    """Words of the book that its faces cannot set, and those too wide for their places."""
    setting = book.outfit.setting
    room = places(book.chosen.layout.places, book.paper)
    yield from check_book_type(book.plan, setting.faces)
    yield from book_words_in_place(book.plan, room, setting.faces)
    for _, score in book.scores:
        yield from score_words_in_place(score, room, setting.faces)


def _remains_faults(project: Project, book: _Book) -> Iterator[Diagnostic]:
    for remains in project.remains:
        yield from remains_faults(remains, book.fallback, book.outfit.setting)


def _manuscript(book: _Book, inked: tuple[Outcome[Inked], ...]) -> Manuscript | None:
    """None where the book's school is not known."""
    outfit, setting = book.outfit, book.outfit.setting
    school = school_of(None, book.fallback, setting.catalogue)
    if school is None:
        return None
    paper, scores = book.paper, (score for _, score in book.scores)
    return Manuscript(
        book.plan,
        tuple(_pieces(book, inked)),
        school,
        book.chosen.layout,
        book.chosen.edition,
        paper,
        setting,
        outfit.key,
        note_drawings(scores, paper.type_size, setting.catalogue, setting.faces, outfit.labels),
        outfit.labels,
        book.sizes,
    )


def _pieces(book: _Book, inked: tuple[Outcome[Inked], ...]) -> Iterator[tuple[str, Piece]]:
    for number, ((path, score), lines) in enumerate(zip(book.scores, inked, strict=True), 1):
        catalogue = book.outfit.setting.catalogue
        school = school_of(score.school, book.fallback, catalogue)
        if lines.value and school:
            bare = Piece(number, in_numbers(score, catalogue, school), school)
            yield path, with_ink(bare, lines.value)
