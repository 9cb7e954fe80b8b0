"""Lanes: texts above and below the stave, in rows where they would run together.

In: columns on their axes. Out: placed texts. Counts stand in one row, centred
on their axes; step names and cues take the first row in which they are free.
A text that would leave the line's edges is moved inwards, and stands off them,
as slanted letters lean out of their own width.

    cue                      rows upwards
    1   &   2                counts: one row
    ═══════════ stave
    plié      tendu          rows downwards
       relevé
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from stavebound.engrave.columns import Column, Label
from stavebound.engrave.style import Style
from stavebound.engrave.system import PlacedText


@dataclass(frozen=True, slots=True)
class Lane:
    """`grows`: which way further rows go, 1 up, −1 down."""

    name: str
    grows: int


# Texts that have just the room they need are free of each other.
ROUNDING = 1e-6

LANES = (Lane("counts", 1), Lane("cue", 1), Lane("step", -1))


def in_rows(
    placed: tuple[tuple[Column, float], ...], edges: tuple[float, float], style: Style
) -> Iterator[PlacedText]:
    """Every text of the columns at its place between the edges, lane by lane."""
    for lane in LANES:
        ends: list[float] = []
        for column, axis in placed:
            for label in column.labels:
                if label.lane == lane.name:
                    yield _text(label, lane, axis, edges, ends, style)


def _text(
    label: Label,
    lane: Lane,
    axis: float,
    edges: tuple[float, float],
    ends: list[float],
    style: Style,
) -> PlacedText:
    gap = style.distance("text gap")
    x = max(min(axis + label.left, edges[1] - gap - label.width), edges[0] + gap)
    row = _first_free(x, ends, gap)
    ends[row : row + 1] = [x + label.width]
    y = style.distance(f"{lane.name} lane") + lane.grows * row * style.distance("lane step")
    return PlacedText(lane.name, label.text, x, y, label.size, label.width, label.italic)


def _first_free(x: float, ends: list[float], gap: float) -> int:
    return next((row for row, end in enumerate(ends) if end + gap <= x + ROUNDING), len(ends))
