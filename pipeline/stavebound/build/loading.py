"""Loading: files to validated values.

In: paths as a person or a book names them. Out: what the file holds, all its
faults, and its text. A score is unfolded, with the files whose steps it uses. A
book's files must lie inside the book's folder.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass, field, replace
from functools import partial
from pathlib import Path, PurePosixPath
from types import MappingProxyType

from stavebound.diagnostics import Diagnostic, Span, has_errors
from stavebound.score.book import BookPlan, StyleSheet, read_book, read_style
from stavebound.score.model import Origin, Score
from stavebound.score.unfolding.definitions import definitions, uses_faults
from stavebound.score.unfolding.unfold import steps_used, unfold
from stavebound.score.unfolding.values import Steps
from stavebound.source.decode import read_text
from stavebound.source.document import Element
from stavebound.source.reading import parse_source
from stavebound.source.schema import load_schema, schema_faults
from stavebound.suggest import did_you_mean, suggest
from stavebound.workers import silent, workers, worth


@dataclass(frozen=True, slots=True)
class SharedSteps:
    """A file of steps that scores use."""

    steps: Steps


Content = Score | BookPlan | StyleSheet | SharedSteps

READERS: dict[str, Callable[[Element], Content]] = {"book": read_book, "style": read_style}

KINDS: Mapping[type, str] = MappingProxyType(
    {Score: "score", BookPlan: "book", StyleSheet: "style", SharedSteps: "file of steps"}
)

# What helps whoever has the one kind of file where the other is wanted.
WHERE: Mapping[tuple[str, str], tuple[str, ...]] = MappingProxyType(
    {
        ("score", "book"): (
            'A score is built as part of a book that lists it: <exercise score="…"/>.',
            "By itself, stavebound check and stavebound engrave take it.",
        ),
        ("book", "score"): ("It is one of those that the book lists.",),
    }
)


@dataclass(frozen=True, slots=True)
class Loaded:
    """A file: its path as shown, its text, what it holds, and its faults.

    `content` is None where the faults leave nothing that can be understood.
    `others` are the texts of the files that were read for it, by path as shown.
    """

    shown: str
    text: str
    content: Content | None
    diagnostics: tuple[Diagnostic, ...]
    others: tuple[tuple[str, str], ...] = ()

    @property
    def texts(self) -> dict[str, str]:
        return {self.shown: self.text, **dict(self.others)}


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
    return Styled((), loaded.diagnostics or (wrong_kind(loaded, "style"),), texts)


def with_style(project: Project, styled: Styled) -> Project:
    """A book with another style over its own."""
    return replace(
        project,
        sheets=(*project.sheets, *styled.sheets),
        diagnostics=(*project.diagnostics, *styled.diagnostics),
        texts=(*project.texts, *styled.texts.items()),
    )


def load(path: Path, shown: str, within: Path | None = None) -> Loaded:
    """Read and validate one file of any kind; what it uses must lie `within` a folder, if any."""
    source, faults, text = _valid(path, shown)
    if source is None:
        return Loaded(shown, text, None, faults)
    if source.name == "score":
        return _score(source, Loaded(shown, text, None, faults), path.parent, within)
    if source.name == "steps":
        return _steps(source, Loaded(shown, text, None, faults))
    return Loaded(shown, text, READERS[source.name](source), faults)


def _valid(path: Path, shown: str) -> tuple[Element | None, tuple[Diagnostic, ...], str]:
    """The root of a file that the schema accepts, what is wrong with it, and its text."""
    text = read_text(path, shown)
    if text.value is None:
        return None, text.diagnostics, ""
    source = parse_source(text.value, shown)
    if source.value is None:
        return None, source.diagnostics, text.value
    faults = (*source.diagnostics, *schema_faults(source.value, load_schema()))
    return None if has_errors(faults) else source.value.root, faults, text.value


def _score(root: Element, loaded: Loaded, folder: Path, within: Path | None) -> Loaded:
    """A score unfolded, with the steps that it uses."""
    faults, others, shared = list(loaded.diagnostics), {}, []
    shown_folder = PurePosixPath(Path(loaded.shown).parent.as_posix())
    for name, span in steps_used(root):
        fault = _unusable(name, span, folder, within)
        if fault:
            faults.append(fault)
            continue
        shown = str(shown_folder / name)
        steps, found, others[shown] = _valid(folder / name, shown)
        faults += found
        if steps is not None and steps.name == "steps":
            shared.append(steps)
        elif steps is not None:
            faults.append(_other_kind(name, span, "steps"))
    read = replace(loaded, diagnostics=tuple(faults), others=tuple(others.items()))
    if has_errors(faults):
        return read
    unfolded = unfold(root, shared)
    content = unfolded.value.score if unfolded.value else None
    return replace(read, content=content, diagnostics=(*faults, *unfolded.diagnostics))


def _steps(root: Element, loaded: Loaded) -> Loaded:
    defined = definitions((root,))
    steps = defined.value or {}
    faults = (*loaded.diagnostics, *defined.diagnostics, *uses_faults(root, steps))
    return replace(loaded, content=SharedSteps(steps), diagnostics=faults)


def _unusable(name: str, span: Span, folder: Path, within: Path | None) -> Diagnostic | None:
    """Why a file of steps cannot be used, before it is opened."""
    if within and not (folder / name).resolve().is_relative_to(within.resolve()):
        return _outside(name, span)
    return None if (folder / name).is_file() else _missing(name, span, folder, "score")


def load_project(path: Path, shown: str, jobs: int = 1) -> Project:
    """Read a book and every file it names, in up to `jobs` processes; each file once, however
    often it is named."""
    book = load(path, shown)
    if not isinstance(book.content, BookPlan):
        faults = book.diagnostics or (wrong_kind(book, "book"),)
        return Project(None, (), (), faults, tuple(book.texts.items()))
    return _with_files(book, book.content, path, jobs)


def wrong_kind(loaded: Loaded, wanted: str) -> Diagnostic:
    """The fault of a file that a command does not work on: wanted is book, score or style."""
    have = KINDS.get(type(loaded.content), "another kind of file")
    origin = getattr(loaded.content, "origin", None)
    return Diagnostic(
        "B604",
        f"this is a {have}, and a {wanted} is wanted",
        origin.span if isinstance(origin, Origin) else Span(loaded.shown, 1, 1),
        hints=(f"Name a file whose root element is <{wanted}>.", *WHERE.get((have, wanted), ())),
    )


@dataclass(frozen=True, slots=True)
class _Named:
    """A file that a book names: by which attribute, and where."""

    name: str
    attribute: str
    span: Span


def _with_files(book: Loaded, plan: BookPlan, path: Path, jobs: int) -> Project:
    folder, shown_folder = path.parent, PurePosixPath(Path(book.shown).parent.as_posix())
    faults, texts = list(book.diagnostics), {book.shown: book.text}
    scores: dict[str, Score] = {}
    sheets: list[StyleSheet] = []
    files = tuple(_files_of(plan))
    with workers(partial(_named, folder, shown_folder), worth(jobs, len(files))) as do:
        found = do(((file.name, file) for file in files), silent)
    for file, loaded in zip(files, found, strict=True):
        faults += loaded.diagnostics
        texts |= loaded.texts
        if isinstance(loaded.content, Score) and file.attribute == "score":
            scores[file.name] = loaded.content
        elif isinstance(loaded.content, StyleSheet) and file.attribute == "style":
            sheets.append(loaded.content)
        elif loaded.content is not None:
            faults.append(_other_kind(file.name, file.span, file.attribute))
    sheets += [plan.style] if plan.style else []
    order = [(item.score, scores[item.score]) for item in plan.exercises if item.score in scores]
    return Project(plan, tuple(order), tuple(sheets), tuple(faults), tuple(texts.items()))


def _files_of(plan: BookPlan) -> Iterator[_Named]:
    if plan.style_path:
        yield _Named(plan.style_path, "style", plan.origin.of("style"))
    for exercise in {item.score: item for item in reversed(plan.exercises)}.values():
        yield _Named(exercise.score, "score", exercise.origin.of("score"))


def _named(folder: Path, shown_folder: PurePosixPath, file: _Named) -> Loaded:
    """A file named inside a book, its own faults told at the place that names it
    where the file itself cannot be opened."""
    name, span = file.name, file.span
    path = folder / name
    shown = str(shown_folder / name)
    if not path.resolve().is_relative_to(folder.resolve()):
        return Loaded(shown, "", None, (_outside(name, span),))
    if not path.is_file():
        return Loaded(shown, "", None, (_missing(name, span, folder, "book"),))
    return load(path, shown, folder)


def _outside(name: str, span: Span) -> Diagnostic:
    return Diagnostic(
        "B602",
        f"“{name}” leads out of the book's folder",
        span,
        hints=("Put the file into the book's folder and name it from there.",),
    )


def _missing(name: str, span: Span, folder: Path, owner: str) -> Diagnostic:
    near = _neighbours(folder / name, folder)
    usual = f"The path is relative to the folder of the {owner}'s own file."
    return Diagnostic(
        "B601",
        f"there is no file “{name}” in the {owner}'s folder",
        span,
        hints=(near or usual,),
    )


def _neighbours(path: Path, folder: Path) -> str | None:
    """A file with a name like this one, or one of this very name a folder further in or out."""
    if ".." in path.parts:
        return None
    name = path.relative_to(folder).as_posix()
    near = suggest(name, _files(path.parent, folder))
    inner = (entry for entry in sorted(folder.iterdir()) if entry.is_dir())
    same = [file for place in (folder, *inner) for file in _files(place, folder)]
    return near or did_you_mean([file for file in same if Path(file).name == path.name])


def _files(place: Path, folder: Path) -> list[str]:
    """The files of a place by their paths from the folder, if there is such a place."""
    found = place.iterdir() if place.is_dir() else ()
    return [file.relative_to(folder).as_posix() for file in found if file.is_file()]


def _other_kind(name: str, span: Span, wanted: str) -> Diagnostic:
    return Diagnostic(
        "B603",
        f"“{name}” is not a {wanted}",
        span,
        hints=(f"Name a file whose root element is <{wanted}>.",),
    )
