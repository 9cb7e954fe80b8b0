"""Draw: a drawing to an SVG document.

In: a `Drawing`. Out: SVG text, lengths in millimetres, y downwards. The grammar:

    svg      := '<svg' size, viewBox '>' title? desc? path* text* '</svg>'
    desc     := the words that the drawing stands for in a line of text
    path     := one for each pen that has ink, filled outlines only:
                M, L and C with absolute coordinates, each figure closed by Z; fill
    text     := x: one number, or one for each character; y; font; fill; no anchor;
                aria-label, what is read for the letters together with what is drawn
    fill     := none where it is black, else a colour in six figures

A file that `engrave` writes has besides what `proof/outlines.py` adds to it after the proof.

There are no styles, classes, transforms, groups or references, so that whoever
reads it needs to know nothing but paths and text.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from html import escape
from math import cos, pi, sin
from operator import itemgetter
from typing import NamedTuple

from stavebound.drawing.figures import Figure
from stavebound.drawing.values import Dots, Drawing, DrawnText, Pen
from stavebound.faces import REGULAR, Faces
from stavebound.geometry import Box
from stavebound.remembering import remembered
from stavebound.svg.numbers import number

# How many stamps and centre lines at their heights are remembered; a book has some hundreds.
PATTERNS = 4096

Pick = Callable[[list[str]], tuple[str, ...]]


def draw(drawing: Drawing, faces: Faces, title: str | None = None) -> str:
    """An SVG document just as large as the drawing's box.

    `title` becomes the document's own title, for readers that speak.
    """
    box, unit = drawing.box, drawing.unit
    width, height = number(box.width * unit), number(box.height * unit)
    paths = ((pen.colour, "".join(_outlines(pen, drawing))) for pen in drawing.pens)
    return "\n".join(
        (
            f'<svg xmlns="http://www.w3.org/2000/svg" width="{width}mm" height="{height}mm" '
            f'viewBox="0 0 {width} {height}">',
            *((f"<title>{escape(title)}</title>",) if title else ()),
            *((f"<desc>{escape(drawing.said)}</desc>",) if drawing.said else ()),
            *(f'<path{_fill(colour)} d="{path}"/>' for colour, path in paths if path),
            *(_text(text, drawing, faces) for text in drawing.texts),
            "</svg>\n",
        )
    )


def _fill(colour: str) -> str:
    return f' fill="{colour}"' if colour else ""


def _outlines(pen: Pen, drawing: Drawing) -> list[str]:
    """All that is drawn with a pen, a closed outline each."""
    left, top, unit = drawing.box.left, drawing.box.top, drawing.unit
    found = [_box(box, drawing) for box in pen.boxes]
    found += [_dots(dots, drawing) for dots in pen.dots]
    for figures, x, y in pen.stamps:
        pieces, xs, pick_x = _pattern(figures, y, top, unit)
        across = pick_x([number((dx + x - left) * unit) for dx in xs])
        found.append(_filled(pieces, across))
    found += [_figure(figure, drawing) for figure in pen.figures]
    return found


def _filled(pieces: Sequence[str], numbers: Sequence[str]) -> str:
    """A number between each two pieces: for hundreds of them quicker than `%`."""
    found = [""] * (len(pieces) + len(numbers))
    found[::2], found[1::2] = pieces, numbers
    return "".join(found)


class Shape(NamedTuple):
    """Outlines as text, with places left for the numbers of every point: those down are left
    to the first filling, those across to the second. `pick_x` and `pick_y` take for each point
    its own of the numbers that are made of `xs` and `ys`."""

    text: str
    xs: tuple[float, ...]
    ys: tuple[float, ...]
    pick_x: Pick
    pick_y: Pick


class ShapeAtHeight(NamedTuple):
    """A shape at its height on paper, in pieces between which it is left open where it stands
    across."""

    pieces: tuple[str, ...]
    xs: tuple[float, ...]
    pick_x: Pick


@remembered(PATTERNS)
def _pattern(figures: tuple[Figure, ...], y: float, top: float, unit: float) -> ShapeAtHeight:
    """What is alike and stands at one height differs by where it stands across alone."""
    shape = _shape(figures)
    downs = [number((top - (dy + y)) * unit) for dy in shape.ys]
    pieces = (shape.text % shape.pick_y(downs)).split("%s")
    return ShapeAtHeight(tuple(pieces), shape.xs, shape.pick_x)


@remembered(PATTERNS)
def _shape(figures: tuple[Figure, ...]) -> Shape:
    points = [point for figure in figures for point in figure.points]
    text = "".join(_path(["%%s,%s"] * len(figure.points), figure) for figure in figures)
    xs, ys = (tuple(dict.fromkeys(places)) for places in zip(*points, strict=True))
    pick_x = itemgetter(*(xs.index(point.x) for point in points))
    pick_y = itemgetter(*(ys.index(point.y) for point in points))
    return Shape(text, xs, ys, pick_x, pick_y)


def _box(box: Box, drawing: Drawing) -> str:
    left, right = _across(box.left, drawing), _across(box.right, drawing)
    bottom, top = _down(box.bottom, drawing), _down(box.top, drawing)
    return f"M{left},{bottom}L{left},{top}L{right},{top}L{right},{bottom}Z"


def _dots(dots: Dots, drawing: Drawing) -> str:
    """Eight-sided: at a tenth of a millimetre, as round as print can show.

    All are alike to the last digit, so that a file that is packed holds one of them.
    """
    corners = _corners(dots.diameter * drawing.unit / 2)
    x = float(_across(dots.x, drawing))
    across = {dx: number(x + dx) for dx in {dx for dx, _ in corners}}
    xs = [across[dx] for dx, _ in corners]
    pieces = _column(dots.heights, corners, dots.y, drawing.box.top, drawing.unit)
    return _filled(pieces, xs * len(dots.heights))


@remembered(PATTERNS)
def _corners(r: float) -> tuple[tuple[float, float], ...]:
    """Of a dot round its centre, in millimetres, y downwards."""
    turns = [(step + 0.5) * pi / 4 for step in range(8)]
    return tuple((round(r * cos(turn), 3), -round(r * sin(turn), 3)) for turn in turns)


@remembered(PATTERNS)
def _column(
    heights: tuple[float, ...],
    corners: tuple[tuple[float, float], ...],
    floor: float,
    top: float,
    unit: float,
) -> tuple[str, ...]:
    """Dots one below the other, in pieces like a pattern's."""
    downs = [float(number((top - (y + floor)) * unit)) for y in heights]
    return tuple("".join([_dot(down, corners) for down in downs]).split("%s"))


@remembered(PATTERNS)
def _dot(down: float, corners: tuple[tuple[float, float], ...]) -> str:
    return _closed([f"%s,{number(down + dy)}" for _, dy in corners])


def _figure(figure: Figure, drawing: Drawing) -> str:
    """A figure of which all points are at their places."""
    left, top, unit = drawing.box.left, drawing.box.top, drawing.unit
    points = [
        f"{number((point.x - left) * unit)},{number((top - point.y) * unit)}"
        for point in figure.points
    ]
    return _path(points, figure)


def _path(points: list[str], figure: Figure) -> str:
    if not figure.curved:
        return _closed(points)
    curves = ("C" + " ".join(points[i : i + 3]) for i in range(1, len(points), 3))
    return f"M{points[0]}{''.join(curves)}Z"


def _closed(corners: list[str]) -> str:
    return f"M{'L'.join(corners)}Z"


def _across(x: float, drawing: Drawing) -> str:
    """A place on paper from the left, in millimetres."""
    return number((x - drawing.box.left) * drawing.unit)


def _down(y: float, drawing: Drawing) -> str:
    """A height on paper from the top, in millimetres."""
    return number((drawing.box.top - y) * drawing.unit)


def _text(text: DrawnText, drawing: Drawing, faces: Faces) -> str:
    xs = " ".join([_across(x, drawing) for x in text.xs])
    slant = ' font-style="italic"' if text.italic else ""
    heavy = f' font-weight="{text.weight}"' if text.weight != REGULAR else ""
    said = f' aria-label="{escape(text.said)}"' if text.said else ""
    return (
        f'<text x="{xs}" y="{_down(text.y, drawing)}" font-family="{faces.family}, serif"'
        f'{slant}{heavy} font-size="{number(text.size * drawing.unit)}"{_fill(text.colour)}{said}>'
        f"{escape(text.letters, quote=False)}</text>"
    )
