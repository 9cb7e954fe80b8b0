"""A drawing that is no stave, by programs that are not ours: figures and a text, such as a plan
of the floor has them, in a unit of its own. svgelements reads where its figures stand, resvg
shows its SVG, and PDFium the page onto which the press paints it."""

from __future__ import annotations

import io
from dataclasses import replace

import pytest
import svgelements
from PIL import ImageOps

from stavebound.drawing.figures import curve, disc, stroke
from stavebound.drawing.values import Dots, Drawing, DrawnText, Pen, Stamp
from stavebound.engrave.outline import outline
from stavebound.geometry import Box, bounds
from stavebound.proof.outlines import with_outlines
from stavebound.svg.draw import draw
from tests.support.shown import DPI, apart, in_print, without_fonts
from tests.support.staves import CATALOGUE, FACES, SETTING

MM, PIXEL = 25.4 / DPI, 25.4 / 96
SIGN = CATALOGUE.sign("straight again")
# A room of ten metres by six, a metre 5 mm wide, its corner above and left of nought.
PATH = curve(-3.0, -4.0, 0.0, -1.0, 2.0, -4.0, 5.0, -1.0, 0.05)
WALLS = (stroke(-4.0, 0.0, 6.0, 0.0, 0.04), stroke(-4.0, -6.0, 6.0, -6.0, 0.04))
PLAN = Drawing(
    Box(-4.5, -6.5, 6.5, 0.5),
    5.0,
    (
        Pen(boxes=(Box(0.9, -6.0, 1.1, 0.0),), dots=(Dots(3.0, -6.0, (1.0, 2.0, 3.0), 0.1),)),
        Pen(),
        Pen(stamps=(Stamp(outline(SIGN), 5.0, -1.0),), figures=(PATH, *WALLS, disc(-3, -4, 0.3))),
    ),
    (
        DrawnText("back left", (-3.5,), -5.5, 0.5, italic=True),
        DrawnText("AB", (3.0, 4.5), -2.0, 0.6),
    ),
)


def boxes(svg: str) -> list[list[Box]]:
    """Of every figure of every path, in millimetres from the lower left corner."""
    document = svgelements.SVG.parse(io.StringIO(svg))
    height = float(document.height) * PIXEL
    paths = (each for each in document.elements() if isinstance(each, svgelements.Path))
    found = [[svgelements.Path(part).bbox() for part in path.as_subpaths()] for path in paths]
    return [
        [
            Box(left * PIXEL, height - bottom * PIXEL, right * PIXEL, height - top * PIXEL)
            for left, top, right, bottom in path
        ]
        for path in found
    ]


def test_figures_stand_where_the_drawing_has_them() -> None:
    ruled, drawn = boxes(draw(PLAN, FACES))
    dots = [Box(2.95, -6.0 + up - 0.05, 3.05, -6.0 + up + 0.05) for up in (1.0, 2.0, 3.0)]
    figures = [bounds(each.points) for each in (PATH, *WALLS, disc(-3, -4, 0.3))]
    rim, hole = (bounds(each.points).moved(5.0, -1.0) for each in outline(SIGN))
    wanted = [[Box(0.9, -6.0, 1.1, 0.0), *dots], [rim, hole, *figures]]
    for read, placed in zip((ruled, drawn), wanted, strict=True):
        on_paper = [each.moved(4.5, 6.5) for each in placed]
        for one, other in zip(read, on_paper, strict=True):
            assert one == pytest.approx([side * 5.0 for side in other], abs=0.03)


def test_a_drawing_is_painted_as_it_is_shown_and_its_ink_stays_in_its_box() -> None:
    svg = draw(PLAN, FACES, "A room")
    printed, shown = in_print(svg, SETTING), without_fonts(with_outlines(svg, FACES))
    assert apart(shown, printed) == 0
    ink = ImageOps.invert(printed).point(lambda grey: 255 * (grey > 127)).getbbox()
    assert ink is not None
    assert [side * MM for side in ink] == pytest.approx([2.5, 2.4, 52.5, 32.6], abs=2 * MM)


@pytest.mark.parametrize(
    "other",
    [
        replace(PLAN, pens=PLAN.pens[:2]),
        replace(PLAN, texts=PLAN.texts[:1]),
        replace(PLAN, unit=5.1),
    ],
)
def test_a_figure_a_letter_or_a_size_that_differs_is_seen(other: Drawing) -> None:
    printed = in_print(draw(PLAN, FACES), SETTING)
    assert apart(without_fonts(with_outlines(draw(other, FACES), FACES)), printed) > 20
