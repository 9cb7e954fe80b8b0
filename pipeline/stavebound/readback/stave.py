"""Stave: five long level lines give a space, the floor, and which way is up.

In: a `Page`. Out: its staves, each with the shapes and texts that are not part of
it, in spaces: x from the page's left edge, y upwards from the floor line. Staves that an
upright line joins at their left ends are of one line.

    │═══════════ 4      bar lines reach from the floor line to the top line
    │═════│═════        and no further
    │═════│═════
    │═════│═════
    │═══════════ 0
    │    ink of the stave above
    │
    │                   the widest white parts the ink of two staves
    │    ink of the stave below
    │═══════════ 4
"""

from __future__ import annotations

from bisect import bisect
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, replace
from itertools import pairwise
from typing import NamedTuple

from stavebound.faces import Faces
from stavebound.readback.shapes import shape_of
from stavebound.readback.values import Fault, Outline, Page, ShapeRead, TextRead

# A stave line is many times as long as it is thick, and no sign is.
SLENDER = 20
# In millimetres: what rounding may do to lines that are alike.
ALIKE = 0.004
LINES = 5
# In spaces.
ROUNDING = 0.01
# So much wider than any other is the white that parts two staves, in spaces.
PARTED = 0.2
# Heights on the page, or places across it, in millimetres.
Span = tuple[float, float]


class _Line(NamedTuple):
    """A long level line by its pieces from left to right, and its height, in millimetres."""

    pieces: tuple[Outline, ...]
    y: float

    @property
    def ends(self) -> Span:
        return _ends(self.pieces[0])[0], _ends(self.pieces[-1])[1]


class _Ruled(NamedTuple):
    """The five lines of a stave from the top, the heights of the first and the last, and a
    space, in millimetres."""

    lines: tuple[_Line, ...]
    top: float
    floor: float
    space: float


@dataclass(frozen=True, slots=True)
class StaveRead:
    """`left` and `right` are the ends of its lines, `bars` the middles of its bar lines
    with their thickness, `breaks` where a line, counted from the floor, is broken, all in
    spaces; `space` is in millimetres. Where it cannot be told which ink is its own, the
    `faults` say so."""

    space: float
    left: float
    right: float
    bars: tuple[tuple[float, float], ...]
    shapes: tuple[ShapeRead, ...]
    texts: tuple[TextRead, ...]
    breaks: tuple[tuple[int, float, float], ...] = ()
    faults: tuple[Fault, ...] = ()


def is_beside(text: TextRead, stave: StaveRead) -> bool:
    """Left of the stave, at the height of one of its lines."""
    return text.xs[0] < stave.left - ROUNDING and -0.5 <= text.y <= LINES - 1


def is_number(text: TextRead, stave: StaveRead) -> bool:
    """The number of the first bar: slanted figures there, under the top line."""
    slanted = text.italic and text.letters.isdecimal() and is_beside(text, stave)
    return slanted and LINES - 2 < text.y < LINES - 1


def find_lines(page: Page, faces: Faces) -> tuple[tuple[StaveRead, ...], ...]:
    """The lines of the page, each with its staves, all from the top."""
    ruled = _ruled(page.outlines)
    members = {id(piece) for one in ruled for line in one.lines for piece in line.pieces}
    free = [outline for outline in page.outlines if id(outline) not in members]
    if len(ruled) < 2:
        return tuple((_stave(one, free, page.texts),) for one in ruled)
    joined = [_joined(outline, ruled) for outline in free]
    free = [outline for outline, staves in zip(free, joined, strict=True) if not staves]
    staves = _parted(ruled, free, page.texts, faces)
    begins = [at for at in range(len(ruled)) if not any({at - 1, at} <= {*own} for own in joined)]
    return tuple(tuple(staves[a:b]) for a, b in pairwise((*begins, len(staves))))


def _ruled(outlines: Sequence[Outline]) -> tuple[_Ruled, ...]:
    """The staves from the top: lines with the same ends, five by five."""
    found = []
    for group in _alike(outlines):
        lines = sorted(group, key=lambda line: line.y)
        fives = [tuple(lines[at : at + LINES]) for at in range(0, len(lines), LINES)]
        if len(lines) % LINES == 0 and all(_even(five) for five in fives):
            found += [_ruled_by(five) for five in fives]
    return tuple(sorted(found, key=lambda one: one.top))


def _ruled_by(lines: tuple[_Line, ...]) -> _Ruled:
    top, floor = lines[0].y, lines[-1].y
    return _Ruled(lines, top, floor, (floor - top) / (LINES - 1))


def _alike(outlines: Sequence[Outline]) -> list[list[_Line]]:
    """Long level lines, those with the same ends together."""
    alike: list[list[_Line]] = []
    for line in _long_lines(outlines):
        for group in alike:
            others = group[0].ends
            if all(abs(a - b) <= ALIKE for a, b in zip(line.ends, others, strict=True)):
                group.append(line)
                break
        else:
            alike.append([line])
    return alike


def _long_lines(outlines: Sequence[Outline]) -> Iterator[_Line]:
    """Level strokes of one height and thickness, and what is broken round ink that stands in
    its white, as one line."""
    level = [
        (outline, (_middle(outline), _thickness(outline)))
        for outline in outlines
        if _is_level(outline)
    ]
    heights = sorted({row for outline, row in level if _is_slender(outline)})
    rows = [row for at, row in enumerate(heights) if not at or not _same(row, heights[at - 1])]
    for y, thick in rows:
        own = [one for one, row in level if _same(row, (y, thick))]
        pieces: list[Outline] = []
        for piece in sorted(own, key=_ends):
            if pieces and not _is_white_filled(pieces[-1], piece, y, outlines):
                yield _Line(tuple(pieces), y)
                pieces = []
            pieces.append(piece)
        yield _Line(tuple(pieces), y)


def _same(one: Span, other: Span) -> bool:
    return abs(one[0] - other[0]) <= ALIKE and abs(one[1] - other[1]) <= ALIKE


def _is_white_filled(one: Outline, other: Outline, y: float, outlines: Iterable[Outline]) -> bool:
    """Whether ink stands at that height in the white between two pieces of a line."""
    (_, left), (right, _) = _ends(one), _ends(other)
    return any(
        left < _ends(ink)[0] and _ends(ink)[1] < right and _heights(ink)[0] < y < _heights(ink)[1]
        for ink in outlines
    )


def _stave(ruled: _Ruled, free: Iterable[Outline], texts: Iterable[TextRead]) -> StaveRead:
    space, floor = ruled.space, ruled.floor
    shapes = [shape_of(outline, space, floor) for outline in free]
    left, right = ruled.lines[-1].ends
    return StaveRead(
        space,
        left / space,
        right / space,
        tuple(sorted((shape.x, shape.width) for shape in shapes if _is_bar(shape))),
        tuple(shape for shape in shapes if not _is_bar(shape)),
        tuple(_in_spaces(text, space, floor) for text in texts),
        tuple(_breaks(ruled)),
    )


def _breaks(ruled: _Ruled) -> Iterator[tuple[int, float, float]]:
    for number, line in enumerate(reversed(ruled.lines)):
        for one, other in pairwise(line.pieces):
            yield number, _ends(one)[1] / ruled.space, _ends(other)[0] / ruled.space


# ---------------------------------------------------------------- several staves


def _joined(outline: Outline, ruled: Sequence[_Ruled]) -> range:
    """The staves that an upright line joins: it stands at their left ends, or left of these,
    and reaches from the top line of one to the floor line of another."""
    left, _ = _ends(outline)
    top, bottom = _heights(outline)
    slack = ROUNDING * ruled[0].space
    if outline.curved or len(outline.points) != 4:
        return range(0)
    firsts = [at for at, one in enumerate(ruled) if abs(one.top - top) <= slack]
    lasts = [at for at, one in enumerate(ruled) if abs(one.floor - bottom) <= slack]
    if not firsts or not lasts or firsts[0] >= lasts[0]:
        return range(0)
    at_end = left <= ruled[firsts[0]].lines[0].ends[0] + slack
    return range(firsts[0], lasts[0] + 1) if at_end else range(0)


def _parted(
    ruled: Sequence[_Ruled], free: Sequence[Outline], texts: Sequence[TextRead], faces: Faces
) -> list[StaveRead]:
    """The staves, each with all ink that is nearer to it than the white between two."""
    inks = [_heights(outline) for outline in free]
    letters = [_heights_of(text, faces) for text in texts]
    outside = [span for text, span in zip(texts, letters, strict=True) if not _within(text, ruled)]
    whites = [_white(upper, lower, (*inks, *outside)) for upper, lower in pairwise(ruled)]
    bounds = [height for height, _ in whites]
    own = [bisect(bounds, sum(span) / 2) for span in inks]
    said = [bisect(bounds, sum(span) / 2) for span in letters]
    found = []
    for at, one in enumerate(ruled):
        stave = _stave(
            one,
            (outline for outline, to in zip(free, own, strict=True) if to == at),
            (text for text, to in zip(texts, said, strict=True) if to == at),
        )
        sides = (LINES - 1, whites[:at][-1:]), (0, whites[at : at + 1])
        what = "ink that could be of this stave or of the next, as no white parts the two"
        faults = [
            Fault("twofold", what, stave.left, y)
            for y, white in sides
            for _, is_sure in white
            if not is_sure
        ]
        found.append(replace(stave, faults=tuple(faults)))
    return found


def _within(text: TextRead, ruled: Sequence[_Ruled]) -> bool:
    """Whether it stands in a stave, as the figures of a metre do, which have no descenders."""
    return any(one.top <= text.y <= one.floor + ROUNDING * one.space for one in ruled)


def _white(upper: _Ruled, lower: _Ruled, inks: Iterable[Span]) -> tuple[float, bool]:
    """The middle of the widest white between two staves, and whether no other is as wide."""
    reached, found = upper.floor, list[Span]()
    above = [ink for ink in sorted(inks) if ink[0] < lower.top]
    for begin, end in (*above, (lower.top, lower.top)):
        if reached < begin:
            found.append((begin - reached, (begin + reached) / 2))
        reached = max(reached, end)
    found.sort(reverse=True)
    (widest, middle), *others = found or [(0.0, (upper.floor + lower.top) / 2)]
    return middle, widest - max([0.0, *[white for white, _ in others]]) > PARTED * upper.space


def _heights(outline: Outline) -> Span:
    ys = [y for _, y in outline.points]
    return min(ys), max(ys)


def _heights_of(text: TextRead, faces: Faces) -> Span:
    return text.y - faces.cap_height(text.size), text.y + faces.descent(text.size)


# ---------------------------------------------------------------- forms of lines


def _even(group: Iterable[_Line]) -> bool:
    tops = sorted(line.y for line in group)
    gaps = [b - a for a, b in pairwise(tops)]
    return max(gaps) - min(gaps) <= ALIKE


def _is_level(outline: Outline) -> bool:
    if outline.curved or len(outline.points) != 4:
        return False
    top, bottom = _heights(outline)
    return all(min(abs(y - top), abs(y - bottom)) <= ALIKE for _, y in outline.points)


def _is_slender(outline: Outline) -> bool:
    left, right = _ends(outline)
    return right - left > SLENDER * _thickness(outline) > 0


def _thickness(outline: Outline) -> float:
    top, bottom = _heights(outline)
    return bottom - top


def _ends(outline: Outline) -> tuple[float, float]:
    xs = [x for x, _ in outline.points]
    return min(xs), max(xs)


def _middle(outline: Outline) -> float:
    return sum(_heights(outline)) / 2


def _is_bar(shape: ShapeRead) -> bool:
    """An upright line from the floor line to the top line."""
    top = LINES - 1
    return (
        shape.kind == "stroke"
        and abs(shape.length - top) <= ROUNDING
        and abs(shape.y - top / 2) <= ROUNDING
        and abs(shape.angle - 90) <= 1
    )


def _in_spaces(text: TextRead, space: float, floor: float) -> TextRead:
    return replace(
        text,
        xs=tuple(x / space for x in text.xs),
        y=(floor - text.y) / space,
        size=text.size / space,
    )
