"""Figures of a drawing as operators of a page's stream.

In: a path of `svg/draw.py`'s grammar. Out: operators that fill its figures, to their last
digit. Source: ISO 32000-1, 8.5.

    SVG     M0,0L0,1L9,1Z             M0,0C1,1 2,1 3,0Z
    PDF     0 0 m 0 1 l 9 1 l h       0 0 m 1 1 2 1 3 0 c h
"""

from __future__ import annotations

import re
from collections.abc import Sequence
from functools import lru_cache
from itertools import groupby
from xml.etree import ElementTree

from stavebound.svg.numbers import number

# How many figures straight below each other are worth a place of their own to begin from.
COLUMN = 4

INK = re.compile("#[0-9a-f]{6}")
# The most that two figures of an ink say.
WHOLE = 255
BLACK = "0 0 0 rg"

NUMBER = r"-?\d++(?:\.\d++)?+"
POINT = f"{NUMBER},{NUMBER}"
PATH = re.compile(f"(?:M{POINT}(?:(?:L{POINT})++|(?:C{POINT} {POINT} {POINT})++)Z)++")
# A box, gone round from a corner with a level side first, or with an upright one.
BOX = re.compile(r"M([^,]+),([^L]+)(?:L([^,]+),\2L\3,([^L]+)L\1,\4|L\1,([^L]+)L([^,]+),\5L\6,\2)")


def filled(path: str) -> str:
    """A path as operators, filled by the rule of SVG: whatever its figures go round.

    Figures that begin straight below each other and are alike across, such as the dots of
    a centre line, are written from there: so all columns read alike, and a packed page
    holds one of them.
    """
    single: list[str] = []
    columns: list[str] = []
    for x, figures in groupby(path.split("Z")[:-1], key=lambda figure: figure.partition(",")[0]):
        together = tuple(figures)
        column = _column(x[1:], together) if len(together) >= COLUMN else None
        if column:
            columns.append(column)
        else:
            single += together
    alone = [_filled("Z".join(single))] if single else []
    return "\n".join(alone + columns)


def ink_of(element: ElementTree.Element) -> str:
    """The shares of red, green and blue in its ink; nothing where it is black.

    ValueError where it is no colour in six figures.
    """
    ink = element.get("fill", "")
    if ink and not INK.fullmatch(ink):
        raise ValueError(f"“{ink}” is no ink")
    return " ".join(number(int(ink[at : at + 2], 16) / WHOLE) for at in (1, 3, 5) if ink)


def coloured(operators: str, ink: str) -> str:
    """Operators that paint in an ink, and in black again behind them; without one in black."""
    return f"{ink} rg\n{operators}\n{BLACK}" if ink else operators


def _column(x: str, figures: Sequence[str]) -> str | None:
    """None where the figures are not alike across: then a corner is left in its old place."""
    origin, moved = float(x), "Z".join(figures).replace(f"M{x},", "m0,")
    for place in {corner.partition(",")[0] for corner in figures[0].split("L")[1:]}:
        moved = moved.replace(f"L{place},", f"l{number(float(place) - origin)},")
    if any(letter in moved for letter in "MLC"):
        return None
    return f"q 1 0 0 1 {x} 0 cm\n{_kept(moved.upper())} Q"


@lru_cache(maxsize=256)
def _kept(figures: str) -> str:
    return _filled(figures)


def _filled(figures: str) -> str:
    operators = "\n".join(map(_figure, figures.split("Z")))
    return f"{operators}\nf".replace(",", " ")


def _figure(figure: str) -> str:
    """The letter of an SVG command goes before its places, a PDF operator after them."""
    if box := BOX.fullmatch(figure):
        return _box(*box.groups())
    kind = "C" if "C" in figure else "L"
    operator = kind.lower()
    body = figure[1:].replace(kind, " m ", 1).replace(kind, f" {operator} ")
    return f"{body} {operator} h"


def _box(x: str, y: str, right: str | None, down: str, up: str, far: str) -> str:
    """Four upright and level sides have an operator of their own, which goes level first."""
    if right:
        return f"{x} {y} {_less(right, x)} {_less(down, y)} re"
    return f"{x} {up} {_less(far, x)} {_less(y, up)} re"


def _less(far: str, near: str) -> str:
    return number(float(far) - float(near))
