"""The lines of the key's leaf: how many frames stand beside each other, and on how large staves.

In: pictures in their order, the leaf's paper and the setting. Out: a `LeafPlan`. All lines keep
within the type area. Each frame has as much room as its ink and its name need; how many lines
names have, and what stands beside what, is chosen so that all lines together are the least deep.

    ═══╤═════╤══════╤═══
       ▬     │      •
      dash stroke  dot
                             white, or the names belonged to the frames below
    ═══╤════════╤═══
"""

from __future__ import annotations

import re
from bisect import bisect_right
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from functools import cache
from itertools import count, takewhile
from operator import add

from stavebound.book.grid import POINTS
from stavebound.book.papers import Paper
from stavebound.book.reading import in_key
from stavebound.book.scales import Pictured, middle
from stavebound.engrave.parts import Setting
from stavebound.faces import Faces
from stavebound.remembering import remembered

# Rooms that together are wider by less than this are as wide as the measure.
ROUNDING = 1e-6
APART, WIDEST = "leaf frames apart", "leaf widest frame"
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
    """Frames beside each other with their rooms, and how deep they are with their names and the
    white over them, all in millimetres."""

    rows: tuple[Pictured, ...]
    rooms: tuple[float, ...]
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
        leaf = _Leaf(own, paper, setting)
        return LeafPlan(own, tuple(leaf.pages(leaf.lines(rows), repeats)))

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
class _Frame:
    """A frame, where its ink ends in spaces, and the room in millimetres that it needs with a
    name of one line, of two, and so on."""

    row: Pictured
    bottom: float
    top: float
    needs: tuple[float, ...]


@dataclass(frozen=True, slots=True)
class _Leaf:
    """The leaf with names and staves of one size."""

    type: LeafType
    paper: Paper
    setting: Setting

    def lines(self, rows: Sequence[Pictured]) -> tuple[LeafLine, ...]:
        """Those that are the least deep together; of such, the fullest come first."""
        most = max((len(words_of(each.row.name)) for each in rows), default=1)
        frames = tuple(self._frame(each, most) for each in rows)
        best, starts = [0.0], [0]
        for end in range(1, len(frames) + 1):
            ends = {start: best[start] + cost for start, cost in self._ending(frames, end)}
            start = min(reversed(ends), key=lambda each: round(ends[each], 6))
            best.append(ends[start])
            starts.append(start)
        end, found = len(frames), list[LeafLine]()
        while end:
            found.append(self._line(frames[starts[end] : end]))
            end = starts[end]
        return tuple(reversed(found))

    def _frame(self, pictured: Pictured, most: int) -> _Frame:
        distance, name = self.setting.style.distance, pictured.row.name
        ink = (2 * _reach(pictured) + distance(APART)) * self.type.space
        points, inset = self.type.size / POINTS, 2 * self.type.inset
        needs = (
            max(ink, narrowest(name, lines, self.setting.faces) * points + inset)
            for lines in range(1, most + 1)
        )
        ends = bottom_of((pictured,), self.setting), top_of((pictured,), self.setting)
        return _Frame(pictured, *ends, tuple(needs))

    def _ending(self, frames: Sequence[_Frame], end: int) -> Iterator[tuple[int, float]]:
        """Where lines may begin whose last frame is the one before `end`, and what each of them
        is reckoned for, the shortest first: its depth, and the room that it leaves empty."""
        own = reversed(frames[:end])
        bottom, top, needs = 0.0, 0.0, (0.0,) * len(frames[0].needs)
        for start, frame in zip(range(end - 1, -1, -1), own, strict=True):
            bottom, top = min(bottom, frame.bottom), max(top, frame.top)
            needs = tuple(map(add, needs, frame.needs))
            lines = self._names_in(needs)
            if lines is None and start < end - 1:
                return
            empty = 1 - needs[(lines or 1) - 1] / self.paper.measure if end < len(frames) else 0.0
            yield start, self._depth(bottom, top, lines or 1) + self._unfilled(empty)

    def _names_in(self, needs: Sequence[float]) -> int | None:
        """How many lines names take at the least in a line that needs so much with each number
        of them; None where it has no room."""
        most = self.paper.measure + ROUNDING
        return next((lines for lines, need in enumerate(needs, 1) if need <= most), None)

    def _depth(self, bottom: float, top: float, lines: int) -> float:
        names = lines * self.type.leading / POINTS
        return self.type.over + (top - bottom) * self.type.space + names

    def _line(self, frames: Sequence[_Frame]) -> LeafLine:
        """A line that fills the measure, unless its frames were too wide then."""
        needs = tuple(map(sum, zip(*(frame.needs for frame in frames), strict=True)))
        at, widest = (self._names_in(needs) or 1) - 1, self.setting.style.distance(WIDEST)
        wider = min(self.paper.measure / needs[at], widest)
        rooms = tuple(frame.needs[at] * wider for frame in frames)
        names = zip(frames, rooms, strict=True)
        lines = max(self._name_lines(frame.row.row.name, room) for frame, room in names)
        bottom = min(frame.bottom for frame in frames)
        depth = self._depth(bottom, max(frame.top for frame in frames), lines)
        return LeafLine(tuple(frame.row for frame in frames), rooms, depth)

    def _unfilled(self, empty: float) -> float:
        """What a line is reckoned for that leaves such a share of its measure empty."""
        return empty**2 * self.type.stave * self.setting.style.distance("leaf unfilled")

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


def top_of(rows: Sequence[Pictured], setting: Setting) -> float:
    """The top of their ink, in spaces: the white over a line is the leaf's own."""
    return max(each.system.box.top for each in rows) - setting.style.distance("overhang")


def bottom_of(rows: Sequence[Pictured], setting: Setting) -> float:
    """The bottom of their ink, in spaces: names bring white of their own."""
    return min(each.system.box.bottom for each in rows) + setting.style.distance("overhang")


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
def narrowest(name: str, lines: int, faces: Faces) -> float:
    """The least room in em in which a name takes no more than so many lines."""
    words = words_of(name)
    longest = max(faces.width(word, 1.0) for word in words)
    runs = (words[start:end] for end in range(len(words) + 1) for start in range(end))
    widths = sorted(faces.width(_in_a_line(run), 1.0) + ROUNDING for run in runs)
    fit = (room for room in widths if name_lines(name, room, faces) <= lines)
    return next(room for room in fit if room >= longest)


def _in_a_line(words: Sequence[str]) -> str:
    """The words of a line."""
    return " ".join(words).replace("- ", "-")


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
