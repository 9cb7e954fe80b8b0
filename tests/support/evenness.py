"""How even the bars of engraved lines are."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from itertools import pairwise
from typing import NamedTuple

from stavebound.engrave.bars import Measure
from stavebound.engrave.cost import Line
from stavebound.engrave.engraving import Engraved


class LineOfBars(NamedTuple):
    """The bars of a line: the number of the first, the widths from bar line to bar line with how
    many counts each lasts, and how wide the line is beside the measure of the others."""

    first: int
    bars: tuple[tuple[float, float], ...]
    last: bool
    filled: bool

    @property
    def unlikeness(self) -> float:
        """How many times as wide as another a bar is that lasts as long."""
        widths: dict[float, list[float]] = {}
        for counts, width in self.bars:
            widths.setdefault(counts, []).append(width)
        return max(max(each) / min(each) for each in widths.values())

    @property
    def alone(self) -> bool:
        """Whether a single bar leaves its line unfilled before the last one."""
        return len(self.bars) == 1 and not self.last and not self.filled


def lines_of_bars(engraved: Engraved) -> Iterator[LineOfBars]:
    """What stands before the first bar of all is no part of it."""
    rights = [line.run.places(line.ratio)[-1] for line in engraved.lines]
    for line, right in zip(engraved.lines, rights, strict=True):
        own = engraved.bars[line.start : line.end]
        edges = [*_begins(line, own), right]
        widths = [after - before for before, after in pairwise(edges)]
        counts = [float(bar.end - bar.lines[-1]) for bar in own]
        last = line.end == len(engraved.bars)
        yield LineOfBars(
            own[0].number,
            tuple(zip(counts, widths, strict=True)),
            last,
            right > max(rights) - 1e-6,
        )


def _begins(line: Line, own: Sequence[Measure]) -> Iterator[float]:
    """Where the bars begin, from left to right."""
    times = [column.time for bar in own for column in bar.columns]
    places = dict(
        zip(times, zip(line.run.gaps, line.run.places(line.ratio), strict=False), strict=False)
    )
    for bar in own:
        gap, x = places[bar.lines[-1]]
        begins_line = bar is own[0] and line.start > 0
        yield line.run.indent if begins_line else x - gap.after_at(line.ratio)
