"""Galleys made up into pages.

In: a document that was laid out, some of whose pages are galleys: an exercise on a page as
long as it needs, of the page type `galley`, or a list in columns, of the type `columns`. Out: the
pages of the document, with exercises made up as `book/spreads.py` plans and lists column by
column: what was laid out once is moved to its place. It always holds that nothing of a galley is
lost, and that an exercise is laid out once more in its other form alone, where that may be better.

What boxes are called and have is WeasyPrint's own affair, whose version is pinned.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from itertools import chain, count, groupby, pairwise
from typing import Any
from xml.etree.ElementTree import Element

from weasyprint.document import Page
from weasyprint.formatting_structure.boxes import BlockBox, BlockLevelBox, LineBox, ReplacedBox

from stavebound.book.blocks import LEFT, Block, PlannedExercise, Spreads
from stavebound.book.spreads import plan_chapter
from stavebound.press.columns import (
    COLUMNS,
    has_columns,
    over_pages,
    set_in_columns,
    with_lines,
)
from stavebound.press.values import PressError

GALLEY = "galley"
# PDF points to a CSS pixel.
POINTS = 0.75
STAVES = "figure"
LISTS = ("ul", "ol", "dl")
# The class of what stands in the margin column, and that of an exercise once more, in the form
# that it has without one.
BESIDE = "beside"
OTHER = "other"
BODY = "body"


@dataclass(frozen=True, slots=True)
class _Piece:
    """A box of a galley that stays whole, the how manieth of it, and from where to where it
    reaches, in points."""

    box: Any
    number: int
    top: float
    bottom: float
    staves: bool
    group: int
    kept: bool
    beside: bool
    clings: bool
    """Whether it stands on the page of the one before it."""


@dataclass(frozen=True, slots=True)
class _Galley:
    """The box of a galley, and the pieces of its text with the staves, and of its column."""

    box: Any
    text: tuple[_Piece, ...]
    column: tuple[_Piece, ...]

    def blocks(self, half: float) -> tuple[Block, ...]:
        return (*_blocks(self.text, half), *_blocks(self.column, half))


@dataclass(frozen=True, slots=True)
class Again:
    """Exercises once more: the other form of each, and what lays these out, a page for each."""

    others: Mapping[Element, Element]
    laid_out: Callable[[Sequence[Element]], Sequence[Page]]


def taken_out(root: Element) -> Mapping[Element, Element]:
    """The other forms of the exercises in a document, out of which they are taken."""
    body = root.find(BODY)
    sections = () if body is None else tuple(body)
    others = {own: form for own, form in pairwise(sections) if OTHER in _classes(form)}
    for form in others.values():
        body.remove(form)  # type: ignore[union-attr]
    return others


def _classes(element: Element) -> list[str]:
    return (element.get("class") or "").split()


def made_up(
    pages: Sequence[Any], setting: Spreads, again: Again
) -> tuple[list[Any], tuple[PlannedExercise, ...]]:
    """The pages with all galleys made up, and how."""
    out: list[Any] = []
    plans: list[PlannedExercise] = []
    for kind, run in groupby(pages, key=_kind):
        if kind != GALLEY:
            out += chain.from_iterable(_others(kind, page, setting) for page in run)
            continue
        at = len(out)
        exercises, planned = _in_best_forms(tuple(run), at, setting, again)
        for forms, plan in zip(exercises, planned, strict=True):
            out += _made(forms[plan.form], plan, at, setting)
            at += plan.taken
        plans += planned
    return out, tuple(plans)


def _in_best_forms(
    run: Sequence[Page], at: int, setting: Spreads, again: Again
) -> tuple[Sequence[Sequence[_Galley]], tuple[PlannedExercise, ...]]:
    """Exercises in the forms in which they were laid out, and how they are made up: in the other
    form where the first one costs more than that can."""
    exercises = [(_galley(page, setting),) for page in run]
    planned = _planned(exercises, at, setting)
    least = setting.costs["page"] + setting.costs["margin left empty"]
    sections = (_body(page._page_box).children[0].element for page in run)
    dear = {
        number: again.others[section]
        for number, (section, plan) in enumerate(zip(sections, planned, strict=True))
        if section in again.others and plan.cost > least
    }
    if not dear:
        return exercises, planned
    pages = dict(zip(dear, again.laid_out(tuple(dear.values())), strict=True))
    both = [
        (*own, _galley(pages[number], setting)) if number in pages else own
        for number, own in enumerate(exercises)
    ]
    return both, _planned(both, at, setting)


def _planned(
    exercises: Sequence[Sequence[_Galley]], at: int, setting: Spreads
) -> tuple[PlannedExercise, ...]:
    blocks = [[galley.blocks(setting.half) for galley in forms] for forms in exercises]
    return plan_chapter(blocks, at, setting)


def _others(kind: str, page: Page, setting: Spreads) -> Iterable[Page]:
    """The pages that come of one that is no exercise."""
    return _listed(page, setting) if kind == COLUMNS else (page,)


def _galley(page: Page, setting: Spreads) -> _Galley:
    box = page._page_box
    set_in_columns(_body(box), setting)
    found = _whole(_body(box), count(1), _Within(setting.depth))
    pieces = tuple(replace(piece, number=at) for at, piece in enumerate(found))
    text = tuple(piece for piece in pieces if not piece.beside)
    return _Galley(box, text, tuple(piece for piece in pieces if piece.beside))


def _kind(page: Any) -> str:
    return str(page._page_box.page_type.name)


def _body(page_box: Any) -> Any:
    return page_box.children[0].children[0]


def _listed(page: Page, setting: Spreads) -> Iterator[Page]:
    """The pages of a list in columns, with what stands over it on the first of them."""
    galley = page._page_box
    section = _body(galley).children[0]
    *above, box = section.children
    if not has_columns(box):
        raise PressError(f"a page of the type {COLUMNS} does not end with an element in columns")
    for boxes in over_pages(box, section, galley.content_box_y(), setting):
        yield _page(galley, (*above, *boxes), setting)
        above = []


@dataclass(frozen=True, slots=True)
class _Within:
    """What a box is within: pages of such a depth, the number of a list, something kept, the
    margin column."""

    depth: float
    group: int = 0
    kept: bool = False
    beside: bool = False


def _whole(box: Any, numbers: Iterator[int], within: _Within) -> Iterator[_Piece]:
    """The pieces inside a box; the last of them is kept where the box is."""
    if box.style["break_after"] == "avoid":
        within = replace(within, kept=True)
    if box.element_tag in LISTS:
        within = replace(within, group=next(numbers))
    if box.element is not None and box.element.get("class") == BESIDE:
        within = replace(within, beside=True)
    long = box.height * POINTS > within.depth
    if not _parts(box, long):
        by_lines = long and isinstance(box.children[0], LineBox)
        for own in (with_lines(box, [line]) for line in box.children) if by_lines else (box,):
            if own.height:
                yield _piece(own, within)
        return
    *others, last = box.children
    for child in others:
        yield from _whole(child, numbers, replace(within, kept=False))
    yield from _whole(last, numbers, within)


def _parts(box: Any, long: bool) -> bool:
    """Whether a box may be parted between its children; one that is `long`, higher than a page,
    wherever it can be."""
    return (
        type(box) is BlockBox
        and box.element_tag != STAVES
        and bool(box.children)
        and all(isinstance(child, BlockLevelBox) for child in box.children)
        and all(child.is_in_normal_flow() for child in box.children)
        and (long or box.style["break_inside"] != "avoid")
    )


def _piece(box: Any, within: _Within) -> _Piece:
    staves = box.element_tag == STAVES
    top, height = box.border_box_y(), box.border_height()
    if staves:
        (image,) = (own for own in box.descendants() if isinstance(own, ReplacedBox))
        top, height = image.position_y, image.margin_height()
    return _Piece(
        box=box,
        number=0,
        top=top * POINTS,
        bottom=(top + height) * POINTS,
        staves=staves,
        group=within.group,
        kept=within.kept,
        beside=within.beside,
        clings=box.style["break_before"] == "avoid",
    )


def _white(above: _Piece, piece: _Piece, half: float) -> float:
    """Between two pieces of a column: half a line where pieces of the other one lay between."""
    return half if piece.number > above.number + 1 else piece.top - above.bottom


def _blocks(pieces: Sequence[_Piece], half: float) -> tuple[Block, ...]:
    """Of one column."""
    if not pieces:
        return ()
    befores = (0.0, *(_white(above, piece, half) for above, piece in pairwise(pieces)))
    kept = (*(piece.kept or below.clings for piece, below in pairwise(pieces)), False)
    return tuple(
        Block(
            height=piece.bottom - piece.top,
            before=before,
            staves=piece.staves,
            group=piece.group,
            kept=keeps,
            beside=piece.beside,
        )
        for before, piece, keeps in zip(befores, pieces, kept, strict=True)
    )


def _made(galley: _Galley, plan: PlannedExercise, first: int, setting: Spreads) -> Iterator[Any]:
    """The pages of an exercise, the first of which has this index in its chapter."""
    done = 0
    stand = tuple(galley.text[at] for at in plan.order) or galley.text
    for index, page in enumerate(plan.pages, first + plan.after_empty):
        text = stand[page.start : page.start + len(page.places)]
        column = galley.column[done : done + len(page.beside)]
        done += len(column)
        sides = setting.outwards if index % 2 == LEFT else (0.0, 0.0)
        for own, places, out in (
            (text, page.places, sides[0]),
            (column, page.beside, sides[1]),
        ):
            _move(galley.box, own, places, out)
        yield _page(galley.box, [piece.box for piece in (*text, *column)], setting)


def _move(page_box: Any, pieces: Sequence[_Piece], places: Sequence[float], out: float) -> None:
    top = page_box.content_box_y()
    for piece, place in zip(pieces, places, strict=True):
        piece.box.translate(dx=out / POINTS, dy=top + (place - piece.top) / POINTS)


def _page(galley: Any, boxes: Sequence[Any], setting: Spreads) -> Any:
    """A page of its own that holds these boxes."""
    root, *others = galley.children
    body = root.children[0].copy_with_children(list(boxes))
    page = galley.copy_with_children([root.copy_with_children([body]), *others])
    page.height = setting.depth / POINTS
    return Page(page)
