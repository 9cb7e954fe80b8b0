"""Bar lines: plain ones, those of repeats, and the two lines that end a score.

In: what a bar line says. Out: how wide it is, its rules and dots round its own middle, and
its anchor, the middle of its heaviest line, or of the right one of two, from which all that
stands above it is placed.

       │       ││     ┃│•     •│┃     •│┃│•      │┃
     plain   double  opens   closes    both    the end
"""

from __future__ import annotations

from dataclasses import dataclass

from stavebound.drawing.figures import disc
from stavebound.engrave.style import Style
from stavebound.engrave.system import PlacedMark, Rule
from stavebound.geometry import bounds
from stavebound.remembering import remembered
from stavebound.trade.catalogue import Catalogue

DOTS = "repeat dots"
# How many bar lines are remembered with what they are made of; a style has a few.
LINES = 32


@dataclass(frozen=True, slots=True)
class BarLine:
    """What a bar line says: a repeat ends before it, one begins after it, a part of the dance
    ends, the score ends."""

    closes: bool = False
    opens: bool = False
    double: bool = False
    final: bool = False

    @property
    def heavy(self) -> bool:
        return self.closes or self.opens or self.final


@dataclass(frozen=True, slots=True)
class PlacedBarLine:
    """A bar line at its place; `left` and `right` are where its ink ends."""

    rules: tuple[Rule, ...]
    dots: tuple[PlacedMark, ...]
    anchor: float
    left: float
    right: float


PLAIN = BarLine()


def line_width(line: BarLine, style: Style, catalogue: Catalogue) -> float:
    """How wide the whole of it is."""
    return sum(width for _, width in _pieces(line, style, catalogue))


def placed_line(line: BarLine, right: float, style: Style, catalogue: Catalogue) -> PlacedBarLine:
    """The bar line, its ink ending at `right`."""
    top = len(catalogue.ruling.line) - 1
    rules: list[Rule] = []
    dots: list[PlacedMark] = []
    x = right
    for piece, width in reversed(_pieces(line, style, catalogue)):
        middle = x - width / 2
        if piece in ("thin", "heavy"):
            rules.append(Rule("bar", middle, 0, middle, top, width))
        elif piece == "dots":
            dots.append(_dots(middle, top / 2, catalogue))
        x -= width
    heaviest = max(rules, key=lambda rule: (rule.width, rule.x1))
    return PlacedBarLine(tuple(rules), tuple(dots), heaviest.x1, x, right)


@remembered(LINES)
def _pieces(line: BarLine, style: Style, catalogue: Catalogue) -> tuple[tuple[str, float], ...]:
    """From left to right, what it is made of, and the white between, with their widths."""
    row = catalogue.repeats.bar
    thin, heavy = (style.distance(name) for name in ("bar line", "final bar line"))
    dots = ("dots", row.diameter), ("", row.dots), ("thin", thin)
    gap = ("", style.distance("final bar gap"))
    if not line.heavy:
        return (("thin", thin), gap, ("thin", thin)) if line.double else (("thin", thin),)
    before = (*dots, gap) if line.closes else (("thin", thin), gap) if line.final else ()
    after = (gap, *dots[::-1]) if line.opens else ()
    return (*before, ("heavy", heavy), *after)


def _dots(x: float, middle: float, catalogue: Catalogue) -> PlacedMark:
    row = catalogue.repeats.bar
    figures = tuple(disc(x, middle + way * row.rise, row.diameter) for way in (1, -1))
    return PlacedMark(DOTS, figures, bounds(point for each in figures for point in each.points))
