"""What the pages of an exercise are made of, and how blocks stand one below the other.

In: blocks with their heights, and the setting. Out: pages, with the place of every block. It
always holds that nothing stands below the type area but a block that is higher than it, and that
text stands on half lines, but where it is set closest.
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from itertools import accumulate, pairwise

# How a page's place is reckoned equal to another, in points.
EXACT = 0.01
# Facing pages: the left one has an odd index in its chapter, which opens on the right.
LEFT, RIGHT = 1, 0
FACING = 2
# The names that a layout's table has to have.
COSTS = (
    "page",
    "white",
    "white at the end",
    "uneven",
    "spread out",
    "set close",
    "opening parted",
    "staves parted",
    "words under staves",
    "staves before words",
    "margin left empty",
    "few words",
    "list parted",
    "list round staves",
    "list over the turn",
    "single staves",
    "few lines",
    "few lines at the end",
    "turn",
    "staves over the turn",
    "empty page",
)
# How often white may be taken away: half a line round staves; half of what parts texts, which
# then leave the grid; and as much round staves too.
CLOSE, CLOSEST = 2, 3
MEASURES = (
    "round staves",
    "most spread out",
    "most shared",
    "least page",
    "least last page",
    "least words",
    "least between texts",
    "paragraph over columns",
)

# What costs as much, or more, breaks a law.
LAW = "empty page"

# What a page costs, by name.
Costs = tuple[tuple[str, float], ...]


@dataclass(frozen=True, slots=True)
class Block:
    """What is not broken: a paragraph, an entry of a list, a system of staves.

    `height` and `before`, the white that parts it from the block before it, are in points.
    `group` is the number of the list that it is of, 0 for none; a `kept` one stands on the
    page of the one that follows.
    """

    height: float
    before: float = 0.0
    staves: bool = False
    group: int = 0
    kept: bool = False
    beside: bool = False
    """Whether it stands in the margin column."""


@dataclass(frozen=True, slots=True)
class Spreads:
    """`lines` of `leading` points are a page; `apart` is the least white between two systems,
    in points; costs and measures are those of the layout's table."""

    lines: int
    leading: float
    apart: float
    costs: Mapping[str, float]
    measures: Mapping[str, float]
    outwards: tuple[float, float] = (0.0, 0.0)
    """How far text and margin column are moved to the right on a left page, in points."""
    facing: bool = False
    """Whether words may stand on a left page and all staves on the right one."""

    @property
    def half(self) -> float:
        return self.leading / 2

    @property
    def depth(self) -> float:
        return self.lines * self.leading


@dataclass(frozen=True, slots=True)
class PlannedPage:
    """Blocks from `start` on, as many as `places`, which are in points from the upper edge of
    the type area; `end` is where the last of them ends. `beside` are the places of the next
    blocks of the margin column, in their own order."""

    start: int
    places: tuple[float, ...]
    end: float
    costs: Costs = ()
    beside: tuple[float, ...] = ()

    @property
    def cost(self) -> float:
        return sum(value for _, value in self.costs)

    def costing(self, *more: tuple[str, float]) -> PlannedPage:
        """The same page, for these costs more."""
        costs = (*self.costs, *more)
        return PlannedPage(self.start, self.places, self.end, costs, self.beside)


@dataclass(frozen=True, slots=True)
class PlannedExercise:
    """The pages of an exercise, and whether an empty one goes before them. `order` is that in
    which its blocks stand, where it is not their own; `form` is the number of the form that was
    taken of these `forms`."""

    pages: tuple[PlannedPage, ...]
    after_empty: bool = False
    order: tuple[int, ...] = ()
    form: int = 0
    forms: tuple[tuple[Block, ...], ...] = ()

    @property
    def cost(self) -> float:
        return sum(page.cost for page in self.pages)

    @property
    def taken(self) -> int:
        return len(self.pages) + self.after_empty


def stood(
    blocks: Sequence[Block], start: int, more: int, setting: Spreads
) -> tuple[tuple[float, ...], tuple[float, ...]]:
    """Where blocks from `start` on begin and end, one below the other, as many as a page holds,
    with so many half lines more round staves than is usual. A block that is higher by itself
    stands alone."""
    places, ends = [0.0], [blocks[start].height]
    for above, block in pairwise(blocks[start:]):
        at = ends[-1] + white(above, block, more, setting)
        if above.staves and not block.staves and more > -CLOSE:
            at = math.ceil(at / setting.leading - EXACT) * setting.leading
        if at + block.height > setting.depth + EXACT:
            break
        places.append(at)
        ends.append(at + block.height)
    return tuple(places), tuple(ends)


def shared(blocks: Sequence[Block], start: int, setting: Spreads) -> PlannedPage | None:
    """Systems from the top of a page to its foot, with the same white between all of them, but
    no more than is sensible; None where they are higher than a page."""
    between, most = len(blocks) - 1, setting.apart + setting.measures["most shared"] * setting.half
    left = setting.depth - sum(block.height for block in blocks)
    if left < between * setting.apart - EXACT:
        return None
    apart = min(left / max(between, 1), most)
    below = accumulate((block.height + apart for block in blocks), initial=0.0)
    *places, end = below
    return PlannedPage(start, tuple(places), end - apart)


def white(above: Block, block: Block, more: int, setting: Spreads) -> float:
    """Between two blocks, in points."""
    if above.staves and block.staves:
        return setting.apart + max(more, 0) * setting.half
    if above.staves or block.staves:
        least = setting.measures["least between texts"]
        usual = setting.measures["round staves"] + max(-1, min(more, 1))
        return (min(usual, least) if more <= -CLOSEST else usual) * setting.half
    least = setting.measures["least between texts"] * setting.half
    return min(block.before, least) if more <= -CLOSE else block.before
