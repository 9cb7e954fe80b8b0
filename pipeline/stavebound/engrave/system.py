"""A system: one line of a score, everything at its final place.

All values are in spaces, x from the line's left edge, y upwards from the floor
line of the lowest stave. Whoever draws it decides nothing.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import NamedTuple

from stavebound.dance.pose import Subject
from stavebound.drawing.figures import Figure
from stavebound.engrave.lasting import PlacedLasting
from stavebound.engrave.phrasing import PlacedPhrasing
from stavebound.engrave.ways import PlacedWay
from stavebound.faces import REGULAR
from stavebound.geometry import Box
from stavebound.score.origin import Origin, wherever


@wherever
class PlacedSign(NamedTuple):
    """A sign with its centre at x, y, and its outline round that centre; `dx`, `dy` tell how
    far it was moved for clearance."""

    sign: str
    x: float
    y: float
    figures: tuple[Figure, ...]
    box: Box
    subjects: tuple[Subject, ...]
    origin: Origin
    dx: float = 0.0
    dy: float = 0.0


@dataclass(frozen=True, slots=True)
class PlacedMark:
    """A mark of a repeat at its place: dots, a bracket, segno or coda. `lane` is bar for what
    stands on the stave, else bracket or mark."""

    name: str
    figures: tuple[Figure, ...]
    box: Box
    lane: str = "bar"


class Rule(NamedTuple):
    """A straight line with square ends. pen: stave or bar."""

    pen: str
    x1: float
    y1: float
    x2: float
    y2: float
    width: float

    @property
    def box(self) -> Box:
        half = self.width / 2
        if self.y1 == self.y2:
            return Box(self.x1, self.y1 - half, self.x2, self.y1 + half)
        return Box(self.x1 - half, self.y1, self.x1 + half, self.y2)


class PlacedText(NamedTuple):
    """A text that begins at x on the baseline y, in a lane of `trade/lanes.toml`, or a piece of
    a fraction. Those that are `lettered` and of one size stand in a row with a place for every
    letter. `said` is what a text says together with what is drawn before it."""

    lane: str
    text: str
    x: float
    y: float
    size: float
    width: float
    italic: bool = False
    weight: int = REGULAR
    lettered: bool = False
    said: str = ""


class Axis(NamedTuple):
    """A frame's axis; `dots` are the heights of the learner's centre line there."""

    x: float
    dots: tuple[float, ...]


@dataclass(frozen=True, slots=True)
class Stave:
    """One dancer's stave; `floor` is the height of its floor line, from which everything on it
    is measured."""

    floor: float
    rules: tuple[Rule, ...]
    axes: tuple[Axis, ...]
    signs: tuple[PlacedSign, ...]
    ways: tuple[PlacedWay, ...] = ()
    phrasings: tuple[PlacedPhrasing, ...] = ()
    lasting: tuple[PlacedLasting, ...] = ()
    marks: tuple[PlacedMark, ...] = ()


@dataclass(frozen=True, slots=True)
class System:
    """One line. `staves` begin with the topmost; `texts` are those of all of them; `joins` are
    upright lines at the left that several staves have in common. `box` holds all the ink;
    `space` is a space in millimetres, `bars` the numbers of its first and last bar,
    `centre_dot` a dot's diameter, `colours` what is not black, by what is drawn: a lane or the
    centre line."""

    staves: tuple[Stave, ...]
    texts: tuple[PlacedText, ...]
    box: Box
    bars: tuple[int, int]
    space: float
    centre_dot: float
    joins: tuple[Rule, ...] = ()
    colours: Mapping[str, str] = field(default_factory=dict)
