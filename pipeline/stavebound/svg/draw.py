"""Draw: a system to an SVG document.

In: a `System`. Out: SVG text, lengths in millimetres, y downwards. The grammar:

    svg      := '<svg' size, viewBox '>' title? path* text* '</svg>'
    path     := one for each pen (stave, bar, centre, sign), filled outlines only:
                M, L and C with absolute coordinates, each figure closed by Z
    text     := x: one number, or one for each character; y; font; no anchor

There are no styles, classes, transforms, groups or references, so that whoever
reads it needs to know nothing but paths and text.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from html import escape
from itertools import groupby
from math import cos, pi, sin

from stavebound.engrave.outline import Figure
from stavebound.engrave.system import PlacedText, Rule, System
from stavebound.faces import Faces
from stavebound.geometry import Box, Point
from stavebound.svg.numbers import number

PENS = ("stave", "centre", "bar", "sign")


def draw(system: System, faces: Faces, title: str | None = None) -> str:
    """An SVG document of the system, just as large as its box.

    `title` becomes the document's own title, for readers that speak.
    """
    box, space = system.box, system.space
    width, height = number(box.width * space), number(box.height * space)
    paths = (_path(figures, system) for figures in _by_pen(system))
    texts = (_text(row, system, faces) for row in _rows(system.texts))
    return "\n".join(
        (
            f'<svg xmlns="http://www.w3.org/2000/svg" width="{width}mm" height="{height}mm" '
            f'viewBox="0 0 {width} {height}">',
            *((f"<title>{escape(title)}</title>",) if title else ()),
            *(path for path in paths if path),
            *texts,
            "</svg>\n",
        )
    )


def _by_pen(system: System) -> Iterator[tuple[Figure, ...]]:
    """The figures of each pen in the order of PENS, heights from the lowest floor line."""
    for pen in PENS:
        figures: list[Figure] = []
        for stave in system.staves:
            if pen == "sign":
                own = [figure for sign in stave.signs for figure in sign.figures]
                own += (figure for way in stave.ways for figure in way.figures)
            elif pen == "centre":
                own = [_dot(axis.x, y, system.centre_dot) for axis in stave.axes for y in axis.dots]
            else:
                own = [_bar(rule) for rule in stave.rules if rule.pen == pen]
            rises = stave.floor != 0.0
            figures += [figure.moved(0.0, stave.floor) for figure in own] if rises else own
        yield tuple(figures)


def _bar(rule: Rule) -> Figure:
    box: Box = rule.box
    return Figure(
        (
            Point(box.left, box.bottom),
            Point(box.left, box.top),
            Point(box.right, box.top),
            Point(box.right, box.bottom),
        )
    )


def _dot(x: float, y: float, diameter: float) -> Figure:
    """An eight-sided dot: at a tenth of a millimetre, as round as print can show."""
    r = diameter / 2
    turns = [(step + 0.5) * pi / 4 for step in range(8)]
    return Figure(tuple(Point(x + r * cos(turn), y + r * sin(turn)) for turn in turns))


def _path(figures: tuple[Figure, ...], system: System) -> str:
    data = "".join(_figure(figure, system) for figure in figures)
    return f'<path d="{data}"/>' if data else ""


def _figure(figure: Figure, system: System) -> str:
    points = [_on_paper(point, system) for point in figure.points]
    if not figure.curved:
        return "M" + "L".join(points) + "Z"
    curves = ("C" + " ".join(points[i : i + 3]) for i in range(1, len(points), 3))
    return f"M{points[0]}{''.join(curves)}Z"


def _on_paper(point: Point, system: System) -> str:
    x = (point.x - system.box.left) * system.space
    y = (system.box.top - point.y) * system.space
    return f"{number(x)},{number(y)}"


def _rows(texts: Iterable[PlacedText]) -> Iterator[tuple[PlacedText, ...]]:
    """Counts of one size in one row stand in one element, every other text in its own."""
    counts = [text for text in texts if text.lane == "counts"]
    for _, row in groupby(sorted(counts, key=_row_key), key=_row_key):
        yield tuple(sorted(row, key=lambda text: text.x))
    yield from ((text,) for text in texts if text.lane != "counts")


def _row_key(text: PlacedText) -> tuple[float, float]:
    return text.y, text.size


def _text(row: tuple[PlacedText, ...], system: System, faces: Faces) -> str:
    first, space = row[0], system.space
    letters = [x for text in row for x in _letters(text, faces)]
    places = letters if first.lane == "counts" else [first.x]
    xs = " ".join(number((x - system.box.left) * space) for x in places)
    y = number((system.box.top - first.y) * space)
    slant = ' font-style="italic"' if first.italic else ""
    words = escape("".join(text.text for text in row), quote=False)
    return (
        f'<text x="{xs}" y="{y}" font-family="{faces.family}, serif"{slant} '
        f'font-size="{number(first.size * space)}">{words}</text>'
    )


def _letters(text: PlacedText, faces: Faces) -> Iterator[float]:
    """Where each letter of a text begins."""
    x = text.x
    for letter in text.text:
        yield x
        x += faces.width(letter, text.size, "italic" if text.italic else "normal")
