"""The room of bars: from bar line to bar line, as their ink asks for it.

In: the bars of a score, and the gaps between their columns and at the ends of lines. Out: a
`BarRoom` for each bar, from which follows how unlike the bars of a line come out.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from itertools import pairwise
from math import inf
from typing import NamedTuple

from stavebound.engrave.bars import Measure
from stavebound.engrave.gaps import Gap


class BarRoom(NamedTuple):
    """A bar of so many counts asks for `natural` room in a line that is not squeezed, and for
    `least` in one that is as tight as can be. At a line's left end it asks for so much more as
    `begins` says, at its right end as `ends` says. What stands `before` the first bar of all is
    no part of it."""

    time: float
    natural: float
    least: float
    begins: float
    ends: float
    before: float

    def room(self, ratio: float) -> float:
        """In a line of this ratio."""
        if ratio >= 0:
            return self.natural
        return self.natural + max(min(ratio, 0.0), -1.0) * (self.natural - self.least)


def bar_rooms(
    measures: Sequence[Measure],
    leads: Sequence[Gap],
    inner: Sequence[Gap],
    tails: Sequence[Gap],
    indents: tuple[float, float],
) -> Iterator[BarRoom]:
    """`indents` are kept free at the left of the first line and of all others."""
    end = 0
    for at, (bar, lead, tail) in enumerate(zip(measures, leads, tails, strict=True)):
        begin, end = end, end + len(bar.columns)
        first = begin + [column.time for column in bar.columns].index(bar.lines[-1])
        opening, closing = inner[first - 1], inner[end - 1] if end <= len(inner) else tail
        natural, least = (
            opening.after_at(ratio)
            + sum([gap.floor(ratio) for gap in inner[first : end - 1]])
            + _before_line(closing, ratio)
            for ratio in (0.0, -1.0)
        )
        edge = lead.natural - indents[at > 0]
        before = edge + sum([gap.natural for gap in inner[begin:first]]) - opening.after
        yield BarRoom(
            time=float(bar.end - bar.lines[-1]),
            natural=natural,
            least=least,
            begins=edge - opening.after if at else 0.0,
            ends=_before_line(tail, 0.0) - _before_line(closing, 0.0),
            before=0.0 if at else before,
        )


def _before_line(gap: Gap, ratio: float) -> float:
    return gap.floor(ratio) - gap.after_at(ratio)


def unlikeness(bars: Sequence[BarRoom], ratio: float, width: float) -> float:
    """How many times as wide as the narrowest the widest of some bars is for its time, where they
    fill a line of such a ratio and width as evenly as their ink allows."""
    rooms = [bar.room(ratio) for bar in bars]
    rooms[0] += bars[0].begins
    rooms[-1] += bars[-1].ends
    levels = sorted([(room / bar.time, bar.time) for room, bar in zip(rooms, bars, strict=True)])
    inside, times = width - bars[0].before, sum([bar.time for bar in bars])
    if levels[-1][0] * times <= inside:
        return 1.0
    rest, grown = inside - sum(rooms), 0.0
    for (level, time), (after, _) in pairwise((*levels, (inf, 0.0))):
        grown += time
        if rest <= grown * (after - level):
            return max(1.0, levels[-1][0] / (level + max(rest, 0.0) / grown))
        rest -= grown * (after - level)
    return 1.0
