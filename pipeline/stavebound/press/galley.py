"""Galleys made up into pages.

In: a document that was laid out, some of whose pages are galleys: an exercise on a page as
long as it needs, of the page type `galley`. Out: the pages of the document, with galleys made
up as `book/spreads.py` plans: what was laid out once is moved to its place. It always holds that
nothing of a galley is lost and nothing is laid out again.

What boxes are called and have is WeasyPrint's own affair, whose version is pinned.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import count, groupby, pairwise
from typing import Any

from weasyprint.document import Page
from weasyprint.formatting_structure.boxes import BlockBox, BlockLevelBox, ReplacedBox

from stavebound.book.spreads import Block, PlannedExercise, PlannedPage, Spreads, plan_chapter

GALLEY = "galley"
# PDF points to a CSS pixel.
POINTS = 0.75
STAVES = "figure"
LISTS = ("ul", "ol", "dl")


@dataclass(frozen=True, slots=True)
class _Piece:
    """A box of a galley that stays whole, from where to where it reaches, in points."""

    box: Any
    top: float
    bottom: float
    staves: bool
    group: int
    kept: bool
    clings: bool
    """Whether it stands on the page of the one before it."""


def made_up(
    pages: Sequence[Any], setting: Spreads
) -> tuple[list[Any], tuple[PlannedExercise, ...]]:
    """The pages with all galleys made up, and how."""
    out: list[Any] = []
    plans: list[PlannedExercise] = []
    for galleys, run in groupby(pages, key=_is_galley):
        if not galleys:
            out += run
            continue
        boxes = [page._page_box for page in run]
        pieces = [tuple(_pieces(box)) for box in boxes]
        planned = plan_chapter([_blocks(own) for own in pieces], len(out), setting)
        for box, own, plan in zip(boxes, pieces, planned, strict=True):
            out += (_page(box, own, page, setting) for page in plan.pages)
        plans += planned
    return out, tuple(plans)


def _is_galley(page: Any) -> bool:
    return bool(page._page_box.page_type.name == GALLEY)


def _pieces(page_box: Any) -> Iterator[_Piece]:
    body = page_box.children[0].children[0]
    yield from _whole(body, count(1), 0, kept=False)


def _whole(box: Any, numbers: Iterator[int], group: int, *, kept: bool) -> Iterator[_Piece]:
    """The pieces inside a box; the last of them is kept where the box is."""
    kept = kept or box.style["break_after"] == "avoid"
    if box.element_tag in LISTS:
        group = next(numbers)
    if not _parts(box):
        if box.height:
            yield _piece(box, group, kept=kept)
        return
    *others, last = box.children
    for child in others:
        yield from _whole(child, numbers, group, kept=False)
    yield from _whole(last, numbers, group, kept=kept)


def _parts(box: Any) -> bool:
    """Whether a box may be parted between its children."""
    return (
        type(box) is BlockBox
        and box.element_tag != STAVES
        and bool(box.children)
        and all(isinstance(child, BlockLevelBox) for child in box.children)
        and all(child.is_in_normal_flow() for child in box.children)
        and box.style["break_inside"] != "avoid"
    )


def _piece(box: Any, group: int, *, kept: bool) -> _Piece:
    staves = box.element_tag == STAVES
    top, height = box.border_box_y(), box.border_height()
    if staves:
        (image,) = (own for own in box.descendants() if isinstance(own, ReplacedBox))
        top, height = image.position_y, image.margin_height()
    clings = box.style["break_before"] == "avoid"
    return _Piece(box, top * POINTS, (top + height) * POINTS, staves, group, kept, clings)


def _blocks(pieces: Sequence[_Piece]) -> tuple[Block, ...]:
    befores = (0.0, *(piece.top - above.bottom for above, piece in pairwise(pieces)))
    kept = (*(piece.kept or below.clings for piece, below in pairwise(pieces)), False)
    return tuple(
        Block(piece.bottom - piece.top, before, piece.staves, piece.group, keeps)
        for before, piece, keeps in zip(befores, pieces, kept, strict=True)
    )


def _page(galley: Any, pieces: Sequence[_Piece], plan: PlannedPage, setting: Spreads) -> Any:
    """A page of its own with these pieces at their places."""
    own = pieces[plan.start : plan.start + len(plan.places)]
    root, *others = galley.children
    body = root.children[0]
    top = galley.content_box_y()
    for piece, place in zip(own, plan.places, strict=True):
        piece.box.translate(dy=top + (place - piece.top) / POINTS)
    page = galley.copy_with_children(
        [root.copy_with_children([body.copy_with_children([piece.box for piece in own])]), *others]
    )
    page.height = setting.depth / POINTS
    return Page(page)
