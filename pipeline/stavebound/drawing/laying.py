"""Laying: drawings moved, and put together on one paper.

In: drawings of one unit, each with its pens in the same order. Out: a `Drawing` with all their
ink, pen for pen.
"""

from __future__ import annotations

from collections.abc import Sequence
from itertools import chain, zip_longest

from stavebound.drawing.values import Drawing, Pen
from stavebound.geometry import Box

NO_INK = Pen()


def moved(drawing: Drawing, dx: float) -> Drawing:
    """The same, so far to the right."""
    pens = tuple(_pen_moved(pen, dx) for pen in drawing.pens)
    texts = tuple(text._replace(xs=tuple(x + dx for x in text.xs)) for text in drawing.texts)
    return Drawing(drawing.box.moved(dx, 0.0), drawing.unit, pens, texts)


def _pen_moved(pen: Pen, dx: float) -> Pen:
    return Pen(
        tuple(box.moved(dx, 0.0) for box in pen.boxes),
        tuple(dots._replace(x=dots.x + dx) for dots in pen.dots),
        tuple(stamp._replace(x=stamp.x + dx) for stamp in pen.stamps),
        tuple(figure.moved(dx, 0.0) for figure in pen.figures),
    )


def together(drawings: Sequence[Drawing], box: Box) -> Drawing:
    """All of them on the paper of this box. ValueError where their units differ."""
    (unit,) = {drawing.unit for drawing in drawings}
    pens = zip_longest(*(drawing.pens for drawing in drawings), fillvalue=NO_INK)
    texts = chain.from_iterable(drawing.texts for drawing in drawings)
    return Drawing(box, unit, tuple(map(_one_pen, pens)), tuple(texts))


def _one_pen(pens: Sequence[Pen]) -> Pen:
    return Pen(
        tuple(chain.from_iterable(pen.boxes for pen in pens)),
        tuple(chain.from_iterable(pen.dots for pen in pens)),
        tuple(chain.from_iterable(pen.stamps for pen in pens)),
        tuple(chain.from_iterable(pen.figures for pen in pens)),
    )
