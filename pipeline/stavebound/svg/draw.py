"""Draw: a system to an SVG document.

In: a `System`. Out: SVG text, lengths in millimetres, y downwards. The grammar:

    svg      := '<svg' size, viewBox '>' title? path* text* '</svg>'
    path     := one for each pen (stave, bar, centre, sign), filled outlines only:
                M, L and C with absolute coordinates, each figure closed by Z
    text     := x: one number, or one for each character; y; font; no anchor

A file that `engrave` writes has besides what `proof/outlines.py` adds to it after the proof.

There are no styles, classes, transforms, groups or references, so that whoever
reads it needs to know nothing but paths and text.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator
from functools import cache, lru_cache
from html import escape
from itertools import chain, groupby
from math import cos, pi, sin
from operator import itemgetter
from typing import NamedTuple

from stavebound.engrave.outline import Figure
from stavebound.engrave.system import PlacedText, Rule, Stave, System
from stavebound.faces import REGULAR, Faces
from stavebound.svg.numbers import number

PENS = ("stave", "centre", "bar", "sign")
# How many signs and centre lines at their heights are remembered; a book has some hundreds.
PATTERNS = 4096

Pick = Callable[[list[str]], tuple[str, ...]]


def draw(system: System, faces: Faces, title: str | None = None) -> str:
    """An SVG document of the system, just as large as its box.

    `title` becomes the document's own title, for readers that speak.
    """
    box, space = system.box, system.space
    width, height = number(box.width * space), number(box.height * space)
    paths = ("".join(_outlines(pen, system)) for pen in PENS)
    texts = (_text(row, system, faces) for row in _rows(system.texts))
    return "\n".join(
        (
            f'<svg xmlns="http://www.w3.org/2000/svg" width="{width}mm" height="{height}mm" '
            f'viewBox="0 0 {width} {height}">',
            *((f"<title>{escape(title)}</title>",) if title else ()),
            *(f'<path d="{path}"/>' for path in paths if path),
            *texts,
            "</svg>\n",
        )
    )


def _outlines(pen: str, system: System) -> Iterator[str]:
    """All that is drawn with a pen, a closed outline each."""
    for stave in system.staves:
        if pen == "sign":
            yield from _signs(stave, system)
            lines = [way.figures for way in stave.ways] + [bow.figures for bow in stave.phrasings]
            lines += [mark.figures for mark in stave.marks]
            for figure in chain.from_iterable(lines):
                yield _figure(figure, stave.floor, system)
        elif pen == "centre":
            yield from _dots(stave, system)
        else:
            yield from (_rule(rule, stave.floor, system) for rule in stave.rules if rule.pen == pen)


class Shape(NamedTuple):
    """Outlines as text, with places left for the numbers of every point: those down are left
    to the first filling, those across to the second. `pick_x` and `pick_y` take for each point
    its own of the numbers that are made of `xs` and `ys`."""

    text: str
    xs: tuple[float, ...]
    ys: tuple[float, ...]
    pick_x: Pick
    pick_y: Pick


class Pattern(NamedTuple):
    """A shape at its height on paper. Only where it stands across is left open."""

    text: str
    xs: tuple[float, ...]
    pick_x: Pick

    def at(self, x: float, system: System) -> str:
        left, space = system.box.left, system.space
        return self.text % self.pick_x([number((dx + x - left) * space) for dx in self.xs])


def _signs(stave: Stave, system: System) -> Iterator[str]:
    top, space = system.box.top, system.space
    for sign in stave.signs:
        yield _pattern(sign.figures, sign.y + stave.floor, top, space).at(sign.x, system)


@lru_cache(maxsize=PATTERNS)
def _pattern(figures: tuple[Figure, ...], y: float, top: float, space: float) -> Pattern:
    """What is alike and stands at one height differs by where it stands across alone."""
    shape = _shape(figures)
    downs = [number((top - (dy + y)) * space) for dy in shape.ys]
    return Pattern(shape.text % shape.pick_y(downs), shape.xs, shape.pick_x)


@lru_cache(maxsize=PATTERNS)
def _shape(figures: tuple[Figure, ...]) -> Shape:
    points = [point for figure in figures for point in figure.points]
    text = "".join(_path(["%%s,%s"] * len(figure.points), figure) for figure in figures)
    xs, ys = (tuple(dict.fromkeys(places)) for places in zip(*points, strict=True))
    pick_x = itemgetter(*(xs.index(point.x) for point in points))
    pick_y = itemgetter(*(ys.index(point.y) for point in points))
    return Shape(text, xs, ys, pick_x, pick_y)


def _rule(rule: Rule, floor: float, system: System) -> str:
    box = rule.box
    left, right = _across(box.left, system), _across(box.right, system)
    bottom, top = _down(box.bottom + floor, system), _down(box.top + floor, system)
    return f"M{left},{bottom}L{left},{top}L{right},{top}L{right},{bottom}Z"


def _dots(stave: Stave, system: System) -> Iterator[str]:
    """Eight-sided dots: at a tenth of a millimetre, as round as print can show.

    All are alike to the last digit, so that a file that is packed holds one of them.
    """
    corners = _corners(system.centre_dot * system.space / 2)
    for axis in stave.axes:
        x = float(_across(axis.x, system))
        xs = [number(x + dx) for dx, _ in corners]
        line = _line(axis.dots, corners, stave.floor, system.box.top, system.space)
        yield line % tuple(xs * len(axis.dots))


@cache
def _corners(r: float) -> tuple[tuple[float, float], ...]:
    """Of a dot round its centre, in millimetres, y downwards."""
    turns = [(step + 0.5) * pi / 4 for step in range(8)]
    return tuple((round(r * cos(turn), 3), -round(r * sin(turn), 3)) for turn in turns)


@lru_cache(maxsize=PATTERNS)
def _line(
    dots: tuple[float, ...],
    corners: tuple[tuple[float, float], ...],
    floor: float,
    top: float,
    space: float,
) -> str:
    """A frame's dots one below the other. Where it stands across is left open."""
    return "".join([_dot(float(number((top - (y + floor)) * space)), corners) for y in dots])


@lru_cache(maxsize=PATTERNS)
def _dot(down: float, corners: tuple[tuple[float, float], ...]) -> str:
    return _closed([f"%s,{number(down + dy)}" for _, dy in corners])


def _figure(figure: Figure, floor: float, system: System) -> str:
    """A figure of which all points are at their places."""
    left, top, space = system.box.left, system.box.top, system.space
    points = [
        f"{number((point.x - left) * space)},{number((top - (point.y + floor)) * space)}"
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


def _across(x: float, system: System) -> str:
    """A place on paper from the left, in millimetres."""
    return number((x - system.box.left) * system.space)


def _down(y: float, system: System) -> str:
    """A height on paper from the top, in millimetres."""
    return number((system.box.top - y) * system.space)


def _rows(texts: Iterable[PlacedText]) -> Iterator[tuple[PlacedText, ...]]:
    """Counts of one size in one row stand in one element, every other text in its own."""
    counts = [text for text in texts if text.lane == "counts"]
    for _, row in groupby(sorted(counts, key=_row_key), key=_row_key):
        yield tuple(sorted(row, key=lambda text: text.x))
    yield from ((text,) for text in texts if text.lane != "counts")


def _row_key(text: PlacedText) -> tuple[float, float]:
    return text.y, text.size


def _text(row: tuple[PlacedText, ...], system: System, faces: Faces) -> str:
    first = row[0]
    is_row = first.lane == "counts"
    places = [x for text in row for x in _letters(text, faces)] if is_row else [first.x]
    xs, y = " ".join(_across(x, system) for x in places), _down(first.y, system)
    slant = ' font-style="italic"' if first.italic else ""
    heavy = f' font-weight="{first.weight}"' if first.weight != REGULAR else ""
    words = escape("".join(text.text for text in row), quote=False)
    return (
        f'<text x="{xs}" y="{y}" font-family="{faces.family}, serif"{slant}{heavy} '
        f'font-size="{number(first.size * system.space)}">{words}</text>'
    )


def _letters(text: PlacedText, faces: Faces) -> Iterator[float]:
    """Where each letter of a text begins."""
    x, face = text.x, faces.face("italic" if text.italic else "normal", text.weight)
    for letter in text.text:
        yield x
        x += text.size * face.advances[letter]
