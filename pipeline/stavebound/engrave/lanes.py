"""Lanes: texts above and below the stave, in rows where they would run together.

In: columns on their axes, and the lowest and the topmost ink of their signs. Out:
placed texts. Counts stand in one row, centred on their axes; step names and cues take
the first row in which they are free, outside of all signs.
A text that would leave the line's edges is moved inwards, and stands off them,
as slanted letters lean out of their own width; a cue is broken where that would be far.

    cue                      rows upwards
    1   &   2                counts: one row
    ═══════════ stave
    plié      tendu          rows downwards
       relevé
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace

from stavebound.engrave.columns import Label, OnAxis
from stavebound.engrave.style import Style
from stavebound.engrave.system import PlacedText


@dataclass(frozen=True, slots=True)
class Lane:
    """`grows`: which way further rows go, 1 up, −1 down; `holds`: whose texts share them."""

    name: str
    grows: int
    holds: tuple[str, ...]


# Texts that have just the room they need are free of each other.
ROUNDING = 1e-6

LANES = (
    Lane("counts", 1, ("counts",)),
    Lane("cue", 1, ("cue", "quality", "tempo")),
    Lane("step", -1, ("step",)),
)


def in_rows(
    placed: tuple[OnAxis, ...],
    edges: tuple[float, float],
    inks: tuple[float, float],
    style: Style,
) -> Iterator[PlacedText]:
    """Every text of a stave's columns at its place between the edges, lane by lane."""
    baselines = {lane.name: style.distance(f"{lane.name} lane") for lane in LANES}
    lowest, topmost = inks
    baselines["step"] = min(baselines["step"], lowest - style.distance("step drop"))
    baselines["cue"] = max(baselines["cue"], topmost + style.distance("cue rise"))
    for lane in LANES:
        ends: list[float] = []
        for at in placed:
            for label in at.labels:
                if label.lane in lane.holds:
                    y = baselines[lane.name]
                    yield from _text(label, lane, (at.x, y), edges, ends, style)


def _text(
    label: Label,
    lane: Lane,
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
    lines = broken(label, room) if label.align == "start" else (label,)
    widest = max([line.width for line in lines])
    x = max(min(axis + label.left, edges[1] - gap - widest), edges[0] + gap)
    first = _first_free(x, ends, gap, len(lines))
    ends += [edges[0]] * (first + len(lines) - len(ends))
    for row, line in enumerate(reversed(lines) if lane.grows > 0 else lines, first):
        ends[row] = x + line.width
        y = lane.grows * row * style.distance("lane step") + baseline
        yield PlacedText(
            label.lane, line.text, x, y, label.size, line.width, label.italic, label.weight
        )


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
