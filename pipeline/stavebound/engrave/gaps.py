"""Gaps: the distances between the columns of a line, and how a line that is set shares its width
among them.

In: the gaps of a line, each with what its ink and its time ask for, and the line's ratio. Out:
the places of the columns. Equal times take equal room, but where ink asks for more, and where
bars would come out too unlike for it (`even.py`).
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import accumulate, pairwise
from math import inf
from typing import NamedTuple

from stavebound.engrave.even import Stretch, evened, unlikeness


@dataclass(frozen=True, slots=True)
class Gap:
    """Room between two axes, in spaces: never under `least`, willingly `natural`,
    and growing by `stretch`, half its time's room, for each unit of a line's ratio; its ink alone
    asks for `ink`. Where a bar line stands in it,
    the second axis is so far `after` that line's right edge, and `least_after` in a line that
    is squeezed as far as it gives. `more` than its time's room is kept for that. It lasts `time`
    counts; what is before the first bar of all lasts none."""

    least: float
    natural: float
    stretch: float
    after: float = 0.0
    least_after: float = 0.0
    ink: float = 0.0
    more: float = 0.0
    time: float = 0.0

    @property
    def give(self) -> float:
        """How much tighter than natural it can be."""
        return self.natural - self.least

    @property
    def room(self) -> float:
        """What its time takes in a line at its natural width."""
        return 2 * self.stretch

    def floor(self, ratio: float) -> float:
        """What its ink asks for in a line of this ratio."""
        ink = max(self.ink, self.least)
        return ink + max(min(ratio, 0.0), -1.0) * (ink - self.least)

    def after_at(self, ratio: float) -> float:
        """How far the second axis is after the bar line, in a line of this ratio."""
        return self.after + max(min(ratio, 0.0), -1.0) * (self.after - self.least_after)


class Ask(NamedTuple):
    """Room that the texts of two columns ask for: the gaps `first` to `last` − 1 between them are
    widened for it up to so many times at the `most`."""

    first: int
    last: int
    room: float
    most: float

    def fits(self, have: float) -> bool:
        """Whether gaps that have so much are to be widened."""
        return have < self.room <= self.most * have

    def moved(self, by: int) -> Ask:
        return self._replace(first=self.first + by, last=self.last + by)


@dataclass(frozen=True, slots=True)
class LineGaps:
    """The gaps of a line: before its first column, between columns, after its last. Its stave
    begins at `indent`; of bars that last equally long one is up to `alike` times as wide as
    another where ink allows. Texts have the room of `asks` where that is not too much."""

    gaps: tuple[Gap, ...]
    indent: float = 0.0
    alike: float = inf
    asks: tuple[Ask, ...] = ()

    @property
    def natural(self) -> float:
        return sum([gap.natural for gap in self.gaps])

    def ratio(self, width: float) -> float:
        """How far the run must stretch (above 0) or be squeezed (below) to fill the width.

        Under −1 it does not fit.
        """
        stretch = sum([gap.stretch for gap in self.gaps])
        return stretch_ratio(width - self.natural, stretch, sum([gap.give for gap in self.gaps]))

    def places(self, ratio: float) -> tuple[float, ...]:
        """The axes of the columns, then the right edge. Texts get the room that they ask for
        where bars come out no less alike for it."""
        floors = [gap.floor(ratio) for gap in self.gaps]
        widths, unlike = self._set(floors, ratio)
        if self.asks:
            asked = _asked(self.asks, widths, floors)
            wider, more_unlike = self._set(asked, ratio)
            if more_unlike <= max(unlike, self.alike):
                widths = wider
        return tuple(accumulate(widths))

    def _set(self, floors: Sequence[float], ratio: float) -> tuple[list[float], float]:
        """The widths of gaps that are never under their floors, and how unlike the bars are."""
        widths = _shared(self.gaps, floors, self._width(ratio))
        bars = tuple(self._bars(widths, floors, ratio))
        even = evened(bars, self.alike)
        for bar, width in zip(bars, even, strict=True):
            if width != bar.width:
                inside = slice(bar.first, bar.last)
                widths[inside] = _shared(self.gaps[inside], floors[inside], width + bar.aside)
        return widths, unlikeness(bars, even)

    def _width(self, ratio: float) -> float:
        if ratio < 0:
            return self.natural + max(ratio, -1.0) * sum([gap.give for gap in self.gaps])
        return self.natural + ratio * sum([gap.stretch for gap in self.gaps])

    def _bars(
        self, widths: Sequence[float], floors: Sequence[float], ratio: float
    ) -> Iterator[Stretch]:
        """What stands before a bar line, from left to right."""
        begin, before = 1, widths[0] - self.indent
        for end, gap in enumerate(self.gaps[1:], 2):
            if gap.after or end == len(self.gaps):
                after = gap.after_at(ratio) if gap.after else 0.0
                aside = after - before
                yield Stretch(
                    begin,
                    end,
                    sum([one.time for one in self.gaps[begin:end]]),
                    sum(widths[begin:end]) - aside,
                    sum(floors[begin:end]) - aside,
                    aside,
                )
                begin, before = end, after


def _asked(asks: Sequence[Ask], widths: Sequence[float], floors: Sequence[float]) -> list[float]:
    """The floors of gaps that are so wide, with what texts ask for, as far as there is room."""
    found, free = [*floors], sum(widths) - sum(floors)
    for ask in asks:
        inside = slice(ask.first, ask.last)
        have = sum(widths[inside])
        own = [width * ask.room / have for width in widths[inside]]
        more = sum(own) - sum(floors[inside])
        if ask.fits(have) and more <= free:
            found[inside] = [*map(max, found[inside], own)]
            free -= more
    return found


def _shared(gaps: Sequence[Gap], floors: Sequence[float], width: float) -> list[float]:
    """The widths of gaps that fill so much together: equal times take equal room, but where
    ink asks for more."""
    level = _level(gaps, floors, width)
    pairs = zip(gaps, floors, strict=True)
    return [max(floor, gap.more + level * gap.room) for gap, floor in pairs]


def _level(gaps: Sequence[Gap], floors: Sequence[float], width: float) -> float:
    """By how much all times' room is to be multiplied for gaps above their floors to fill the
    width: the tightest grow first."""
    growing = sorted(
        ((floor - gap.more) / gap.room, gap.room)
        for gap, floor in zip(gaps, floors, strict=True)
        if gap.room
    )
    rest, grows = width - sum(floors), 0.0
    for (level, room), (after, _) in pairwise((*growing, (inf, 0.0))):
        grows += room
        if rest <= grows * (after - level):
            return level + rest / grows
        rest -= grows * (after - level)
    return 0.0


def stretch_ratio(extra: float, stretch: float, give: float) -> float:
    if extra >= 0:
        return extra / stretch
    return extra / give if give else float("-inf")
