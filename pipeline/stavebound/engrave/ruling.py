"""Ruling: the lines of a stave, broken where a level sign stands on one.

In: the ends of a stave, what stands on its axes, and the setting. Out: `Rule`s, line by line
from the floor, each from left to right. Always holds: the floor line is whole, since feet that
stand on it are known by that; every piece of a line is as long as a piece of it can be seen.

    ──────────────────────────
    ─────────   ▬▬   ─────────   as much white to either side
    ──────────────────────────
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from itertools import pairwise
from typing import NamedTuple

from stavebound.engrave.columns import OnAxis
from stavebound.engrave.gather import REMEMBERED, Inks
from stavebound.engrave.style import Setting
from stavebound.engrave.system import Rule
from stavebound.geometry import Box
from stavebound.remembering import remembered
from stavebound.trade.catalogue import Catalogue

# What stands on a line as level as itself: it would be no more than a thicker piece of it.
LEVEL = "rather off"


class Break(NamedTuple):
    """Where a line, counted from the floor, is white."""

    line: int
    left: float
    right: float

    def moved(self, dx: float) -> Break:
        return Break(self.line, self.left + dx, self.right + dx)


def stave_lines(
    edges: tuple[float, float], setting: Setting, breaks: Iterable[Break] = ()
) -> Iterator[Rule]:
    """Breaks with hardly any line between them are one."""
    broken: dict[int, list[Break]] = {}
    for one in sorted(breaks):
        broken.setdefault(one.line, []).append(one)
    shortest = setting.style.distance("shortest line")
    for line in range(len(setting.catalogue.ruling.line)):
        ends = edges[0], *_ends(broken.get(line, ()), shortest), edges[1]
        for left, right in zip(ends[::2], ends[1::2], strict=True):
            yield Rule("stave", left, line, right, line, setting.style.stave_line)


def _ends(breaks: Sequence[Break], shortest: float) -> list[float]:
    """Where white begins and ends, by turns."""
    ends: list[float] = []
    for one in breaks:
        if ends and one.left - ends[-1] < shortest:
            ends[-1] = max(ends[-1], one.right)
        else:
            ends += [one.left, one.right]
    return ends


def breaks_round(placed: Iterable[OnAxis], setting: Setting) -> Iterator[Break]:
    """Round every level sign that stands on a line, and what stands there with it."""
    style, catalogue = setting.style, setting.catalogue
    white, near = style.distance("line break"), style.distance("on a line")
    for at in placed:
        for cleared in at.cell.signs:
            for one in _breaks(cleared.cluster.inks, cleared.boxes, white, near, catalogue):
                yield one.moved(at.x)


@remembered(REMEMBERED)
def _breaks(
    inks: Inks, boxes: tuple[Box, ...], white: float, near: float, catalogue: Catalogue
) -> tuple[Break, ...]:
    """A sign that only comes into a line, its middle off it, leaves the line whole."""
    if catalogue.sign(inks[0].sign).lines != LEVEL:
        return ()
    found = []
    for line in range(1, len(catalogue.ruling.line)):
        if abs(inks[0].y - line) <= near:
            on_it = [box for box in boxes if box.bottom < line < box.top]
            left, right = min(box.left for box in on_it), max(box.right for box in on_it)
            found.append(Break(line, left - white, right + white))
    return tuple(found)


def breaks_of(rules: Iterable[Rule]) -> Iterator[Break]:
    """The breaks in the lines of a stave, from their pieces."""
    for one, other in pairwise(rule for rule in rules if rule.pen == "stave"):
        if one.y1 == other.y1:
            yield Break(round(one.y1), one.x2, other.x1)
