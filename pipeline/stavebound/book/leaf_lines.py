"""The lines of the key's leaf: how many frames stand beside each other, and on how large staves.

In: pictures in their order, the leaf's paper and the setting. Out: a `LeafPlan`. All lines keep
within the type area. Frames of moves, which are wider, have columns of their own; what stands
beside what is chosen so that all lines together are the least deep.

    ═══╤═════╤═════╤═══
       ▬     │     •
      dash stroke dot
                            white, or the names belonged to the frames below
    ═══╤═════╤═════╤═══
"""

from __future__ import annotations

import re
from bisect import bisect_right
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from functools import cache
from itertools import count, takewhile

from stavebound.book.grid import POINTS
from stavebound.book.papers import Paper
from stavebound.book.reading import in_key
from stavebound.book.scales import Pictured, middle
from stavebound.engrave.parts import Setting
from stavebound.faces import Faces
from stavebound.remembering import remembered

# Rooms that together are wider by less than this are as wide as the measure.
ROUNDING = 1e-6
# The least room of a frame is between these; how much it is depends on what is the least deep.
FRAMES = "leaf widest frame", "leaf narrowest frame"
APART = "leaf frames apart"
# How many names are remembered, each with a width that it has.
NAMES = 2048


@dataclass(frozen=True, slots=True)
class LeafType:
    """The leaf's names beside staves of so many millimetres: size and leading in points, the
    white at either side of a name and over a line in millimetres."""

    stave: float
    size: float
    leading: float
    inset: float
    over: float

    @property
    def space(self) -> float:
        return self.stave / 4


@dataclass(frozen=True, slots=True)
class LeafLine:
    """Frames beside each other, with `room` millimetres each, and how deep they are with their
    names and the white over them."""

    rows: tuple[Pictured, ...]
    room: float
    depth: float


@dataclass(frozen=True, slots=True)
class LeafPlan:
    """Lines by pages, and what their names are set in."""

    type: LeafType
    pages: tuple[tuple[LeafLine, ...], ...]

    @property
    def lines(self) -> tuple[LeafLine, ...]:
        return tuple(line for page in self.pages for line in page)

    @property
    def rows(self) -> tuple[Pictured, ...]:
        return tuple(row for line in self.lines for row in line.rows)


@dataclass(frozen=True, slots=True)
class LeafRepeat:
    """The meaning of a sign of a repeat, and how high its picture is, in millimetres to one of
    its stave."""

    meaning: str
    height: float


def leaf_type(stave: float, paper: Paper, setting: Setting) -> LeafType:
    """Names grow with their staves, and are the smaller the smaller the type of the text is."""
    distance = setting.style.distance
    larger = stave / distance("leaf least stave height")
    size = paper.type_size * distance("leaf name size") * larger
    return LeafType(
        stave,
        size,
        size * distance("leaf name leading"),
        distance("leaf name inset"),
        stave * distance("leaf line gap"),
    )


def fitting(
    rows: Sequence[Pictured],
    paper: Paper,
    setting: Setting,
    repeats: Sequence[LeafRepeat] = (),
) -> LeafPlan:
    """The largest staves on which all fit on one page, where they need not be too low for it;
    else on both sides of a leaf; else the least, on as many pages as it takes."""
    distance = setting.style.distance

    @cache
    def plan(stave: float) -> LeafPlan:
        own = leaf_type(stave, paper, setting)
        fewest, most = (int(paper.measure / own.size / distance(name)) for name in FRAMES)
        leaves = (_Leaf(own, paper, setting, 1 + at) for at in range(fewest - 1, most))
        pages = (tuple(leaf.pages(leaf.lines(rows), repeats)) for leaf in leaves)
        return LeafPlan(own, min(pages, key=_depths))

    for sides, least in enumerate(("leaf page least stave height", "leaf least stave height"), 1):
        staves = (*_staves(distance(least), setting),)
        if len(plan(staves[0]).pages) <= sides:
            at = bisect_right(staves, sides, key=lambda stave: len(plan(stave).pages))
            return plan(staves[at - 1])
    return plan(staves[0])


def _staves(least: float, setting: Setting) -> Iterator[float]:
    """From the least to the key's own."""
    step, greatest = (
        setting.style.distance("leaf stave height step"),
        in_key(setting).style.stave_height,
    )
    return takewhile(lambda height: height <= greatest, count(least, step))


@dataclass(frozen=True, slots=True)
class _Leaf:
    """The leaf with names and staves of one size."""

    type: LeafType
    paper: Paper
    setting: Setting
    columns: int

    def lines(self, rows: Sequence[Pictured]) -> tuple[LeafLine, ...]:
        """Those that are the least deep together; of such, the fullest come first."""
        needs = self._needs(rows)
        best: list[tuple[float, tuple[LeafLine, ...]]] = [(0.0, ())]
        for end in range(1, len(rows) + 1):
            ends = [
                (best[start][0] + line.depth + self._unfilled(line), (*best[start][1], line))
                for start, line in self._ending(rows, needs, end)
            ]
            best.append(min(ends, key=lambda each: round(each[0], 6)))
        return best[-1][1]

    def _unfilled(self, line: LeafLine) -> float:
        """What the room behind its last frame is reckoned for."""
        empty = 1 - line.room * len(line.rows) / self.paper.measure
        return empty * self.type.stave * self.setting.style.distance("leaf unfilled")

    def _needs(self, rows: Sequence[Pictured]) -> tuple[float, ...]:
        """The room of each frame: as much as the ink of any of its kind needs, so that they have
        columns, and no less than its longest word."""
        reach = {
            moves: max((_reach(each) for each in rows if bool(each.row.before) is moves), default=0)
            for moves in (True, False)
        }
        least, apart = self.paper.measure / self.columns, self.setting.style.distance(APART)
        inks = {moves: (2 * own + apart) * self.type.space for moves, own in reach.items()}
        return tuple(
            max(least, inks[bool(each.row.before)], self._longest_word(each.row.name))
            for each in rows
        )

    def _longest_word(self, name: str) -> float:
        """The room of it, in millimetres."""
        longest = max(self.setting.faces.width(word, self.type.size) for word in words_of(name))
        return longest / POINTS + 2 * self.type.inset

    def _ending(
        self, rows: Sequence[Pictured], needs: Sequence[float], end: int
    ) -> Iterator[tuple[int, LeafLine]]:
        """The lines whose last frame is the one before `end`, with where each begins, the longest
        first."""
        starts, need = list[tuple[int, float]](), 0.0
        for start in range(end - 1, -1, -1):
            need = max(need, needs[start])
            room = self.paper.measure / max(1, int(self.paper.measure / need + ROUNDING))
            if starts and room * (end - start) > self.paper.measure + ROUNDING:
                break
            starts.append((start, room))
        for start, room in reversed(starts):
            own = tuple(rows[start:end])
            yield start, LeafLine(own, room, self._depth(own, room))

    def _depth(self, rows: Sequence[Pictured], room: float) -> float:
        spaces = top_of(rows, self.setting) - min(each.system.box.bottom for each in rows)
        names = max(self._name_lines(each.row.name, room) for each in rows)
        return self.type.over + spaces * self.type.space + names * self.type.leading / POINTS

    def _name_lines(self, name: str, width: float) -> int:
        """How many lines a name takes in so many millimetres."""
        room = (width - 2 * self.type.inset) * POINTS / self.type.size
        return name_lines(name, room, self.setting.faces)

    def pages(
        self, lines: Sequence[LeafLine], repeats: Sequence[LeafRepeat]
    ) -> Iterator[tuple[LeafLine, ...]]:
        """As many lines on a page as it has room for; the repeats stand under the last."""
        head = self.setting.style.distance("leaf head lines")
        room = self.paper.depth - head * self.paper.leading / POINTS
        page, depth = list[LeafLine](), 0.0
        for line in lines:
            last = self._repeats_depth(repeats) if line is lines[-1] else 0.0
            if page and depth + line.depth + last > room:
                yield tuple(page)
                page, depth = [], 0.0
            page, depth = [*page, line], depth + line.depth
        yield tuple(page)

    def _repeats_depth(self, repeats: Sequence[LeafRepeat]) -> float:
        """Two beside each other, with their meanings, in millimetres."""
        highest = self.type.stave * max((each.height for each in repeats), default=0.0)
        depth = 0.0
        for first in range(0, len(repeats), 2):
            pair = repeats[first : first + 2]
            meanings = max(self._name_lines(each.meaning, self.paper.measure / 2) for each in pair)
            depth += self.type.over + highest + meanings * self.type.leading / POINTS
        return depth


def _depths(pages: Sequence[Sequence[LeafLine]]) -> tuple[int, float]:
    """How many pages there are, and how deep all their lines are."""
    return len(pages), sum(line.depth for page in pages for line in page)


def top_of(rows: Sequence[Pictured], setting: Setting) -> float:
    """The top of their ink, in spaces: the white over a line is the leaf's own."""
    return max(each.system.box.top for each in rows) - setting.style.distance("overhang")


def _reach(pictured: Pictured) -> float:
    """How far the ink of a frame goes from the middle of its stave, in spaces."""
    (stave,), texts = pictured.system.staves, pictured.system.texts
    axis = middle(pictured.system)
    drawn = (stave.signs, stave.ways, stave.phrasings, stave.lasting)
    boxes = [one.box for some in drawn for one in some]
    ends = [x for box in boxes for x in (box.left, box.right)]
    ends += [x for text in texts for x in (text.x, text.x + text.width)]
    return max((abs(x - axis) for x in ends), default=0.0)


def words_of(name: str) -> tuple[str, ...]:
    """What is never broken: parts of hyphened words by themselves."""
    return tuple(re.findall(r"[^\s-]+-?", name))


@remembered(NAMES)
def name_lines(name: str, room: float, faces: Faces) -> int:
    """How many lines a name takes in so many em."""
    lines, line = 1, ""
    for word in words_of(name):
        longer = f"{line}{word}" if line.endswith("-") else f"{line} {word}".strip()
        if line and faces.width(longer, 1.0) > room:
            lines, line = lines + 1, word
        else:
            line = longer
    return lines
