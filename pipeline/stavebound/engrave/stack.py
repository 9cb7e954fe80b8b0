"""Stack: staves one below the other, as far apart as their ink asks for.

In: the staves of a line with their texts, each with its floor line at nought. Out: the
`System`. Between two staves there is more white than anywhere among the ink that either has
there, so that everything is seen to belong to the stave it is nearer to. Several staves are
joined at their left ends, by an upright line and a bracket.

    ║│═══════
    ║│ plié        ↕ white within
    ║│             ↕ more white between
    ║│ proudly     ↕ white within
    ║│═══════
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import replace
from itertools import pairwise
from typing import NamedTuple

from stavebound.engrave.metres import LANE as METRE
from stavebound.engrave.parts import text_box
from stavebound.engrave.style import Setting, Style
from stavebound.engrave.system import PlacedText, Rule, Stave, System
from stavebound.geometry import Box, union


class StaveRow(NamedTuple):
    """A stave with its floor line at nought, and the texts that stand at it."""

    stave: Stave
    texts: tuple[PlacedText, ...]


def bracket_room(staves: int, style: Style) -> float:
    """What the bracket of several staves takes at their left."""
    return style.distance("final bar gap") + style.distance("final bar line") if staves > 1 else 0.0


def system(rows: Sequence[StaveRow], bars: tuple[int, int], setting: Setting) -> System:
    """The staves, the topmost first, with the box that holds all and some air, from the line's
    left edge."""
    style = setting.style
    inks = [_inks(row, setting) for row in rows]
    floors = _floors(inks, setting)
    staves = tuple(
        replace(row.stave, floor=floor) if floor else row.stave
        for row, floor in zip(rows, floors, strict=True)
    )
    texts = tuple(
        text._replace(y=text.y + floor) if floor else text
        for row, floor in zip(rows, floors, strict=True)
        for text in row.texts
    )
    joins = tuple(_joins(staves, setting)) if len(staves) > 1 else ()
    boxes = (union(ink).moved(0.0, floor) for ink, floor in zip(inks, floors, strict=True))
    ink, air = union((*boxes, *(rule.box for rule in joins))), style.distance("overhang")
    box = Box(min(ink.left, 0.0), ink.bottom - air, ink.right, ink.top + air)
    return System(
        staves, texts, box, bars, style.space, style.distance("centre dot"), joins, style.colours
    )


def _inks(row: StaveRow, setting: Setting) -> list[Box]:
    """The boxes of all, but of metres, which stand in the stave."""
    stave = row.stave
    drawn = (stave.rules, stave.signs, stave.ways, stave.phrasings, stave.lasting, stave.marks)
    boxes = [one.box for some in drawn for one in some]
    return boxes + [text_box(text, setting) for text in row.texts if text.lane != METRE]


def _floors(inks: Sequence[Sequence[Box]], setting: Setting) -> tuple[float, ...]:
    """The heights of the floor lines, that of the lowest stave at nought."""
    least, more = (setting.style.distance(name) for name in ("stave gap", "stave parting"))
    top, floors = _top(setting), [0.0]
    for upper, lower in reversed([*pairwise(inks)]):
        below = _widest_white((-box.top, -box.bottom) for box in upper)
        above = _widest_white((box.bottom - top, box.top - top) for box in lower)
        white = max(least, max(below, above) + more)
        highest, lowest = max(box.top for box in lower), min(box.bottom for box in upper)
        floors.append(floors[-1] + highest + white - lowest)
    return tuple(reversed(floors))


def _widest_white(spans: Iterable[tuple[float, float]]) -> float:
    """The widest white among inks beyond the lines of a stave, by how far from these each
    begins and ends."""
    reached, widest = 0.0, 0.0
    for begin, end in sorted(spans):
        widest = max(widest, begin - reached)
        reached = max(reached, end)
    return widest


def _joins(staves: Sequence[Stave], setting: Setting) -> Iterator[Rule]:
    """The upright line at the left ends of all staves, and the bracket before it."""
    style, left = setting.style, staves[0].rules[0].x1
    thin, heavy = (style.distance(name) for name in ("bar line", "final bar line"))
    bottom, top = staves[-1].floor, staves[0].floor + _top(setting)
    for x, width in (
        (left + thin / 2, thin),
        (left - style.distance("final bar gap") - heavy / 2, heavy),
    ):
        yield Rule("bar", x, bottom, x, top, width)


def _top(setting: Setting) -> float:
    """The height of a stave's top line over its floor line."""
    return len(setting.catalogue.ruling.line) - 1
