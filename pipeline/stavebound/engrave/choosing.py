"""Choosing: of the courses that the lines of movement in a gap may take, those that are drawn.

In: the ways that come to one frame, with their axes, the signs of both frames, and the lines of
the gap before. Out: the lines at their places, chosen together by what they cost (`offers`). So
the same ways always take the same courses.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import replace
from itertools import combinations
from math import inf
from typing import NamedTuple

from stavebound.drawing.courses import ribbon
from stavebound.drawing.figures import Figure, stroke
from stavebound.engrave.beside import Beside, cheapest, cheapest_two
from stavebound.engrave.bows import BOW_SIGN, bow_mark
from stavebound.engrave.offers import (
    Around,
    Chosen,
    Offer,
    Offers,
    Pair,
    Single,
    are_abreast,
    mirrored,
    passes,
)
from stavebound.engrave.springs import mark_names, spring_marks
from stavebound.engrave.way_costs import Costs
from stavebound.engrave.ways import PlacedWay, Way
from stavebound.engrave.weight import weight_widths
from stavebound.geometry import Box, bounds
from stavebound.remembering import remembered
from stavebound.trade.catalogue import Catalogue
from stavebound.trade.movement import WayLine

# How many gaps are remembered; a line of the score has some ten.
GAPS = 1024
# The edges within which what passes no place goes.
ANYWHERE = (-inf, inf)
# So many digits of a place from an axis count.
DIGITS = 9


class Going(NamedTuple):
    """A way between two axes; it need not keep off its `own` boxes."""

    way: Way
    axes: tuple[float, float]
    own: tuple[Box, ...] = ()


class WaysBetween(NamedTuple):
    """What lines of movement go by between two frames, all from the axis before: how they go, and
    what is round them. Gaps that are alike are one value."""

    going: tuple[Going, ...]
    round: Around


def place_ways(
    going: Sequence[Going],
    boxes: Sequence[Box],
    others: Sequence[PlacedWay],
    within: tuple[float, float],
    catalogue: Catalogue,
) -> Iterator[PlacedWay]:
    """The lines of one gap; `others` are those of the gaps beside it."""
    left, passing = going[0].axes[0], any(each.way.via for each in going)
    ends = [one.along[-1][0] for one in others if one.kind in catalogue.moves.transfer]
    gap = WaysBetween(
        tuple(
            [Going(way, (0.0, _near(axes[1] - left)), _from(left, own)) for way, axes, own in going]
        ),
        Around(
            _from(left, boxes),
            tuple([tuple([(_near(x - left), y) for x, y in other.along]) for other in others]),
            _near(max(ends, default=-inf) - left),
            (_near(within[0] - left), _near(within[1] - left)) if passing else ANYWHERE,
        ),
    )
    for (way, *_), one in zip(going, _placed(gap, catalogue), strict=True):
        figures = tuple([figure.moved(left, 0.0) for figure in one.figures])
        along = tuple([(x + left, y) for x, y in one.along])
        yield replace(
            one, origin=way.origin, figures=figures, box=one.box.moved(left, 0.0), along=along
        )


def stopped(going: Sequence[Going], boxes: Sequence[Box], catalogue: Catalogue) -> int:
    """How many lines of a gap have, beside no other, no course that comes into no sign."""
    abreast = _abreast([way for way, *_ in going], catalogue)
    gap = Around(tuple(boxes), (), -inf, ANYWHERE)
    return sum(not passes(*each, at in abreast, gap, catalogue) for at, each in enumerate(going))


def _from(left: float, boxes: Iterable[Box]) -> tuple[Box, ...]:
    return tuple([Box(_near(x - left), y, _near(x2 - left), y2) for x, y, x2, y2 in boxes])


def _near(x: float) -> float:
    return round(x, DIGITS)


@remembered(GAPS)
def _placed(gap: WaysBetween, catalogue: Catalogue) -> tuple[PlacedWay, ...]:
    beside = Beside(gap.round.beside, catalogue.moves.way)
    chosen = _together([*_offers(gap, catalogue)], beside, catalogue.moves.way)
    lines = {at: line for each in chosen for at, line in each.lines.items()}
    drawn: list[PlacedWay] = []
    offers = {at: each for each in chosen for at in each.lines}
    for at, each in enumerate(gap.going):
        others = [lines[one].along for one in lines if one != at]
        marks = [bounds(one.figures[-1].points) for one in drawn if one.bowed]
        around = gap.round._replace(
            beside=(*gap.round.beside, *others), boxes=(*gap.round.boxes, *marks)
        )
        costs = beside.costs(lines[at], lines.values(), offers[at])
        drawn.append(_drawn(each.way, lines[at], costs, around, catalogue))
    return tuple(drawn)


def _offers(gap: WaysBetween, catalogue: Catalogue) -> Iterator[Offers]:
    """Those of limbs that go together, and those of each other line."""
    ways = [each.way for each in gap.going]
    abreast = _abreast(ways, catalogue)
    singles = [
        Single(at, *each, at in abreast, gap.round, catalogue) for at, each in enumerate(gap.going)
    ]
    left = [*range(len(ways))]
    while left:
        one = left.pop(0)
        other = next((at for at in left if mirrored(ways[one], ways[at])), None)
        if other is None:
            yield singles[one]
        else:
            left.remove(other)
            yield Pair(singles[one], singles[other], catalogue.moves.way)


def _abreast(ways: Sequence[Way], catalogue: Catalogue) -> set[int]:
    """Those that pass their places beside another that does."""
    within = catalogue.moves.way.abreast
    pairs = combinations(range(len(ways)), 2)
    return {at for a, b in pairs if are_abreast(ways[a], ways[b], within) for at in (a, b)}


def _together(offers: Sequence[Offers], beside: Beside, table: WayLine) -> Sequence[Offer]:
    """Each at its cheapest beside those before it, then one after the other anew beside all,
    until nothing changes; of two that conflict still, both are changed."""
    chosen: list[Offer] = []
    for some in offers:
        chosen.append(cheapest(some, chosen, beside))
    for _ in range(table.rounds if len(offers) > 1 else 0):
        before = [*chosen]
        for at, some in enumerate(offers):
            chosen[at] = cheapest(some, [*chosen[:at], *chosen[at + 1 :]], beside)
        if all(one is other for one, other in zip(before, chosen, strict=True)):
            break
    for one, other in combinations(range(len(offers)), 2):
        two = chosen[one], chosen[other]
        if beside.between(*two) > 0:
            rest = [each for at, each in enumerate(chosen) if at not in (one, other)]
            both = offers[one], offers[other]
            chosen[one], chosen[other] = cheapest_two(*both, rest, two, beside, table.slack)
    return chosen


def _drawn(
    way: Way, chosen: Chosen, costs: Costs, around: Around, catalogue: Catalogue
) -> PlacedWay:
    """`around`: the lines of its gap and their marks are beside it too."""
    moves, course = catalogue.moves, chosen.one.course
    row = moves.transfer.get(way.kind)
    widths = weight_widths(row, way.part) if row else (moves.width,) * 3
    figures = (ribbon(course, widths), *_beginning(way, chosen, catalogue))
    if way.bow:
        figures += tuple(bow_mark(way.bow, course, around.beside, around.boxes, catalogue))
    figures += tuple(spring_marks(way, course, catalogue))
    marks = (BOW_SIGN[way.bow],) if way.bow else mark_names(way, catalogue)
    box = bounds([point for each in figures for point in each.points])
    told = tuple(costs.items())
    spots = chosen.along
    return PlacedWay(way.kind, way.subject, way.origin, figures, box, told, spots, widths, marks)


def _beginning(way: Way, chosen: Chosen, catalogue: Catalogue) -> Iterator[Figure]:
    """The upright bar with which a line begins where no sign of its limb stands."""
    if way.start.held:
        (x, y), half = chosen.one.course.start, catalogue.moves.way.held / 2
        yield stroke(x, y - half, x, y + half, catalogue.moves.width)
