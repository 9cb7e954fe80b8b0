"""Even bars: bars of a line that last equally long are about equally wide.

In: the bars of a line, each with its time, its width, and what its ink asks for. Out: their
widths, where the widest give to the narrowest as far as ink lets them.

    │ ▬  ▬  ▬  ▬ │ ▬ │ ▬ │      │ ▬ ▬ ▬ ▬ │ ▬  │ ▬  │
"""

from __future__ import annotations

from bisect import bisect_right
from collections.abc import Iterable, Sequence
from typing import NamedTuple

# Below it two widths are one.
ROUNDING = 1e-9


class Stretch(NamedTuple):
    """A bar in a line: gaps `first` to `last` − 1 lie behind its first axis. They last `time`
    counts; it is `width` wide now, and never under `least`. Of a bar that is `width` wide its
    gaps take `aside` more or less, for the axes behind the bar lines at its ends."""

    first: int
    last: int
    time: float
    width: float
    least: float
    aside: float

    def within(self, level: float, alike: float) -> float:
        """Its width, between that of its time at this level and so many times that; what is before
        all bars keeps its own."""
        if not self.time:
            return self.width
        narrow = level * self.time
        return max(min(self.width, max(alike * narrow, self.least)), narrow)


def evened(bars: Sequence[Stretch], alike: float) -> tuple[float, ...]:
    """The widths of bars that fill what they fill now, none more than so many times as wide for
    its time as another; where ink keeps one wider than that, the others are as wide as can be."""
    found = tuple([bar.width for bar in bars])
    for most in (alike, 1.0):
        if unlikeness(bars, found) <= alike + ROUNDING:
            break
        level = _even_level(bars, most)
        found = tuple([bar.within(level, most) for bar in bars])
    return found


def unlikeness(bars: Iterable[Stretch], widths: Iterable[float]) -> float:
    """How many times as wide as another a bar is for its time."""
    rooms = [width / bar.time for bar, width in zip(bars, widths, strict=True) if bar.time]
    return max(rooms) / min(rooms) if rooms else 1.0


def _even_level(bars: Sequence[Stretch], alike: float) -> float:
    """At which level of their times' widths bars fill what they fill now."""

    def filled(level: float) -> float:
        return sum([bar.within(level, alike) for bar in bars])

    whole = sum([bar.width for bar in bars])
    turns = sorted(
        at / bar.time
        for bar in bars
        if bar.time
        for at in (bar.width, bar.width / alike, bar.least / alike)
    )
    at = bisect_right(turns, whole, key=filled)
    if at == len(turns):
        return turns[-1]
    low, high = turns[at - 1] if at else 0.0, turns[at]
    return low + (high - low) * (whole - filled(low)) / (filled(high) - filled(low))
