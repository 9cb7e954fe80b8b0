"""Staves: a line of staves as a drawing.

In: a `System`, and the faces, which tell where each letter of the counts begins. Out: a
`Drawing` in spaces, with a pen each for the lines of the staves, for centre lines, for bar
lines, and for signs with all that joins them.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from itertools import chain, groupby

from stavebound.drawing.figures import Figure
from stavebound.drawing.values import Dots, Drawing, DrawnText, Pen, Stamp
from stavebound.engrave.system import PlacedText, Stave, System
from stavebound.faces import Faces
from stavebound.geometry import Box
from stavebound.svg.draw import draw

# What has a colour of its own and is no text.
CENTRE_LINE = "centre line"


def draw_staves(system: System, faces: Faces, title: str | None = None) -> str:
    """An SVG document of the line, just as large as its box, with a title of its own or none."""
    return draw(stave_drawing(system, faces), faces, title)


def stave_drawing(system: System, faces: Faces) -> Drawing:
    staves = system.staves
    pens = (
        Pen(boxes=tuple(_ruled("stave", staves))),
        Pen(dots=_centre_lines(system), colour=system.colours.get(CENTRE_LINE, "")),
        Pen(boxes=(*_ruled("bar", staves), *(rule.box for rule in system.joins))),
        Pen(stamps=_stamps(staves), figures=tuple(_figures(staves))),
    )
    return Drawing(system.box, system.space, pens, tuple(_texts(system, faces)))


def _ruled(pen: str, staves: Iterable[Stave]) -> Iterator[Box]:
    for stave in staves:
        for rule in stave.rules:
            if rule.pen == pen:
                yield rule.box.moved(0.0, stave.floor) if stave.floor else rule.box


def _centre_lines(system: System) -> tuple[Dots, ...]:
    dot = system.centre_dot
    lines = [
        Dots(axis.x, stave.floor, axis.dots, dot) for stave in system.staves for axis in stave.axes
    ]
    return tuple(lines)


def _stamps(staves: Iterable[Stave]) -> tuple[Stamp, ...]:
    stamps = [
        Stamp(sign.figures, sign.x, sign.y + stave.floor)
        for stave in staves
        for sign in stave.signs
    ]
    return tuple(stamps)


def _figures(staves: Iterable[Stave]) -> Iterator[Figure]:
    """Lines of movement, bows, lines of turns that last and marks of repeats."""
    for stave in staves:
        lines = (stave.ways, stave.phrasings, stave.lasting)
        drawn = [one.figures for some in lines for one in some]
        for figure in chain(*drawn, *(mark.figures for mark in stave.marks)):
            yield figure.moved(0.0, stave.floor) if stave.floor else figure


def _texts(system: System, faces: Faces) -> Iterator[DrawnText]:
    """Lettered texts of one size in one row stand together, each letter at its place; every
    other text by itself."""
    lettered = [text for text in system.texts if text.lettered]
    for _, row in groupby(sorted(lettered, key=_row_key), key=_row_key):
        yield _row(sorted(row, key=lambda text: text.x), faces)
    for text in system.texts:
        if not text.lettered:
            look = text.size, text.italic, text.weight, system.colours.get(text.lane, "")
            yield DrawnText(text.text, (text.x,), text.y, *look, text.said)


def _row_key(text: PlacedText) -> tuple[float, float]:
    return text.y, text.size


def _row(row: list[PlacedText], faces: Faces) -> DrawnText:
    first, letters = row[0], "".join(text.text for text in row)
    xs = tuple(x for text in row for x in _letters(text, faces))
    return DrawnText(letters, xs, first.y, first.size, first.italic, first.weight)


def _letters(text: PlacedText, faces: Faces) -> Iterator[float]:
    """Where each letter of a text begins."""
    x, face = text.x, faces.face("italic" if text.italic else "normal", text.weight)
    for letter in text.text:
        yield x
        x += text.size * face.advances[letter]
