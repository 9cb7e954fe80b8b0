"""Moments: the axes of a line, and which signs stand on which.

In: the stave and its signs. Out: frames with their signs, x from the axis.

    1     &     2      a count is centred on its axis
    ╎  ▬  ╎     ╎ │    a sign stands on the nearest axis between the same bar lines

The starting position has no count. It is looked for where a line without a bar
number begins, by its feet: every axis on which some foot could stand is tried,
and one alone may make the whole readable. A stave without counts and bar lines
is a picture: its axis is its middle.
"""

from __future__ import annotations

from bisect import bisect
from collections.abc import Callable, Iterator
from dataclasses import dataclass, replace
from itertools import pairwise

from stavebound.faces import Faces
from stavebound.readback.claims import ReadingKey, Signs
from stavebound.readback.stave import StaveRead
from stavebound.readback.values import SignRead, TextRead

# In spaces: how far apart letters of one count may be put by rounding, and axes
# that are one.
ROUNDING = 0.02
SYLLABLES = frozenset({"&", "a", "e"})
VULGAR = frozenset({"½", "¼", "¾"})

Readable = Callable[[Signs], bool]


@dataclass(frozen=True, slots=True)
class MomentRead:
    """`count` is None at the starting position and in a picture."""

    axis: float
    count: str | None
    bar: int
    signs: Signs = ()


@dataclass(frozen=True, slots=True)
class Count:
    axis: float
    text: str


def counts_in(texts: tuple[TextRead, ...], faces: Faces) -> tuple[Count, ...]:
    """The counts of a line from left to right, letters put together to words."""
    letters = sorted(
        (x, letter, text.size)
        for text in texts
        for x, letter in zip(text.xs, text.letters, strict=True)
    )
    found: list[tuple[float, str, float]] = []
    end = float("-inf")
    for x, letter, size in letters:
        width = faces.width(letter, size)
        if abs(x - end) <= ROUNDING and found[-1][2] == size:
            start, word, _ = found.pop()
            found.append((start, word + letter, size))
        else:
            found.append((x, letter, size))
        end = x + width
    return tuple(Count(x + faces.width(word, size) / 2, word) for x, word, size in found)


def is_count(text: str) -> bool:
    above, _, below = text.partition("/")
    return text in SYLLABLES or text in VULGAR or (above.isdecimal() and (below or "1").isdecimal())


def moments(
    stave: StaveRead,
    signs: Signs,
    counts: tuple[Count, ...],
    first_line: bool,
    key: ReadingKey,
    ok: Readable,
) -> tuple[tuple[MomentRead, ...], ...]:
    """Every way to share the signs among axes that can be read; one is as it should be.

    Where none can be read, one way to share them that cannot. `ok` tells
    whether the signs of one moment can be read.
    """
    lines = [x for x, _ in stave.bars]
    axes = [MomentRead(count.axis, count.text, bisect(lines, count.axis)) for count in counts]
    if not axes:
        return _of_picture(stave, signs)
    alone = tuple(_shared(axes, signs, lines))
    if not first_line:
        return (alone,)
    within = bisect(lines, axes[0].axis)
    before = [sign for sign in signs if sign.x < axes[0].axis and bisect(lines, sign.x) <= within]
    apart = [sign for sign in before if bisect(lines, sign.x) < within]
    first, *rest = alone
    near = tuple(_from(-first.axis, sign) for sign in first.signs)
    starts = [
        (*_shared([MomentRead(axis, None, 0), axes[0]], near, lines), *rest)
        for axis in _starting_axes(tuple(before), key)
        if axis < axes[0].axis - ROUNDING
    ]
    found = [
        way
        for way in (*(() if apart else (alone,)), *starts)
        if all(ok(moment.signs) for moment in way[:2])
    ]
    return tuple(found) or (alone,)


def _of_picture(stave: StaveRead, signs: Signs) -> tuple[tuple[MomentRead, ...], ...]:
    if stave.bars:
        return ((),)
    middle = (stave.left + stave.right) / 2
    return ((MomentRead(middle, None, 0, tuple(_from(middle, sign) for sign in signs)),),)


def _shared(axes: list[MomentRead], signs: Signs, lines: list[float]) -> Iterator[MomentRead]:
    """Every sign on the nearest axis between the same bar lines, else on the nearest."""
    own: list[list[SignRead]] = [[] for _ in axes]
    halves = [_boundary(a, b, lines) for a, b in pairwise(axes)]
    for sign in signs:
        own[bisect(halves, sign.x)].append(sign)
    for moment, some in zip(axes, own, strict=True):
        yield replace(moment, signs=tuple(_from(moment.axis, sign) for sign in some))


def _boundary(a: MomentRead, b: MomentRead, lines: list[float]) -> float:
    """Where the signs of one moment end and those of the next begin."""
    return (a.axis + b.axis) / 2 if a.bar == b.bar else lines[b.bar - 1]


def _from(axis: float, sign: SignRead) -> SignRead:
    return replace(sign, x=sign.x - axis)


def _starting_axes(signs: Signs, key: ReadingKey) -> list[float]:
    """Every axis on which one of the signs could be a foot of the starting position."""
    found: list[float] = []
    alone = key.catalogue.feet.alone
    places = {(name, x, y) for pattern in key.patterns for name, x, y in pattern.signs}
    for row in key.catalogue.feet.rise.values():
        places |= {(alone.sign, way * alone.x, row.level) for way in (1, -1)}
    for sign in signs:
        for name, x, y in places:
            if sign.name == name and abs(sign.y - y) <= key.table.tolerance.place:
                axis = sign.x - x
                if all(abs(axis - other) > ROUNDING for other in found):
                    found.append(axis)
    return found
