"""Loading: files to validated values.

In: paths as a person or a book names them. Out: what the file holds, all its
faults, and its text. A book's files must lie inside the book's folder.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from pathlib import Path, PurePosixPath

from stavebound.diagnostics import Diagnostic, Span, has_errors
from stavebound.score.book import BookPlan, StyleSheet, read_book, read_style
from stavebound.score.model import Origin, Score
from stavebound.score.read import read_score
from stavebound.source.decode import read_text
from stavebound.source.document import Element
from stavebound.source.reading import parse_source
from stavebound.source.schema import load_schema, schema_faults
from stavebound.suggest import suggest

Content = Score | BookPlan | StyleSheet

READERS: dict[str, Callable[[Element], Content]] = {
    "score": read_score,
    "book": read_book,
    "style": read_style,
}


@dataclass(frozen=True, slots=True)
class Loaded:
    """A file: its path as shown, its text, what it holds, and its faults.

    `content` is None where the faults leave nothing that can be understood.
    """

    shown: str
    text: str
    content: Content | None
    diagnostics: tuple[Diagnostic, ...]


@dataclass(frozen=True, slots=True)
class Project:
    """A book with all its files. `scores` are by the path that the plan gives."""

    plan: BookPlan | None
    scores: tuple[tuple[str, Score], ...]
    sheets: tuple[StyleSheet, ...]
    diagnostics: tuple[Diagnostic, ...]
    texts: tuple[tuple[str, str], ...]


@dataclass(frozen=True, slots=True)
class Styled:
    """A style named by itself, none or one; its faults, and its text by path."""

    sheets: tuple[StyleSheet, ...] = ()
    diagnostics: tuple[Diagnostic, ...] = ()
    texts: Mapping[str, str] = field(default_factory=dict)


def load_style(path: Path | None) -> Styled:
    """A style's file, where one is named."""
    if path is None:
        return Styled()
    loaded = load(path, str(path))
    texts = {loaded.shown: loaded.text}
    if isinstance(loaded.content, StyleSheet):
        return Styled((loaded.content,), loaded.diagnostics, texts)
    return Styled((), loaded.diagnostics or (wrong_kind(loaded, "a style"),), texts)


def load(path: Path, shown: str) -> Loaded:
    """Read and validate one file of any kind."""
    text = read_text(path, shown)
    if text.value is None:
        return Loaded(shown, "", None, text.diagnostics)
    source = parse_source(text.value, shown)
    if source.value is None:
        return Loaded(shown, text.value, None, source.diagnostics)
    faults = (*source.diagnostics, *schema_faults(source.value, load_schema()))
    root = source.value.root
    content = None if has_errors(faults) else READERS[root.name](root)
    return Loaded(shown, text.value, content, faults)


def load_project(path: Path, shown: str) -> Project:
    """Read a book and every file it names; each file once, however often it is named."""
    book = load(path, shown)
    if not isinstance(book.content, BookPlan):
        faults = book.diagnostics or (wrong_kind(book, "a book"),)
        return Project(None, (), (), faults, ((book.shown, book.text),))
    return _with_files(book, book.content, path)


def wrong_kind(loaded: Loaded, wanted: str) -> Diagnostic:
    """The fault of a file that a command does not work on."""
    return Diagnostic(
        "B604",
        f"expected {wanted}, but this is another kind of file",
        Span(loaded.shown, 1, 1),
        hints=(f"Name a file whose root element makes it {wanted}.",),
    )


def _with_files(book: Loaded, plan: BookPlan, path: Path) -> Project:
    folder, shown_folder = path.parent, PurePosixPath(Path(book.shown).parent.as_posix())
    faults, texts = list(book.diagnostics), {book.shown: book.text}
    scores: dict[str, Score] = {}
    sheets: list[StyleSheet] = []

    def named(name: str, origin: Origin, attribute: str, kind: type[Content]) -> Content | None:
        loaded = _named(folder, shown_folder, name, origin.of(attribute))
        faults.extend(loaded.diagnostics)
        texts.setdefault(loaded.shown, loaded.text)
        if loaded.content is None or isinstance(loaded.content, kind):
            return loaded.content
        faults.append(_other_kind(name, origin.of(attribute), attribute))
        return None

    if plan.style_path:
        sheet = named(plan.style_path, plan.origin, "style", StyleSheet)
        sheets += [sheet] if isinstance(sheet, StyleSheet) else []
    for exercise in {item.score: item for item in reversed(plan.exercises)}.values():
        score = named(exercise.score, exercise.origin, "score", Score)
        if isinstance(score, Score):
            scores[exercise.score] = score
    sheets += [plan.style] if plan.style else []
    order = [(item.score, scores[item.score]) for item in plan.exercises if item.score in scores]
    return Project(plan, tuple(order), tuple(sheets), tuple(faults), tuple(texts.items()))


def _named(folder: Path, shown_folder: PurePosixPath, name: str, span: Span) -> Loaded:
    """A file named inside a book, its own faults told at the place that names it
    where the file itself cannot be opened."""
    path = folder / name
    shown = str(shown_folder / name)
    if not path.resolve().is_relative_to(folder.resolve()):
        return Loaded(shown, "", None, (_outside(name, span),))
    if not path.is_file():
        return Loaded(shown, "", None, (_missing(name, span, folder),))
    return load(path, shown)


def _outside(name: str, span: Span) -> Diagnostic:
    return Diagnostic(
        "B602",
        f"“{name}” leads out of the book's folder",
        span,
        hints=("Put the file into the book's folder and name it from there.",),
    )


def _missing(name: str, span: Span, folder: Path) -> Diagnostic:
    near = _neighbours(folder / name, folder)
    return Diagnostic(
        "B601",
        f"there is no file “{name}” in the book's folder",
        span,
        hints=(near,) if near else ("The path is relative to the folder of the book's own file.",),
    )


def _neighbours(path: Path, folder: Path) -> str | None:
    if not path.parent.is_dir():
        return None
    files = [
        file.relative_to(folder).as_posix() for file in path.parent.iterdir() if file.is_file()
    ]
    return suggest(path.relative_to(folder).as_posix(), files)


def _other_kind(name: str, span: Span, wanted: str) -> Diagnostic:
    return Diagnostic(
        "B603",
        f"“{name}” is not a {wanted}",
        span,
        hints=(f"Name a file whose root element is <{wanted}>.",),
    )
