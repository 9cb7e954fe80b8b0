"""A book's plan, a house style and a shared glossary, as values, and how they are read.

In: the validated root of such a file. Out: a `BookPlan`, a `StyleSheet` or a `Glossary`.
Paths are as written; nothing is opened here.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date
from decimal import Decimal
from itertools import chain

from stavebound.score.model import Prose, Words
from stavebound.score.origin import Origin, origin_field
from stavebound.score.read import all_of, given, only, read_prose, required
from stavebound.score.words import composed, origin_of, words_of
from stavebound.source.document import Element

# The layout of a book that names none.
USUAL_LAYOUT = "syllabus"

# How repeats are printed.
SIGNS = "signs"
WRITTEN_OUT = "written out"

# The elements of a drawing: where the sign table has its rows, and the order of their numbers.
DRAWN = {
    "stroke": ("strokes", ("from", "to", "width")),
    "disc": ("discs", ("at", "diameter")),
    "ring": ("rings", ("at", "diameter", "width")),
    "curve": ("curves", ("from", "controls", "to", "width")),
}


NOTHING = "none"
"""What a name promises that promises nothing."""


@dataclass(frozen=True, slots=True)
class DistanceSet:
    """A distance of the engraving set to so many spaces."""

    name: str
    spaces: Decimal
    origin: Origin = origin_field()


@dataclass(frozen=True, slots=True)
class PromiseSet:
    """A step's name that promises what another one does, None nothing."""

    name: str
    like: str | None
    origin: Origin = origin_field()


@dataclass(frozen=True, slots=True)
class ColourSet:
    """A thing set to a colour, both by their names."""

    thing: str
    colour: str
    origin: Origin = origin_field()


@dataclass(frozen=True, slots=True)
class DrawnPiece:
    """A piece of a sign's drawing: a row of the sign table's `kind`, its numbers in their
    order there, in spaces round the sign's centre."""

    kind: str
    numbers: tuple[Decimal, ...]
    origin: Origin = origin_field()


@dataclass(frozen=True, slots=True)
class SignSetting:
    """What a style sets for one sign; for all of them where `name` is None.

    `size` is a factor on the whole drawing, `weight` one on the width of its lines;
    `drawing` stands in place of the packaged one, unless it is empty.
    """

    name: str | None = None
    size: Decimal | None = None
    weight: Decimal | None = None
    drawing: tuple[DrawnPiece, ...] = ()
    origin: Origin = origin_field()


@dataclass(frozen=True, slots=True)
class TypeSetting:
    """The families of text and headings by name, size and leading of the text in points."""

    text: str | None = None
    headings: str | None = None
    size: Decimal | None = None
    leading: Decimal | None = None
    origin: Origin = origin_field()

    def over(self, below: TypeSetting) -> TypeSetting:
        """Laid over another. Who names another text face without headings means it for both;
        who sets another size without leading has the leading that goes with it."""
        return TypeSetting(
            text=self.text or below.text,
            headings=self.headings or (None if self.text else below.headings),
            size=self.size or below.size,
            leading=self.leading or (None if self.size else below.leading),
            origin=self.origin if self.size or self.leading else below.origin,
        )


@dataclass(frozen=True, slots=True)
class StyleSheet:
    """What a house style sets; None where it leaves the packaged value. Height in millimetres,
    and so is `binding`, by which the inner margin is wider than the paper's.

    `labels` is the language of what layouts print by themselves; `school` prints names
    where the book names none.
    """

    stave_height: Decimal | None = None
    binding: Decimal | None = None
    centre_line: bool | None = None
    line_names: str | None = None
    distances: tuple[DistanceSet, ...] = ()
    colours: tuple[ColourSet, ...] = ()
    promises: tuple[PromiseSet, ...] = ()
    signs: tuple[SignSetting, ...] = ()
    type: TypeSetting = TypeSetting()
    labels: str | None = None
    school: str | None = None
    identity: str | None = None
    origin: Origin = origin_field()


@dataclass(frozen=True, slots=True)
class Paragraph:
    words: Words
    origin: Origin = origin_field()


@dataclass(frozen=True, slots=True)
class Exercise:
    """A score that the book prints, by its path from the book's file; `repeats` are signs or
    written out, None where the book says it."""

    score: str
    repeats: str | None = None
    origin: Origin = origin_field()


@dataclass(frozen=True, slots=True)
class Chapter:
    title: str
    items: tuple[Paragraph | Exercise, ...]
    identity: str | None = None
    origin: Origin = origin_field()

    @property
    def exercises(self) -> tuple[Exercise, ...]:
        return tuple(item for item in self.items if isinstance(item, Exercise))


@dataclass(frozen=True, slots=True)
class GlossaryEntry:
    """A word of the glossary; `said` is how it is said, respelled in plain letters. `shared`
    is one of a file that several books name."""

    term: str
    words: Words
    language: str | None = None
    said: str | None = None
    shared: bool = False
    origin: Origin = origin_field()


@dataclass(frozen=True, slots=True)
class Glossary:
    """A file of entries that several books share."""

    entries: tuple[GlossaryEntry, ...]
    origin: Origin = origin_field()


@dataclass(frozen=True, slots=True)
class GlossaryUse:
    """Such a file as a book names it, by its path from the book's file."""

    path: str
    origin: Origin = origin_field()


@dataclass(frozen=True, slots=True)
class BookPlan:
    title: str
    date: date
    chapters: tuple[Chapter, ...]
    identity: str | None = None
    subtitle: str | None = None
    author: str | None = None
    edition: str | None = None
    publisher: str | None = None
    shown: str | None = None
    """The score whose first line stands on the title page, as its exercise has it."""
    language: str | None = None
    school: str | None = None
    layout: str = USUAL_LAYOUT
    paper: str | None = None
    style_path: str | None = None
    style: StyleSheet | None = None
    repeats: str | None = None
    score_status: bool = False
    imprint: tuple[Paragraph, ...] = ()
    preface: tuple[Paragraph, ...] = ()
    prose: tuple[Prose, ...] = ()
    glossary: tuple[GlossaryEntry, ...] = ()
    glossary_files: tuple[GlossaryUse, ...] = ()
    """Shared ones that are named, and whose entries are not in `glossary`."""
    origin: Origin = origin_field()

    def texts(self, kind: str) -> tuple[Prose, ...]:
        return tuple(prose for prose in self.prose if prose.kind == kind)

    def repeats_of(self, exercise: Exercise) -> str:
        """How the repeats of an exercise are printed: as it says, else as the book does."""
        return exercise.repeats or self.repeats or WRITTEN_OUT

    @property
    def exercises(self) -> tuple[Exercise, ...]:
        return tuple(chain.from_iterable(chapter.exercises for chapter in self.chapters))


def read_book(root: Element) -> BookPlan:
    style = only(root, "style")
    glossaries = all_of(root, "glossary")
    return BookPlan(
        title=required(root, "title", composed),
        date=required(root, "date", date.fromisoformat),
        chapters=tuple(_chapter(child) for child in all_of(root, "chapter")),
        identity=given(root, "id", str),
        subtitle=given(root, "subtitle", composed),
        author=given(root, "author", composed),
        edition=given(root, "edition", composed),
        publisher=given(root, "publisher", composed),
        shown=given(root, "shown", str),
        language=given(root, "language", str),
        school=given(root, "school", str),
        layout=given(root, "layout", str) or USUAL_LAYOUT,
        paper=given(root, "paper", str),
        style_path=given(root, "style", str),
        style=read_style(style) if style else None,
        repeats=given(root, "repeats", str),
        score_status=bool(given(root, "score-status", _yes)),
        imprint=_paragraphs(only(root, "imprint")),
        preface=_paragraphs(only(root, "preface")),
        prose=read_prose(root),
        glossary=tuple(entry for one in glossaries for entry in _entries(one)),
        glossary_files=tuple(
            GlossaryUse(required(one, "from", str), origin_of(one))
            for one in glossaries
            if one.get("from")
        ),
        origin=origin_of(root),
    )


def read_style(root: Element) -> StyleSheet:
    stave, kind, page = only(root, "stave"), only(root, "type"), only(root, "page")
    return StyleSheet(
        stave_height=given(stave, "height", Decimal) if stave else None,
        binding=given(page, "binding", Decimal) if page else None,
        centre_line=given(stave, "centre-line", _yes) if stave else None,
        line_names=given(stave, "line-names", str) if stave else None,
        distances=tuple(
            DistanceSet(
                required(child, "of", str),
                required(child, "spaces", Decimal),
                origin_of(child),
            )
            for child in all_of(root, "distance")
        ),
        colours=tuple(
            ColourSet(required(child, "of", str), required(child, "is", str), origin_of(child))
            for child in all_of(root, "colour")
        ),
        promises=tuple(_promise(child) for child in all_of(root, "promise")),
        signs=tuple(_sign(child) for child in all_of(root, "signs", "sign")),
        type=_type(kind) if kind else TypeSetting(),
        labels=given(root, "labels", str),
        school=given(root, "school", str),
        identity=given(root, "id", str),
        origin=origin_of(root),
    )


def _promise(element: Element) -> PromiseSet:
    like = required(element, "is", str)
    return PromiseSet(
        required(element, "of", str), None if like == NOTHING else like, origin_of(element)
    )


def _type(element: Element) -> TypeSetting:
    return TypeSetting(
        text=given(element, "text", str),
        headings=given(element, "headings", str),
        size=given(element, "size", Decimal),
        leading=given(element, "leading", Decimal),
        origin=origin_of(element),
    )


def _sign(element: Element) -> SignSetting:
    return SignSetting(
        name=given(element, "of", str),
        size=given(element, "size", Decimal),
        weight=given(element, "weight", Decimal),
        drawing=tuple(_drawn(child) for child in all_of(element, *DRAWN)),
        origin=origin_of(element),
    )


def _drawn(element: Element) -> DrawnPiece:
    kind, attributes = DRAWN[element.name]
    numbers = (required(element, name, _numbers) for name in attributes)
    return DrawnPiece(kind, tuple(chain.from_iterable(numbers)), origin_of(element))


def _numbers(text: str) -> tuple[Decimal, ...]:
    return tuple(Decimal(number) for number in text.split())


def _yes(text: str) -> bool:
    return text == "yes"


def _paragraphs(element: Element | None) -> tuple[Paragraph, ...]:
    if element is None:
        return ()
    return tuple(_paragraph(child) for child in all_of(element, "text"))


def _paragraph(element: Element) -> Paragraph:
    return Paragraph(words_of(element), origin_of(element))


def _chapter(element: Element) -> Chapter:
    return Chapter(
        title=required(element, "title", composed),
        items=tuple(
            _paragraph(child) if child.name == "text" else _exercise(child)
            for child in all_of(element, "text", "exercise")
        ),
        identity=given(element, "id", str),
        origin=origin_of(element),
    )


def _exercise(element: Element) -> Exercise:
    return Exercise(
        required(element, "score", str), given(element, "repeats", str), origin_of(element)
    )


def read_glossary(root: Element) -> Glossary:
    return Glossary(tuple(_entries(root, shared=True)), origin_of(root))


def _entries(glossary: Element, *, shared: bool = False) -> Iterator[GlossaryEntry]:
    return (_entry(child, shared) for child in all_of(glossary, "entry"))


def _entry(element: Element, shared: bool) -> GlossaryEntry:
    return GlossaryEntry(
        term=required(element, "term", composed),
        words=words_of(element),
        language=given(element, "language", str),
        said=given(element, "said", composed),
        shared=shared,
        origin=origin_of(element),
    )
