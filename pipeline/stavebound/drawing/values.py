"""Drawings: a box, figures by pen, and texts, everything at its final place.

In: whatever is to be shown: a line of staves, one sign, a note. Out: a `Drawing`, in a unit
of its own, x to the right and y upwards from wherever its maker counts from. Whoever writes
it (`svg/draw.py`) decides nothing and knows nothing of what it shows.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import NamedTuple

from stavebound.drawing.figures import Figure
from stavebound.faces import REGULAR
from stavebound.geometry import Box


class Stamp(NamedTuple):
    """Figures round a centre of their own, which stands at x, y. They are drawn again and
    again, so that how they are written is remembered."""

    figures: tuple[Figure, ...]
    x: float
    y: float


class Dots(NamedTuple):
    """Dots one above the other at x, at so many `heights` above y."""

    x: float
    y: float
    heights: tuple[float, ...]
    diameter: float


class DrawnText(NamedTuple):
    """Letters on the baseline y: all from one place, or each at its own of the `xs`. `colour` is
    one as CSS writes it, nothing for black; `said` is what is read for the letters, where it
    is something else."""

    letters: str
    xs: tuple[float, ...]
    y: float
    size: float
    italic: bool = False
    weight: int = REGULAR
    colour: str = ""
    said: str = ""


@dataclass(frozen=True, slots=True)
class Pen:
    """All that is drawn with one pen, in this order: boxes full of ink, dots, stamps, and
    figures of which every point is at its place. `colour` is as that of a text."""

    boxes: tuple[Box, ...] = ()
    dots: tuple[Dots, ...] = ()
    stamps: tuple[Stamp, ...] = ()
    figures: tuple[Figure, ...] = ()
    colour: str = ""


@dataclass(frozen=True, slots=True)
class Drawing:
    """`box` is the paper that it fills, `unit` its unit in millimetres; pens are drawn in
    their order, whatever each is for. `said` are the words that it stands for where it is a
    part of a line of text."""

    box: Box
    unit: float
    pens: tuple[Pen, ...] = ()
    texts: tuple[DrawnText, ...] = ()
    said: str = ""
