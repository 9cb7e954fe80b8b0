"""Metres: two figures, one over the other, in the stave behind a bar line.

In: a metre, such as 3/4. Out: its figures, each set in the middle of its half of the stave, and
the room that they take between the bar line and what stands behind them.

    │ 3 ══╎══
    │ 4 ══╎══
"""

from __future__ import annotations

from collections.abc import Iterator
from typing import NamedTuple

from stavebound.engrave.style import Setting
from stavebound.engrave.system import PlacedText
from stavebound.engrave.texts import SetText, set_text, text_weight

LANE = "metre"


class Metre(NamedTuple):
    """`figures` are the upper and the lower one; `room` is how far the wider of them reaches from
    the bar line."""

    text: str
    figures: tuple[SetText, ...]
    room: float


def set_metre(text: str, setting: Setting) -> Metre:
    figures = tuple(set_text(LANE, figure, setting) for figure in text.split("/"))
    gap = setting.style.distance("metre gap")
    return Metre(text, figures, gap + max(figure.width for figure in figures))


def placed_metre(metre: Metre, left: float, setting: Setting) -> Iterator[PlacedText]:
    """The figures behind a bar line, or the end of a stave, of which the ink ends at `left`."""
    gap = setting.style.distance("metre gap")
    middle = left + (gap + metre.room) / 2
    half = (len(setting.catalogue.ruling.line) - 1) / 2
    for at, figure in zip((3 * half / 2, half / 2), metre.figures, strict=True):
        high = setting.faces.figure_height(figure.size, weight=text_weight(figure.row))
        yield figure.at(middle - figure.width / 2, at - high / 2)
