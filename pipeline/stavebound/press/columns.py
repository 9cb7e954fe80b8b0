"""Columns of text that is laid out once.

In: boxes of the class `columns`, each laid out in one column, as narrow as all are to be; the
width of what it stands in and its `column-gap` say how many there are. Out: the same text side by
side, in columns as even as they can be, or over pages, of which the last one alone is not full. It
always holds that nothing is lost, that the order stays, that a column ends where the style lets
text be parted, and that a paragraph is parted only where this saves as much height as the layout's
measure says. WeasyPrint would lay the text out again and again, a little higher each time, until
all of it has room.

What boxes are called and have is WeasyPrint's own affair, whose version is pinned.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from itertools import groupby, pairwise
from typing import Any

from weasyprint.formatting_structure.boxes import BlockBox, BlockLevelBox, LineBox, ParentBox

from stavebound.book.blocks import EXACT, Spreads
from stavebound.book.side_by_side import NEVER, Portion, even, filled, height

# The class of what stands in columns, and the type of a page that is as long as such a text.
COLUMNS = "columns"
# PDF points to a CSS pixel.
POINTS = 0.75


@dataclass(frozen=True, slots=True)
class _Text:
    """What stands in columns: a portion for each box that is not parted, with nothing, and for
    each line of a paragraph, with that line; how many columns there are, and how far the left
    edges of two are apart, in pixels."""

    parts: tuple[tuple[Any, Any], ...]
    portions: tuple[Portion, ...]
    count: int
    step: float

    def saved(self, ends: Sequence[int]) -> float:
        """How much lower it is in columns with these ends, in pixels."""
        columns = (height(self.portions[start:end]) for start, end in pairwise((0, *ends)))
        return height(self.portions) - max(columns)

    def moved(self, ends: Sequence[int], top: float, first: int = 0) -> Iterator[Any]:
        """The boxes from the first one to the last end, in their columns below `top`."""
        for column, (start, end) in enumerate(pairwise((first, *ends))):
            for box in _joined(self.parts[start:end]):
                box.translate(column * self.step, top - self.portions[start].top)
                yield box


def has_columns(box: Any) -> bool:
    return box.element is not None and COLUMNS in (box.element.get("class") or "").split()


def set_in_columns(box: Any, setting: Spreads) -> float:
    """Set what stands in columns within a box, where it is then no higher than a page; by how
    much the box is lower for that, in pixels."""
    saved = 0.0
    for child in box.children:
        child.translate(dy=-saved)
        if isinstance(child, BlockLevelBox) and isinstance(child, ParentBox):
            columns = has_columns(child)
            saved += _evened(child, box, setting) if columns else set_in_columns(child, setting)
    box.height -= saved
    return saved


def over_pages(box: Any, within: Any, top: float, setting: Spreads) -> Iterator[tuple[Any, ...]]:
    """The boxes of each page of a text in columns, which begins on the first page where it is,
    and on all others at their `top`, in pixels."""
    text, depth = _text(box.children, box, within, setting), setting.depth / POINTS
    if not text.portions:
        yield ()
        return
    at, first = text.portions[0].top, 0
    for ends in filled(text.portions, text.count, depth - (at - top), depth):
        yield tuple(text.moved(ends, at, first))
        at, first = top, ends[-1]


def with_lines(box: Any, lines: Sequence[Any]) -> Any:
    """A paragraph that has these lines alone."""
    own = box.copy_with_children(list(lines))
    own.position_y = lines[0].position_y
    own.height = lines[-1].position_y + lines[-1].height - own.position_y
    own.margin_top = own.margin_bottom = own.padding_top = own.padding_bottom = 0
    return own


def _evened(box: Any, within: Any, setting: Spreads) -> float:
    """Set a box in even columns; what spans them stands above or below them, or between."""
    runs = [tuple(run) for _, run in groupby(box.children, key=_spans)]
    texts = [None if _spans(run[0]) else _text(run, box, within, setting) for run in runs]
    ends = [even(text.portions, text.count) if text else () for text in texts]
    lower = [text.saved(own) if text else 0.0 for text, own in zip(texts, ends, strict=True)]
    if (box.height - sum(lower)) * POINTS > setting.depth + EXACT:
        return 0.0
    children: list[Any] = []
    for at, (run, text) in enumerate(zip(runs, texts, strict=True)):
        up = sum(lower[:at])
        if text is None:
            for child in run:
                child.translate(dy=-up)
        children += text.moved(ends[at], text.portions[0].top - up) if text else run
    box.children = children
    box.height -= sum(lower)
    return sum(lower)


def _spans(box: Any) -> bool:
    return bool(box.style["column_span"] == "all")


def _text(boxes: Iterable[Any], box: Any, within: Any, setting: Spreads) -> _Text:
    """The text of these boxes, which are of a `box` in columns `within` another."""
    parting = setting.measures["paragraph over columns"] * setting.leading / POINTS
    parts = tuple(part for own in _following(boxes, 0.0) for part in _parts(*own, parting))
    step = box.width + box.style["column_gap"].value
    room = within.content_box_x() + within.width - box.content_box_x()
    return _Text(
        tuple((own, line) for own, line, _ in parts),
        tuple(_portion(own if line is None else line, cost) for own, line, cost in parts),
        1 + int((room - box.width) / step + EXACT),
        step,
    )


def _portion(box: Any, cost: float) -> Portion:
    top = box.content_box_y()
    return Portion(top, top + box.height, cost)


def _following(boxes: Iterable[Any], first: float) -> Iterator[tuple[Any, float]]:
    """Boxes that follow each other, with what it costs to end a column before each."""
    kept = False
    for at, box in enumerate(boxes):
        kept |= box.style["break_before"] == "avoid"
        yield box, NEVER if kept else first if not at else 0.0
        kept = box.style["break_after"] == "avoid"


def _parts(box: Any, cost: float, parting: float) -> Iterator[tuple[Any, Any, float]]:
    """What is not parted of a box, with a line where it is one, and what it costs to end a column
    before it."""
    children = box.children if type(box) is BlockBox else ()
    if box.style["break_inside"] == "avoid" or not children:
        yield box, None, cost
    elif all(isinstance(child, LineBox) for child in children):
        first, last = box.style["orphans"], len(children) - box.style["widows"]
        for at, line in enumerate(children):
            yield box, line, cost if not at else parting if first <= at <= last else NEVER
    elif all(isinstance(child, BlockLevelBox) and child.is_in_normal_flow() for child in children):
        for child, own in _following(children, cost):
            yield from _parts(child, own, parting)
    else:
        yield box, None, cost


def _joined(parts: Iterable[tuple[Any, Any]]) -> Iterator[Any]:
    """The boxes of these parts, each once, paragraphs with those of their lines that are here."""
    for _, run in groupby(parts, key=lambda part: id(part[0])):
        own = tuple(run)
        box, lines = own[0][0], [line for _, line in own if line is not None]
        yield with_lines(box, lines) if lines and len(lines) < len(box.children) else box
