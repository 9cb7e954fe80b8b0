"""Stave: five long level lines give a space, the floor, and which way is up.

In: a `Page`. Out: its `Stave`, with the shapes and texts that are not part of
it, in spaces: x from the page's left edge, y upwards from the floor line.

    ═══════════ 4      bar lines reach from the floor line to the top line
    ═════│═════        and no further
    ═════│═════
    ═════│═════
    ═══════════ 0
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, replace
from itertools import pairwise

from stavebound.readback.shapes import shape_of
from stavebound.readback.values import Outline, Page, Shape, Text

# A stave line is many times as long as it is thick, and no sign is.
SLENDER = 20
# In millimetres: what rounding may do to lines that are alike.
ALIKE = 0.004
LINES = 5
# In spaces.
ROUNDING = 0.01


@dataclass(frozen=True, slots=True)
class Stave:
    """`left` and `right` are the ends of its lines, `bars` the middles of its bar lines
    with their thickness, all in spaces; `space` is in millimetres."""

    space: float
    left: float
    right: float
    bars: tuple[tuple[float, float], ...]
    shapes: tuple[Shape, ...]
    texts: tuple[Text, ...]


def find_stave(page: Page) -> Stave | None:
    """The stave of the page; None where there are not just five lines of one."""
    lines = _lines(page.outlines)
    if lines is None:
        return None
    members = {id(outline) for outline in lines}
    tops = sorted(_middle(outline) for outline in lines)
    space, floor = (tops[-1] - tops[0]) / (LINES - 1), tops[-1]
    others = [outline for outline in page.outlines if id(outline) not in members]
    shapes = [shape_of(outline, space, floor) for outline in others]
    bars = sorted((shape.x, shape.width) for shape in shapes if _is_bar(shape))
    left, right = _ends(lines[0])
    return Stave(
        space,
        left / space,
        right / space,
        tuple(bars),
        tuple(shape for shape in shapes if not _is_bar(shape)),
        tuple(_in_spaces(text, space, floor) for text in page.texts),
    )


def _lines(outlines: Iterable[Outline]) -> list[Outline] | None:
    level = [outline for outline in outlines if _is_slender(outline)]
    alike: list[list[Outline]] = []
    for outline in level:
        ends = _ends(outline)
        for group in alike:
            others = _ends(group[0])
            if all(abs(a - b) <= ALIKE for a, b in zip(ends, others, strict=True)):
                group.append(outline)
                break
        else:
            alike.append([outline])
    staves = [group for group in alike if len(group) == LINES and _even(group)]
    return staves[0] if len(staves) == 1 else None


def _even(group: Iterable[Outline]) -> bool:
    tops = sorted(_middle(outline) for outline in group)
    gaps = [b - a for a, b in pairwise(tops)]
    return max(gaps) - min(gaps) <= ALIKE


def _is_slender(outline: Outline) -> bool:
    points = outline.points
    if outline.curved or len(points) != 4:
        return False
    ys = [y for _, y in points]
    left, right = _ends(outline)
    thick = max(ys) - min(ys)
    level = all(min(abs(y - max(ys)), abs(y - min(ys))) <= ALIKE for y in ys)
    return level and right - left > SLENDER * thick > 0


def _ends(outline: Outline) -> tuple[float, float]:
    xs = [x for x, _ in outline.points]
    return min(xs), max(xs)


def _middle(outline: Outline) -> float:
    ys = [y for _, y in outline.points]
    return (min(ys) + max(ys)) / 2


def _is_bar(shape: Shape) -> bool:
    """An upright line from the floor line to the top line."""
    top = LINES - 1
    return (
        shape.kind == "stroke"
        and abs(shape.length - top) <= ROUNDING
        and abs(shape.y - top / 2) <= ROUNDING
        and abs(shape.angle - 90) <= 1
    )


def _in_spaces(text: Text, space: float, floor: float) -> Text:
    return replace(
        text,
        xs=tuple(x / space for x in text.xs),
        y=(floor - text.y) / space,
        size=text.size / space,
    )
