"""Descriptions of layouts: each folder's layout.toml, read and held against what there is.

In: folders that hold layouts, the packaged ones last. Out: `Layouts`, the usual one first.
A name that nothing has, of a section, what makes it, a template, a label, a text or a paper,
is a LayoutError with the file and the names that there are.

A description, and what lies beside it or in the shared folder `common`:

    papers   names of papers, whose rows are its own or stand in papers.toml
    form     kind of text → how it is set
    section  name, make, template, label, texts, which of them stand beside the staves, and
             whether words may face staves
    edition  name, label, paper, staves (their heights by paper), on (what is otherwise than in
             the row of a paper), distances (of the engraving, by paper), costs (over those of the
             layout), loose, and names of sections: front, body, back

Places where words are not broken stand beside it, in places.toml, where a layout has such.
"""

from __future__ import annotations

import tomllib
from collections.abc import Iterable, Iterator
from dataclasses import replace
from functools import cache
from importlib.resources import files
from importlib.resources.abc import Traversable
from pathlib import Path
from typing import Annotated, TypeVar

from pydantic import BaseModel, ConfigDict, Field, ValidationError

from stavebound.book.blocks import COSTS, MEASURES
from stavebound.book.editions import BACK, BODY, REFERRING
from stavebound.book.exercise import FORMS, FREE_KINDS, KINDS, OWN_FORMS, RUN
from stavebound.book.front import FRONT, FRONT_PAGE
from stavebound.book.layouts import DESCRIPTION, Edition, Layout, Layouts, Section
from stavebound.book.papers import Paper
from stavebound.book.places import PlaceRow
from stavebound.book.templates import Folders, found_in
from stavebound.plan.book import USUAL_LAYOUT
from stavebound.suggest import nearest
from stavebound.trade.printing import GREATEST_STAVE, LEAST_STAVE
from stavebound.wording.labels import ENGLISH, labels

Millimetres = Annotated[float, Field(ge=LEAST_STAVE, le=GREATEST_STAVE)]
M = TypeVar("M", bound=BaseModel)

# Points: smaller text is not read, larger leaves no room for a line.
LEAST_TEXT, GREATEST_TEXT = 6.0, 30.0
SHARED = "common"
PAPERS, PLACES = "papers.toml", "places.toml"
SPREADS = "spreads.toml"
# Forms that can do without a label.
UNLABELLED = ("words", "facts", "staves")
# What every layout has beside its templates, or takes from the shared folder.
STYLES = ("page.css", "margins.css")
MAKERS = {"front": FRONT, "body": {**REFERRING, **BODY}, "back": BACK}


class LayoutError(ValueError):
    """A layout's description that cannot be used; the message begins with its file."""


class _Row(BaseModel):
    model_config = ConfigDict(frozen=True, extra="forbid")


class _Paper(_Row):
    name: str = Field(pattern=r"^\S+$")
    width: float = Field(gt=0)
    height: float = Field(gt=0)
    top: float = Field(ge=0)
    inside: float = Field(ge=0)
    outside: float = Field(ge=0)
    type_size: float = Field(gt=0)
    leading: float = Field(gt=0)
    lines: int = Field(gt=0)
    stave: Millimetres
    column: float = Field(ge=0, default=0)
    gap: float = Field(ge=0, default=0)


class _OnPaper(_Row):
    """What an edition has otherwise than the row of its paper; None where it has the same."""

    top: float | None = Field(ge=0, default=None)
    inside: float | None = Field(ge=0, default=None)
    outside: float | None = Field(ge=0, default=None)
    type_size: float | None = Field(ge=LEAST_TEXT, le=GREATEST_TEXT, default=None)
    leading: float | None = Field(gt=0, default=None)
    lines: int | None = Field(gt=0, default=None)


class _Papers(_Row):
    paper: tuple[_Paper, ...] = ()


class _Places(_Row):
    place: tuple[PlaceRow, ...] = ()


class _NamedNumber(_Row):
    name: str
    value: float = Field(ge=0)
    unit: str = ""
    description: str


class _Spreads(_Row):
    cost: tuple[_NamedNumber, ...]
    measure: tuple[_NamedNumber, ...]


class _Section(_Row):
    name: str = Field(pattern=r"^[a-z][a-z0-9-]*$")
    make: str | None = None
    template: str
    label: str | None = None
    texts: tuple[str, ...] = ()
    beside: tuple[str, ...] = ()
    facing: bool = False


class _Edition(_Row):
    name: str = Field(pattern=r"^[a-z][a-z0-9-]*$")
    label: str | None = None
    paper: str | None = None
    staves: dict[str, Annotated[tuple[Millimetres, ...], Field(min_length=1)]] = {}
    on: dict[str, _OnPaper] = {}
    distances: dict[str, dict[str, float]] = {}
    costs: dict[str, Annotated[float, Field(ge=0)]] = {}
    loose: bool = False
    front: tuple[str, ...] = ()
    body: tuple[str, ...] = Field(min_length=1)
    back: tuple[str, ...] = ()


class _Description(_Papers):
    papers: tuple[str, ...] = Field(min_length=1)
    form: dict[str, str] = {}
    section: tuple[_Section, ...] = ()
    edition: tuple[_Edition, ...] = ()


@cache
def load_layouts(roots: tuple[Traversable, ...] = ()) -> Layouts:
    """All layouts in these folders and in the packaged one; of two of one name the first."""
    roots = (*roots, _packaged())
    found = [folder for root in roots for folder in root.iterdir() if _described(folder)]
    shared = tuple(root / SHARED for root in roots if (root / SHARED).is_dir())
    layouts = {folder.name: folder for folder in reversed(found)}
    order = sorted(layouts, key=lambda name: (name != USUAL_LAYOUT, name))
    return {name: _Reader((layouts[name], *shared)).layout() for name in order}


def _packaged() -> Traversable:
    """In the installed package, else in the checkout."""
    installed = files("stavebound") / "layouts"
    return installed if installed.is_dir() else Path(__file__).parents[3] / "layouts"


def _described(folder: Traversable) -> bool:
    return (folder / DESCRIPTION).is_file()


class _Reader:
    """Reads the description of one layout; its files are looked for in these folders."""

    def __init__(self, folders: Folders) -> None:
        self._folders = folders
        self._file = folders[0] / DESCRIPTION
        self._described = _read(self._file, _Description)
        self._papers = {row.name: Paper(**row.model_dump()) for row in self._paper_rows()}
        self._forms = self._known_forms()
        self._sections = {row.name: self._section(row) for row in self._described.section}

    def layout(self) -> Layout:
        described = self._described
        for file in STYLES:
            self._has_file("the layout", file)
        self._once("section", [row.name for row in described.section])
        self._once("edition", [row.name for row in described.edition])
        for name in described.papers:
            self._known("papers", "paper", name, self._papers)
        spreads = self._spreads()
        return Layout(
            self._folders[0].name,
            self._folders,
            tuple(self._papers[name] for name in described.papers),
            self._forms,
            self._place_rows(),
            tuple(map(self._edition, described.edition)),
            self._weights("cost", spreads.cost, COSTS),
            self._weights("measure", spreads.measure, MEASURES),
        )

    def _paper_rows(self) -> Iterator[_Paper]:
        """The layout's own last, so that they lie over the shared ones."""
        for folder in reversed(self._folders[1:]):
            if (folder / PAPERS).is_file():
                yield from _read(folder / PAPERS, _Papers).paper
        yield from self._described.paper

    def _place_rows(self) -> tuple[PlaceRow, ...]:
        file = found_in(self._folders, PLACES)
        return _read(file, _Places).place if file else ()

    def _spreads(self) -> _Spreads:
        file = found_in(self._folders, SPREADS)
        if file is None:
            raise self._lacks("the layout", "file", SPREADS, ())
        return _read(file, _Spreads)

    def _weights(
        self, what: str, rows: tuple[_NamedNumber, ...], names: tuple[str, ...]
    ) -> dict[str, float]:
        """All of these names, each once, and no others."""
        given = [row.name for row in rows]
        self._once(f"{SPREADS}, {what}", given)
        for name in given:
            self._known(SPREADS, what, name, names)
        for name in names:
            self._known(SPREADS, what, name, given)
        return {row.name: row.value for row in rows}

    def _known_forms(self) -> dict[str, str]:
        for kind, form in self._described.form.items():
            self._known("form", "text", kind, FREE_KINDS)
            self._known(f"form {kind}", "form", form, FORMS)
        return self._described.form

    def _section(self, row: _Section) -> Section:
        where, make = f"section {row.name}", row.make or row.name
        self._known(where, "maker", make, dict.fromkeys((*FRONT, *REFERRING, *BODY, *BACK)))
        self._has_file(where, row.template)
        self._has_label(where, row.label)
        self._once(where, row.texts)
        for kind in row.beside:
            self._known(f"{where}, beside", "text", kind, row.texts)
        for kind in row.texts:
            self._known(where, "text", kind, KINDS)
            form = {**self._forms, **OWN_FORMS}.get(kind, RUN)
            if form not in UNLABELLED:
                self._has_label(f"{where}: {kind} as {form}", kind)
        return Section(row.name, make, row.template, row.label, row.texts, row.beside, row.facing)

    def _edition(self, row: _Edition) -> Edition:
        where = f"edition {row.name}"
        self._has_label(where, row.label)
        if row.paper:
            self._known(where, "paper", row.paper, self._described.papers)
        for what in ("staves", "on", "distances"):
            for name in getattr(row, what):
                self._known(f"{where}, {what}", "paper", name, self._described.papers)
        self._once(where, (*row.front, *row.body, *row.back))
        front, body, back = (self._placed(where, place, row) for place in MAKERS)
        self._bare_first(where, front)
        papers = {name: self._on_paper(where, name, own) for name, own in row.on.items()}
        for name in row.costs:
            self._known(f"{where}, costs", "cost", name, COSTS)
        kept = row.staves, papers, row.distances, row.costs, row.loose
        return Edition(row.name, row.label, row.paper, *kept, front, body, back)

    def _on_paper(self, where: str, name: str, own: _OnPaper) -> Paper:
        """The paper with what an edition has otherwise."""
        paper = replace(self._papers[name], **own.model_dump(exclude_none=True))
        if paper.leading < paper.type_size:
            sizes = f"{paper.leading:g} pt apart are too close for type of {paper.type_size:g} pt"
            raise self._error(f"{where}, on {name}: lines {sizes}")
        if paper.bottom < 0 or paper.measure <= 0:
            raise self._error(f"{where}, on {name}: the type area is larger than the paper")
        return paper

    def _placed(self, where: str, place: str, row: _Edition) -> tuple[Section, ...]:
        makers = MAKERS[place]
        known = [name for name, section in self._sections.items() if section.make in makers]
        names: tuple[str, ...] = getattr(row, place)
        for name in names:
            self._known(f"{where}, {place}", "section", name, known)
        if place == "front" and names:
            self._has_file(f"{where}, {place}", FRONT_PAGE)
        return tuple(self._sections[name] for name in names)

    def _bare_first(self, where: str, front: tuple[Section, ...]) -> None:
        """Pages with empty margins are counted from the first."""
        bare = [bool(FRONT[section.make].bare) for section in front]
        if bare != sorted(bare, reverse=True):
            late = front[bare.index(True, bare.index(False))]
            raise self._error(f"{where}, front: {late.name} has to come first")

    def _has_file(self, where: str, name: str) -> None:
        if found_in(self._folders, name) is None:
            ending = name[name.rfind(".") :]
            files = (file.name for folder in self._folders for file in folder.iterdir())
            raise self._lacks(where, "file", name, sorted(f for f in files if f.endswith(ending)))

    def _has_label(self, where: str, label: str | None) -> None:
        if label is not None:
            self._known(where, "label", label, labels(ENGLISH))

    def _known(self, where: str, what: str, name: str, known: Iterable[str]) -> None:
        if name not in (names := tuple(known)):
            raise self._lacks(where, what, name, names)

    def _once(self, where: str, names: Iterable[str]) -> None:
        seen: set[str] = set()
        for name in names:
            if name in seen:
                raise self._error(f"{where}: {name} stands there twice")
            seen.add(name)

    def _lacks(self, where: str, what: str, name: str, known: Iterable[str]) -> LayoutError:
        names = tuple(known)
        near = nearest(name, names)
        hint = f" Did you mean {near}?" if near else ""
        return self._error(f"{where}: there is no {what} {name}.{hint} Known: {', '.join(names)}.")

    def _error(self, what: str) -> LayoutError:
        return LayoutError(f"{self._file}: {what}")


def _read(file: Traversable, model: type[M]) -> M:
    try:
        return model.model_validate(tomllib.loads(file.read_text(encoding="utf-8")))
    except (tomllib.TOMLDecodeError, ValidationError) as error:
        raise LayoutError(f"{file}: {error}") from None
