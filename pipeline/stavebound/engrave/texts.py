"""Texts as their lanes have them set: how wide they are, and where they stand.

In: the row of a lane, and a text. Out: its width in spaces, and the text at its place.
"""

from __future__ import annotations

from typing import NamedTuple

from stavebound.engrave.style import Setting
from stavebound.engrave.system import PlacedText
from stavebound.faces import BOLD, REGULAR, Faces
from stavebound.trade.lanes import TextLane


class SetText(NamedTuple):
    """A text in the type of its lane, without a place."""

    row: TextLane
    text: str
    size: float
    width: float

    def at(self, x: float, y: float) -> PlacedText:
        return placed_text(self.row, self.text, x, y, self.size, self.width)


def set_text(lane: str, text: str, setting: Setting) -> SetText:
    """KeyError where there is no such lane."""
    row = setting.catalogue.lanes.texts[lane]
    size = setting.style.size(row.size)
    return SetText(row, text, size, text_width(row, text, size, setting.faces))


def text_width(row: TextLane, text: str, size: float, faces: Faces) -> float:
    return faces.width(text, size, text_slant(row), text_weight(row))


def text_slant(row: TextLane) -> str:
    return "italic" if row.slanted else "normal"


def text_weight(row: TextLane) -> int:
    return BOLD if row.heavy else REGULAR


def placed_text(
    row: TextLane, text: str, x: float, y: float, size: float, width: float
) -> PlacedText:
    return PlacedText(
        row.name, text, x, y, size, width, row.slanted, text_weight(row), row.lettered
    )
