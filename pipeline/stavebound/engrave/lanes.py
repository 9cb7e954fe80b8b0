"""Lanes: texts above and below the stave, in rows where they would run together.

In: columns on their axes, and the ink under and over which their texts stand. Out: placed
texts. What stands in which rows, how it is set there and which way the rows grow
is said by `trade/lanes.toml`; a text takes the first of its rows in which it is free.
A text that would leave the line's edges is moved inwards, and stands off them, as slanted
letters lean out of their own width; where that would be far it is broken, if it may be.

    texts                    rows upwards, over all ink
    1   &   2                counts: one row
    ═══════════ stave
    texts     texts          rows downwards, under all ink
       texts
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import replace
from typing import NamedTuple

from stavebound.engrave.columns import Label, OnAxis
from stavebound.engrave.style import Setting, Style
from stavebound.engrave.system import PlacedText
from stavebound.engrave.texts import placed_text
from stavebound.geometry import Box
from stavebound.trade.lanes import TextRows

# Texts that have just the room they need are free of each other.
ROUNDING = 1e-6


class RowInks(NamedTuple):
    """The boxes that rows downwards stand under, and those that rows upwards stand over."""

    under: Sequence[Box]
    over: Sequence[Box]


class Rowing(NamedTuple):
    """Rows on a line, the next so many `step` further; texts keep a `gap` from each other, a
    `margin` from the ends, and are moved by no more than `shift` rather than broken."""

    step: float
    left: float
    right: float
    gap: float
    margin: float
    shift: float


def in_rows(
    placed: tuple[OnAxis, ...],
    first: Iterable[tuple[float, Label]],
    edges: tuple[float, float],
    inks: RowInks,
    setting: Setting,
) -> Iterator[PlacedText]:
    """Every text of a stave's columns at its place between the edges, rows by rows; before them
    what comes `first`."""
    own: dict[str, list[tuple[float, Label]]] = {}
    for x, label in first:
        own.setdefault(label.lane.rows, []).append((x, label))
    for at in placed:
        for label in at.labels:
            own.setdefault(label.lane.rows, []).append((at.x, label))
    for rows in setting.catalogue.lanes.rows:
        labels = own.get(rows.name)
        if labels:
            ends: list[float] = []
            rowing = _rowing(rows, edges, setting.style)
            first_row = _first_baseline(rows, inks, setting.style)
            for axis, label in labels:
                for text in _text(label, axis, rowing, ends):
                    yield text._replace(y=text.y + first_row)


def _rowing(rows: TextRows, edges: tuple[float, float], style: Style) -> Rowing:
    step = style.distance("lane step")
    gaps = (style.distance(name) for name in (rows.gap, "text gap", "greatest text shift"))
    return Rowing(step if rows.up else -step, *edges, *gaps)


def _first_baseline(rows: TextRows, inks: RowInks, style: Style) -> float:
    """That of the first row, over or under all ink of the line, so that what stands in a lane
    is nowhere among words."""
    y = style.distance(rows.first)
    if not rows.clear:
        return y
    white = style.distance(rows.clear)
    if rows.up:
        return max([y, *[box.top + white for box in inks.over]])
    return min([y, *[box.bottom - white for box in inks.under]])


def _text(label: Label, axis: float, rowing: Rowing, ends: list[float]) -> Iterator[PlacedText]:
    """A text in the first rows that are free, which begin at `ends`; one that begins at its axis
    is moved to the left where the line ends before it does, and broken into several where that
    would be too far, or where another text stands there."""
    step, left, right, gap, margin, shift = rowing
    lines: tuple[Label, ...] = (label,)
    widest = label.width
    if label.lane.broken:
        free = axis - (ends[0] + gap if ends else left + margin)
        lines = broken(label, right - margin - axis + max(0.0, min(free, shift)))
        widest = max([line.width for line in lines])
    x = max(min(axis + label.left, right - margin - widest), left + margin)
    first = _first_free(x, ends, gap, len(lines))
    ends += [left + margin - gap] * (first + len(lines) - len(ends))
    for row, line in enumerate(lines if step < 0 else reversed(lines), first):
        ends[row] = x + line.width
        yield placed_text(label.lane, line.text, x, row * step, label.size, line.width)


def broken(label: Label, room: float) -> tuple[Label, ...]:
    """A text in lines no wider than the room, or than its widest word."""
    lines: list[tuple[str, float]] = []
    for word, width in label.words:
        if lines and lines[-1][1] + label.blank + width <= room + ROUNDING:
            text, before = lines[-1]
            lines[-1] = f"{text} {word}", before + label.blank + width
        else:
            lines.append((word, width))
    return tuple(replace(label, text=text, width=width) for text, width in lines)


def _first_free(x: float, ends: list[float], gap: float, rows: int) -> int:
    """The first of so many rows next to each other in which nothing reaches x."""
    free = [end + gap <= x + ROUNDING for end in ends]
    for first in range(len(ends)):
        if all(free[first : first + rows]):
            return first
    return len(ends)
