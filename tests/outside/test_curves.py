"""Lines of movement held against an independent geometry library: svgelements.

Source of the check: svgelements (PyPI), its own arc lengths and points of Bézier curves.
"""

from __future__ import annotations

from math import dist

import pytest
import svgelements

from stavebound.engrave.ways import PlacedWay
from tests.support.engraved_cases import CASES, page_of
from tests.support.staves import CATALOGUE

MOVING = [case for case in CASES if case == "ways" or case.startswith("enchainement")]
MOVES = CATALOGUE.moves


def ways_of(case: str) -> list[PlacedWay]:
    return [way for system in page_of(case, False).result.systems for way in system.staves[0].ways]


def curve_of(way: PlacedWay) -> svgelements.QuadraticBezier | svgelements.Line:
    """The curve through the start, the middle and the end of the line; where they lie in
    one line, a curve's length is not to be had from the library."""
    start, middle, end = (way.along[at] for at in (0, len(way.along) // 2, -1))
    if dist(start, end) == pytest.approx(dist(start, middle) + dist(middle, end)):
        return svgelements.Line(start, end)
    control = tuple(2 * m - (a + b) / 2 for a, m, b in zip(start, middle, end, strict=True))
    return svgelements.QuadraticBezier(start, control, end)


@pytest.mark.parametrize("case", MOVING)
def test_the_length_that_is_paid_for_is_that_of_the_curve(case: str) -> None:
    """Chords are a little shorter than their curve, and never longer."""
    each = MOVES.way.cost["length"].value
    for way in ways_of(case):
        length = curve_of(way).length()
        paid = dict(way.costs)["length"] / each
        assert paid <= length + 1e-6
        assert paid == pytest.approx(length, rel=0.02)


@pytest.mark.parametrize("case", MOVING)
def test_the_ink_of_a_line_lies_along_the_curve(case: str) -> None:
    """Every corner of the drawn band is half its thickness from the curve."""
    for way in ways_of(case):
        curve = curve_of(way)
        near = [curve.point(step / 400) for step in range(401)]
        for point in way.figures[0].points:
            apart = min(dist((point.x, point.y), (spot.x, spot.y)) for spot in near)
            assert apart == pytest.approx(MOVES.width / 2, abs=0.012)


def test_there_are_lines_of_every_kind_to_measure() -> None:
    kinds = {way.kind for case in MOVING for way in ways_of(case)}
    assert kinds == {"way", *MOVES.transfer}
