"""Lanes: texts above and below the stave, in rows where they would run together.

In: columns on their axes, and the lowest and the topmost ink of their signs. Out:
placed texts. What stands in which rows, how it is set there and which way the rows grow
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

from collections.abc import Iterator
from dataclasses import replace

from stavebound.engrave.columns import Label, OnAxis
from stavebound.engrave.style import Setting, Style
from stavebound.engrave.system import PlacedText
from stavebound.engrave.texts import placed_text
from stavebound.trade.tables import TextRows

# Texts that have just the room they need are free of each other.
ROUNDING = 1e-6


def in_rows(
    placed: tuple[OnAxis, ...],
    edges: tuple[float, float],
    inks: tuple[float, float],
    setting: Setting,
) -> Iterator[PlacedText]:
    """Every text of a stave's columns at its place between the edges, rows by rows."""
    for rows in setting.catalogue.lanes.rows:
        ends: list[float] = []
        y = _first_baseline(rows, inks, setting.style)
        for at in placed:
            for label in at.labels:
                if label.lane.rows == rows.name:
                    yield from _text(label, rows, (at.x, y), edges, ends, setting.style)


def _first_baseline(rows: TextRows, inks: tuple[float, float], style: Style) -> float:
    y, (lowest, topmost) = style.distance(rows.first), inks
    if not rows.clear:
        return y
    white = style.distance(rows.clear)
    return max(y, topmost + white) if rows.up else min(y, lowest - white)


def _text(
    label: Label,
    rows: TextRows,
    at: tuple[float, float],
    edges: tuple[float, float],
    ends: list[float],
    style: Style,
) -> Iterator[PlacedText]:
    """A text in the first rows that are free; one that begins at its axis is moved to the
    left where the line ends before it does, and broken into several where that would be too
    far, or where another text stands there. `at` are its axis and the baseline of the first
    row."""
    gap, (axis, baseline) = style.distance("text gap"), at
    room = edges[1] - gap - axis
    free = axis - gap - (ends[0] if ends else edges[0])
    room += max(0.0, min(free, style.distance("greatest text shift")))
    lines = broken(label, room) if label.lane.broken else (label,)
    widest = max([line.width for line in lines])
    x = max(min(axis + label.left, edges[1] - gap - widest), edges[0] + gap)
    first = _first_free(x, ends, gap, len(lines))
    ends += [edges[0]] * (first + len(lines) - len(ends))
    step = style.distance("lane step") if rows.up else -style.distance("lane step")
    for row, line in enumerate(reversed(lines) if rows.up else lines, first):
        ends[row] = x + line.width
        yield placed_text(label.lane, line.text, x, row * step + baseline, label.size, line.width)


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
