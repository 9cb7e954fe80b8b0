"""Loading: files to validated values.

In: paths as a person or a book names them, and the root if one was asked for. Out: what
the file holds, all its faults, and its text. A score is unfolded, with the files whose
steps it uses. Where files lie and how they are opened is for `sources`.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Mapping
from dataclasses import dataclass, field, replace
from itertools import chain
from pathlib import Path
from types import MappingProxyType

from stavebound.build.kinds import other_kind, said, where
from stavebound.build.sources import Named, Source, find_all, given, read
from stavebound.diagnostics import Diagnostic, Outcome, Span, has_errors
from stavebound.plan.book import (
    BookPlan,
    Glossary,
    StyleSheet,
    read_book,
    read_glossary,
    read_style,
)
from stavebound.score.model import Origin, Score
from stavebound.score.unfolding.definitions import definitions, uses_faults
from stavebound.score.unfolding.remains import Remains, remains_of
from stavebound.score.unfolding.unfold import steps_used, unfold
from stavebound.score.unfolding.values import Steps
from stavebound.source.document import Element
from stavebound.source.reading import parse_source
from stavebound.source.schema import load_schema, schema_faults
from stavebound.source.sound import sound_part
from stavebound.workers import silent, workers, worth


@dataclass(frozen=True, slots=True)
class SharedSteps:
    """A file of steps that scores use."""

    steps: Steps


Content = Score | BookPlan | StyleSheet | Glossary | SharedSteps

READERS: Mapping[str, Callable[[Element], Content]] = MappingProxyType(
    {"book": read_book, "style": read_style, "glossary": read_glossary}
)

# What a file holds, by the name of its root element.
KINDS: Mapping[type, str] = MappingProxyType(
    {
        Score: "score",
        BookPlan: "book",
        StyleSheet: "style",
        Glossary: "glossary",
        SharedSteps: "steps",
    }
)


@dataclass(frozen=True, slots=True)
class Loaded:
    """A file: where it lies, its text, what it holds, and its faults.

    `content` is None where the faults leave nothing that can be understood; of a score
    `remains` may be judged then.
    `others` are the texts of the files that were read for it, by path as shown.
    """

    source: Source
    text: str
    content: Content | None
    diagnostics: tuple[Diagnostic, ...]
    others: tuple[tuple[str, str], ...] = ()
    remains: Remains | None = None

    @property
    def texts(self) -> dict[str, str]:
        return {self.source.shown: self.text, **dict(self.others)}


@dataclass(frozen=True, slots=True)
class Project:
    """A book with all its files. `scores` are by the path that the plan gives; `remains` are
    those of other scores."""

    plan: BookPlan | None
    scores: tuple[tuple[str, Score], ...]
    sheets: tuple[StyleSheet, ...]
    diagnostics: tuple[Diagnostic, ...]
    texts: tuple[tuple[str, str], ...]
    remains: tuple[Remains, ...] = ()


@dataclass(frozen=True, slots=True)
class Styled:
    """A style named by itself, none or one; its faults, and its text by path."""

    sheets: tuple[StyleSheet, ...] = ()
    diagnostics: tuple[Diagnostic, ...] = ()
    texts: Mapping[str, str] = field(default_factory=dict)


# ---------------------------------------------------------------- one file


def load(path: Path, shown: str, root: Path | None = None, wanted: str | None = None) -> Loaded:
    """Read and validate one file of any kind, with the steps that it names inside the root;
    `wanted` is the root element for which the command has use, if it has for one alone."""
    return _loaded(given(path, shown, root), wanted)


def load_style(path: Path | None) -> Styled:
    """A style's file, where one is named."""
    if path is None:
        return Styled()
    loaded = load(path, str(path), wanted="style")
    if isinstance(loaded.content, StyleSheet):
        return Styled((loaded.content,), loaded.diagnostics, loaded.texts)
    return Styled((), loaded.diagnostics or (wrong_kind(loaded, "style"),), loaded.texts)


def wrong_kind(loaded: Loaded, wanted: str) -> Diagnostic:
    """The fault of a file that a command does not work on: wanted is book, score or style."""
    have = KINDS[type(loaded.content)] if loaded.content else None
    origin = getattr(loaded.content, "origin", None)
    span = origin.span if isinstance(origin, Origin) else Span(loaded.source.shown, 1, 1)
    message = f"this is {said(have)}, and {said(wanted)} is wanted"
    hint = f"Name a file whose root element is <{wanted}>."
    return Diagnostic("B604", message, span, (hint, *where(have, wanted, loaded.source)))


def _loaded(source: Source, wanted: str | None = None) -> Loaded:
    parsed = _parsed(source, wanted)
    loaded = Loaded(source, parsed.text, None, parsed.faults)
    if parsed.root is None:
        return loaded
    if parsed.root.name == "score":
        return _score(parsed.root, loaded)
    if parsed.sound is None:
        return loaded
    if parsed.root.name == "steps":
        return _steps(parsed.root, loaded)
    return replace(loaded, content=READERS[parsed.root.name](parsed.root))


@dataclass(frozen=True, slots=True)
class _Parsed:
    """The root of a file, what the schema finds wrong with it, and its text."""

    root: Element | None
    faults: tuple[Diagnostic, ...]
    text: str

    @property
    def sound(self) -> Element | None:
        """The root of a file that the schema accepts."""
        return None if has_errors(self.faults) else self.root


def _parsed(source: Source, wanted: str | None = None) -> _Parsed:
    text = read(source, wanted)
    if text.value is None:
        return _Parsed(None, text.diagnostics, "")
    parsed = parse_source(text.value, source.shown)
    if parsed.value is None:
        return _Parsed(None, parsed.diagnostics, text.value)
    faults = (*parsed.diagnostics, *schema_faults(parsed.value, load_schema()))
    return _Parsed(parsed.value.root, faults, text.value)


def _score(root: Element, loaded: Loaded) -> Loaded:
    """A score unfolded, with the steps that it uses. What is damaged is left out, so that the
    rest is judged all the same."""
    left = sound_part(root, loaded.diagnostics)
    shared = _shared(left.root, loaded.source)
    faults = (*loaded.diagnostics, *shared.faults)
    read_all = replace(loaded, others=shared.texts)
    if not has_errors(faults):
        unfolded = unfold(root, shared.roots)
        faults += unfolded.diagnostics
        if unfolded.value:
            return replace(read_all, content=unfolded.value.score, diagnostics=faults)
    remains = remains_of(left, shared.roots, shared.every)
    faults = tuple(dict.fromkeys((*faults, *remains.diagnostics)))
    return replace(read_all, diagnostics=faults, remains=remains.value)


@dataclass(frozen=True, slots=True)
class _Shared:
    """The files of steps that a score names: their roots, whether that is every one of them,
    and their texts by path as shown."""

    roots: tuple[Element, ...]
    every: bool
    faults: tuple[Diagnostic, ...]
    texts: tuple[tuple[str, str], ...]


def _shared(root: Element, source: Source) -> _Shared:
    """Each file of steps is read once."""
    faults: list[Diagnostic] = []
    files: dict[Path, Element | None] = {}
    texts: dict[str, str] = {}
    found = list(find_all(source, (Named(name, "steps", at) for name, at in steps_used(root))))
    for named, one in found:
        faults += one.diagnostics
        if one.value is None:
            continue
        if one.value.real not in files:
            parsed = _parsed(one.value)
            files[one.value.real], texts[one.value.shown] = parsed.sound, parsed.text
            faults += parsed.faults
        steps = files[one.value.real]
        if steps is not None and steps.name != "steps":
            faults.append(other_kind(named, steps.name))
    roots = tuple(steps for steps in files.values() if steps and steps.name == "steps")
    every = len(roots) == len(files) and all(one.value for _, one in found)
    return _Shared(roots, every, tuple(faults), tuple(texts.items()))


def _steps(root: Element, loaded: Loaded) -> Loaded:
    defined = definitions((root,))
    steps = defined.value or {}
    faults = (*loaded.diagnostics, *defined.diagnostics, *uses_faults(root, steps))
    return replace(loaded, content=SharedSteps(steps), diagnostics=faults)


# ---------------------------------------------------------------- a book


def load_project(path: Path, shown: str, jobs: int = 1, root: Path | None = None) -> Project:
    """Read a book and every file it names, in up to `jobs` processes; each file once, however
    often it is named."""
    book = load(path, shown, root, wanted="book")
    if not isinstance(book.content, BookPlan):
        faults = book.diagnostics or (wrong_kind(book, "book"),)
        return Project(None, (), (), faults, tuple(book.texts.items()))
    return _with_files(book, book.content, jobs)


def with_style(project: Project, styled: Styled) -> Project:
    """A book with another style over its own."""
    return replace(
        project,
        sheets=(*project.sheets, *styled.sheets),
        diagnostics=(*project.diagnostics, *styled.diagnostics),
        texts=(*project.texts, *styled.texts.items()),
    )


def _with_files(book: Loaded, plan: BookPlan, jobs: int) -> Project:
    found = find_all(book.source, _files_of(plan))
    files = _loaded_once((one.value for _, one in found if one.value), jobs)
    held = tuple((named, files[one.value.real]) for named, one in found if one.value)
    used = tuple((named, loaded) for named, loaded in held if _kind(named, loaded) == named.kind)
    scores = {
        named.name: loaded.content for named, loaded in used if isinstance(loaded.content, Score)
    }
    sheets = [loaded.content for _, loaded in used if isinstance(loaded.content, StyleSheet)]
    remains = [one.remains for named, one in held if one.remains and named.kind == "score"]
    faults = (each for named, one in found for each in _faults(named, one, files))
    texts = dict(chain.from_iterable(one.texts.items() for one in (book, *(i for _, i in held))))
    return Project(
        _with_glossaries(plan, used),
        tuple((item.score, scores[item.score]) for item in plan.exercises if item.score in scores),
        (*sheets, *((plan.style,) if plan.style else ())),
        (*book.diagnostics, *faults),
        tuple(texts.items()),
        tuple(remains),
    )


def _kind(named: Named, loaded: Loaded) -> str:
    """What a file holds; what is wanted of it, where its faults leave nothing to tell."""
    return KINDS[type(loaded.content)] if loaded.content else named.kind


def _faults(
    named: Named, found: Outcome[Source], files: Mapping[Path, Loaded]
) -> Iterator[Diagnostic]:
    """Of a file that a book names: it is not there, is faulty in itself, or is another kind."""
    yield from found.diagnostics
    if found.value:
        loaded = files[found.value.real]
        yield from loaded.diagnostics
        if (kind := _kind(named, loaded)) != named.kind:
            yield other_kind(named, kind)


def _with_glossaries(plan: BookPlan, used: Iterable[tuple[Named, Loaded]]) -> BookPlan:
    """The plan with the entries of its glossaries before its own, those of each file once, and
    with the uses of those that could not be read."""
    read = [
        (named.name, one.source.real, one.content)
        for named, one in used
        if isinstance(one.content, Glossary)
    ]
    shared = {real: glossary.entries for _, real, glossary in read}
    joined = {name for name, _, _ in read}
    return replace(
        plan,
        glossary=(*chain.from_iterable(shared.values()), *plan.glossary),
        glossary_files=tuple(use for use in plan.glossary_files if use.path not in joined),
    )


def _files_of(plan: BookPlan) -> Iterator[Named]:
    if plan.style_path:
        yield Named(plan.style_path, "style", plan.origin.of("style"))
    for use in plan.glossary_files:
        yield Named(use.path, "glossary", use.origin.of("from"))
    for exercise in {item.score: item for item in reversed(plan.exercises)}.values():
        yield Named(exercise.score, "score", exercise.origin.of("score"))


def _loaded_once(found: Iterable[Source], jobs: int) -> Mapping[Path, Loaded]:
    """Each file of several names once, by where it lies."""
    files = {source.real: source for source in found}
    with workers(_loaded, worth(jobs, len(files))) as do:
        return dict(
            zip(files, do(((file.shown, file) for file in files.values()), silent), strict=True)
        )
