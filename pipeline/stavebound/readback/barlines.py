"""Bar lines: which lines and dots are one, and what it says.

In: the upright lines of a stave from left to right, and the signs on it. Out: bar lines with
their anchors, the middle of the heaviest line, or of the right one of two; faults for what
says nothing.

       │       ││     ┃│•     •│┃     •│┃│•      │┃
     plain   double  opens   closes    both    the end
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass

from stavebound.readback.claims import ReadingKey, Signs, near
from stavebound.readback.stave import LINES, StaveRead
from stavebound.readback.values import Fault, SignRead

DOTS = "repeat dots"
Stroke = tuple[float, float]

# By the number of its lines, which of them is heavy, and dots before and after it: a repeat
# ends, one begins, a part ends, the score ends.
SAYS: dict[tuple[int, int | None, bool, bool], tuple[bool, bool, bool, bool]] = {
    (1, None, False, False): (False, False, False, False),
    (2, None, False, False): (False, False, True, False),
    (2, 1, False, False): (False, False, False, True),
    (2, 1, True, False): (True, False, False, False),
    (2, 0, False, True): (False, True, False, False),
    (3, 1, True, True): (True, True, False, False),
}


@dataclass(frozen=True, slots=True)
class BarLineRead:
    """`left` and `right` are where its lines and dots end."""

    anchor: float
    left: float
    right: float
    closes: bool = False
    opens: bool = False
    double: bool = False
    final: bool = False


def bar_lines(
    stave: StaveRead, signs: Signs, key: ReadingKey
) -> tuple[tuple[BarLineRead, ...], tuple[Fault, ...]]:
    found: list[BarLineRead] = []
    faults: list[Fault] = []
    left = [sign for sign in signs if sign.name == DOTS]
    for lines in _together(stave.bars, key):
        before, after = (_dots(edge, way, left, key) for edge, way in _edges(lines))
        heavy = _heavy(lines, key)
        says = SAYS.get((len(lines), heavy, before is not None, after is not None))
        if says is None:
            what = "a bar line whose lines and dots say nothing together"
            faults.append(Fault("unread", what, lines[0][0], LINES / 2))
            says = (False, False, False, False)
        anchor = lines[len(lines) - 1 if heavy is None else heavy][0]
        (start, _), (end, _) = _edges(lines)
        start = before.x - before.wide / 2 if before else start
        end = after.x + after.wide / 2 if after else end
        left = [sign for sign in left if sign not in (before, after)]
        found.append(BarLineRead(anchor, start, end, *says))
    faults += (Fault("shape", "dots beside no bar line", sign.x, sign.y) for sign in left)
    return tuple(found), tuple(faults)


def _together(bars: Iterable[Stroke], key: ReadingKey) -> Iterator[list[Stroke]]:
    """The lines of each bar line."""
    own: list[Stroke] = []
    for bar in bars:
        if own and bar[0] - own[-1][0] > key.table.repeats.together:
            yield own
            own = []
        own.append(bar)
    if own:
        yield own


def _heavy(lines: list[Stroke], key: ReadingKey) -> int | None:
    """The one of several lines that is thicker than the others."""
    widths = [width for _, width in lines]
    thickest = max(widths)
    others = [width for width in widths if width < thickest - key.table.tolerance.width]
    return widths.index(thickest) if len(others) == len(widths) - 1 > 0 else None


def _edges(lines: list[Stroke]) -> tuple[tuple[float, int], tuple[float, int]]:
    """Where its ink begins and ends, and the ways out from there."""
    (first, one), (last, other) = lines[0], lines[-1]
    return (first - one / 2, -1), (last + other / 2, 1)


def _dots(edge: float, way: int, signs: Iterable[SignRead], key: ReadingKey) -> SignRead | None:
    x = edge + way * key.table.repeats.dots
    middle = (LINES - 1) / 2
    here = (sign for sign in signs if near(sign.x, x, key) and near(sign.y, middle, key))
    return next(here, None)
