"""Lines of movement held against an independent geometry library: svgelements.

Source of the check: svgelements (PyPI), its own arc lengths and points of Bézier curves.
"""

from __future__ import annotations

from itertools import pairwise
from math import dist

import pytest
import svgelements

from stavebound.engrave.ways import PlacedWay
from tests.support.engraved_cases import CASES, page_of
from tests.support.staves import CATALOGUE

MOVING = [case for case in CASES if case == "ways" or case.startswith("enchainement")]
MOVES = CATALOGUE.moves
Spot = tuple[float, float]


def ways_of(case: str) -> list[PlacedWay]:
    return [way for system in page_of(case, False).result.systems for way in system.staves[0].ways]


def curves_of(way: PlacedWay) -> svgelements.Path:
    """Out along one side and back along the other, as the SVG has it."""
    points = [(point.x, point.y) for point in way.figures[0].points]
    if not way.figures[0].curved:
        return svgelements.Path(svgelements.Polygon(*points))
    pieces = [svgelements.CubicBezier(*points[at : at + 4]) for at in range(0, len(points) - 1, 3)]
    return svgelements.Path(svgelements.Move(points[0]), *pieces)


@pytest.mark.parametrize("case", MOVING)
def test_the_length_that_is_paid_for_is_that_of_the_line(case: str) -> None:
    """Half of what is gone round, less its ends; chords are a little shorter than a curve."""
    each = MOVES.way.cost["length"].value
    for way in ways_of(case):
        ends = (way.widths[0] + way.widths[2]) / 2
        length = curves_of(way).length(error=1e-4) / 2 - ends
        paid = dict(way.costs)["length"] / each
        assert paid <= length + 0.02
        assert paid == pytest.approx(length, rel=0.03, abs=0.02)


@pytest.mark.parametrize("case", MOVING)
def test_the_ink_of_a_line_lies_along_its_course(case: str) -> None:
    """Everywhere on its edge it is half as thick as it is there, from the line's own spots, with
    as much as a curve rises between two of these."""
    for way in ways_of(case):
        path, half = curves_of(way), max(way.widths) / 2
        pieces = [*pairwise(way.along)]
        path.length(error=1e-4)  # else it is reckoned to a billionth, a hundred times as long
        for spot in (path.point(step / 40) for step in range(41)):
            apart = min(_from_piece((spot.x, spot.y), *piece) for piece in pieces)
            assert min(way.widths) / 2 - 0.03 <= apart + 0.02
            most = half * (2.2 if way.kind == "spring" else 1.0) + 0.035
            assert apart <= most + _rise(way.along)


def _rise(along: tuple[Spot, ...]) -> float:
    """How far a curve is off the chord between two neighbouring spots, where it bends most: an
    eighth of what it turns off straight on from one to the next, but where halves meet."""
    middle = len(along) // 2
    halves = along[: middle + 1], along[middle:]
    threes = [each for half in halves for each in zip(half, half[1:], half[2:], strict=False)]
    return max(dist((a[0] + c[0], a[1] + c[1]), (2 * b[0], 2 * b[1])) for a, b, c in threes) / 8


def _from_piece(spot: Spot, a: Spot, b: Spot) -> float:
    """How far a spot is from a straight piece."""
    (x, y), (x1, y1), (x2, y2) = spot, a, b
    square = (x2 - x1) ** 2 + (y2 - y1) ** 2
    share = ((x - x1) * (x2 - x1) + (y - y1) * (y2 - y1)) / square if square else 0.0
    share = min(max(share, 0.0), 1.0)
    return dist(spot, (x1 + share * (x2 - x1), y1 + share * (y2 - y1)))


def test_there_are_lines_of_every_kind_to_measure() -> None:
    kinds = {way.kind for case in MOVING for way in ways_of(case)}
    assert kinds == {"way", *MOVES.transfer}
