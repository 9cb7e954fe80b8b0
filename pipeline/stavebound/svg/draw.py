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
from itertools import chain, groupby
from math import cos, pi, sin

from stavebound.engrave.outline import Figure
from stavebound.engrave.system import PlacedText, Rule, Stave, System
from stavebound.faces import REGULAR, Faces
from stavebound.geometry import Box, Point
from stavebound.svg.numbers import number

PENS = ("stave", "centre", "bar", "sign")


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
            for sign in stave.signs:
                for figure in sign.figures:
                    yield _figure(figure, sign.x, sign.y + stave.floor, system)
            lines = [way.figures for way in stave.ways] + [bow.figures for bow in stave.phrasings]
            lines += [mark.figures for mark in stave.marks]
            for figure in chain.from_iterable(lines):
                yield _figure(figure, 0.0, stave.floor, system)
        elif pen == "centre":
            yield from _dots(stave, system)
        else:
            for rule in stave.rules:
                if rule.pen == pen:
                    yield _figure(_bar(rule), 0.0, stave.floor, system)


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


def _dots(stave: Stave, system: System) -> Iterator[str]:
    """Eight-sided dots: at a tenth of a millimetre, as round as print can show.

    All are alike to the last digit, so that a file that is packed holds one of them.
    """
    r = system.centre_dot * system.space / 2
    turns = [(step + 0.5) * pi / 4 for step in range(8)]
    corners = [(round(r * cos(turn), 3), -round(r * sin(turn), 3)) for turn in turns]
    heights = {y for axis in stave.axes for y in axis.dots}
    ys = {y: float(_down(y + stave.floor, system)) for y in heights}
    downs = {y: tuple(number(down + dy) for _, dy in corners) for y, down in ys.items()}
    for axis in stave.axes:
        x = float(_across(axis.x, system))
        dot = _closed([f"{number(x + dx)},%s" for dx, _ in corners])
        for y in axis.dots:
            yield dot % downs[y]


def _figure(figure: Figure, x: float, y: float, system: System) -> str:
    """A figure whose own centre is at x, y."""
    left, top, space = system.box.left, system.box.top, system.space
    points = [
        f"{number((point.x + x - left) * space)},{number((top - (point.y + y)) * space)}"
        for point in figure.points
    ]
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
    letters = [x for text in row for x in _letters(text, faces)]
    places = letters if first.lane == "counts" else [first.x]
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
    x = text.x
    for letter in text.text:
        yield x
        x += faces.width(letter, text.size, "italic" if text.italic else "normal", text.weight)
