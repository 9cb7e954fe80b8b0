"""Ways: the looks of a step one after the other, sought in its shots.

In: a row of the table, the shots of a step, the dance. Out: None where the step is danced as
the row promises, by either leg; else a `Broken`: how far it got at most, and what stands where
the next look was promised.

    looks   closed  pointed
    shots   closed  closed   pointed  pointed      each look holds at one shot or more,
    way     1       1        2        2            and there is nothing between two
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from stavebound.check.promises.looks import Instead, otherwise
from stavebound.check.promises.shots import Shot
from stavebound.dance.danced import Danced
from stavebound.dance.pose import BOTH
from stavebound.score.model import Side
from stavebound.trade.steps import ANYTHING, Promise

Way = tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Broken:
    """The shot at which a way was not gone on, with so many of its looks left, and why."""

    shot: Shot
    written: tuple[Instead, ...]
    left: int

    @property
    def nearness(self) -> tuple[int, int, bool]:
        """The greater, the more of the step is danced as promised."""
        return -self.left, -len(self.written), self.shot.arrives


def broken(row: Promise, shots: tuple[Shot, ...], danced: Danced) -> Broken | None:
    """`shots` end with those that the row may look at."""
    nearest: Broken | None = None
    for way in row.ways:
        for side in BOTH:
            fault = _Seeking(row, way, side, shots, danced).fault()
            if fault is None:
                return None
            if nearest is None or fault.nearness > nearest.nearness:
                nearest = fault
    return nearest


@dataclass(frozen=True, slots=True)
class _Seeking:
    """One way, danced by the leg on `side`, sought in the shots."""

    row: Promise
    way: Way
    side: Side
    shots: tuple[Shot, ...]
    danced: Danced

    def fault(self) -> Broken | None:
        """None where the whole way is danced."""
        held, reached = set[int](), [(0, 0)]
        for number, shot in enumerate(self.shots):
            steps = {after for at in held for after in (at, *self._after(at))}
            if self.row.when != "start" or shot.frame <= 1:
                steps.add(0)
            held = {at for at in steps if not self._otherwise(at, shot)}
            if len(self.way) - 1 in held and self._may_end(shot):
                return None
            reached += [(after, number + 1) for at in held for after in self._after(at)]
        return max(self._faults(reached), key=lambda fault: fault.nearness)

    def _after(self, at: int) -> Iterator[int]:
        """The looks that may come after one: of anything there may be nothing, too."""
        if at + 1 < len(self.way):
            yield at + 1
            if self.way[at + 1] == ANYTHING:
                yield at + 2

    def _may_end(self, shot: Shot) -> bool:
        return shot.frame > 0 and (shot.arrives or self.row.when != "arrival")

    def _faults(self, reached: list[tuple[int, int]]) -> Iterator[Broken]:
        """What stands where the look after those that were reached was promised."""
        looks = max(at for at, _ in reached)
        first = min(number for at, number in reached if at >= looks)
        later = [shot for shot in self.shots[first:] if self._may_end(shot)] or self.shots[-1:]
        for shot in later:
            yield Broken(shot, self._otherwise(looks, shot), len(self.way) - looks)

    def _otherwise(self, at: int, shot: Shot) -> tuple[Instead, ...]:
        name = self.way[at]
        if name == ANYTHING:
            return ()
        look = self.danced.catalogue.steps.look[name]
        return otherwise(look, self.side, shot, self.danced)
