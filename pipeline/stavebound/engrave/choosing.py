"""Choosing: of the courses that the lines of movement in a gap may take, those that are drawn.

In: the ways that come to one frame, with their axes, the signs of both frames, and the lines of
the gap before. Out: the lines at their places. They are chosen together: each at its cheapest
first, then one after the other anew beside all others, until nothing changes. So the same ways
always take the same courses, and it is as quick as there are lines in a gap.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from math import inf
from typing import NamedTuple

from stavebound.drawing.courses import along, ribbon
from stavebound.drawing.figures import Figure, stroke
from stavebound.engrave.candidates import Candidate, Turns, candidates
from stavebound.engrave.outline import outline
from stavebound.engrave.way_costs import Costs, Run, own_costs, pair_costs, run_of, total
from stavebound.engrave.ways import PlacedWay, Way
from stavebound.geometry import Box, bounds
from stavebound.score.model import Bow
from stavebound.trade.catalogue import Catalogue

# What a bowing line has beside its middle, as a bent part of the body has beside its bow.
BOW_SIGN = {Bow.FRONT: "bow front", Bow.BEHIND: "bow behind"}


class Going(NamedTuple):
    """A way between two axes."""

    way: Way
    axes: tuple[float, float]


class Chosen(NamedTuple):
    """A candidate of a line, where it runs, and what it costs by itself."""

    one: Candidate
    run: Run
    costs: Costs

    @property
    def crossed(self) -> float:
        """What it costs but for its length."""
        return total(self.costs) - self.costs["length"]


def place_ways(
    going: Sequence[Going],
    boxes: Sequence[Box],
    others: Sequence[PlacedWay],
    within: tuple[float, float],
    catalogue: Catalogue,
) -> Iterator[PlacedWay]:
    """The lines of one gap; `others` are those of the gaps beside it."""
    behind = max(
        [one.along[-1][0] for one in others if one.kind in catalogue.moves.transfer],
        default=-inf,
    )
    offered = [_Offered(each, boxes, within, behind, catalogue) for each in going]
    gap = _Gap(going, [run_of(other.along) for other in others], catalogue)
    chosen = [some.best for some in offered]
    for _ in range(catalogue.moves.way.rounds):
        changed = False
        for at, some in enumerate(offered):
            if gap.conflict(at, chosen[at], chosen) > 0:
                better = min(some.all, key=lambda one: gap.cost(at, one, chosen))
                changed = changed or better is not chosen[at]
                chosen[at] = better
        if not changed:
            break
    for at, one in enumerate(chosen):
        yield _drawn(going[at].way, one, {**one.costs, **gap.beside(at, one, chosen)}, catalogue)


class _Offered:
    """The candidates of a way; the plainest is asked first what it costs, and the others where
    that is not nothing but its length."""

    def __init__(
        self,
        going: Going,
        boxes: Sequence[Box],
        within: tuple[float, float],
        behind: float,
        catalogue: Catalogue,
    ) -> None:
        self._left = iter(candidates(*going, within, behind, catalogue))
        self._boxes, self._catalogue = boxes, catalogue
        self._asked: list[Chosen] = []

    def _ask(self, slack: float) -> None:
        """Of those that turn more than costs a good one, and `slack`, nothing is asked."""
        bend, best = self._catalogue.moves.way.cost["bend"].value, inf
        for each in self._asked:
            best = min(best, each.crossed)
        for one in self._left:
            if bend * one.bend > best + slack:
                break
            run = run_of(along(one.course))
            self._asked.append(Chosen(one, run, own_costs(run, one, self._boxes, self._catalogue)))
            best = min(best, self._asked[-1].crossed)
            if not best and not slack:
                break

    @property
    def best(self) -> Chosen:
        if not self._asked:
            self._ask(0.0)
        return min(self._asked, key=lambda each: total(each.costs))

    @property
    def all(self) -> Sequence[Chosen]:
        self._ask(self._catalogue.moves.way.slack)
        return self._asked


class _Gap:
    """What the lines of a gap cost beside each other, each pair reckoned once."""

    def __init__(self, going: Sequence[Going], fixed: Sequence[Run], catalogue: Catalogue) -> None:
        self._going, self._fixed, self._catalogue = going, fixed, catalogue
        self._known: dict[tuple[int, int], tuple[float, float]] = {}
        self._paired = [
            (one, other)
            for one, a in enumerate(going)
            for other, b in enumerate(going)
            if one != other and _paired(a.way, b.way)
        ]

    def beside(self, at: int, one: Chosen, chosen: Sequence[Chosen]) -> Costs:
        others = [other.run for number, other in enumerate(chosen) if number != at]
        pairs = [self._pair(one.run, other) for other in (*others, *self._fixed)]
        unlike = self._catalogue.moves.way.cost["unlike"].value
        steps = [
            _unlike(one.one.turns, chosen[other].one.turns)
            for own, other in self._paired
            if own == at
        ]
        return {
            "way": sum([along for along, _ in pairs]),
            "cross": sum([cross for _, cross in pairs]),
            "unlike": unlike * sum(steps),
        }

    def conflict(self, at: int, one: Chosen, chosen: Sequence[Chosen]) -> float:
        return total(self.beside(at, one, chosen))

    def cost(self, at: int, one: Chosen, chosen: Sequence[Chosen]) -> float:
        return total(one.costs) + self.conflict(at, one, chosen)

    def _pair(self, a: Run, b: Run) -> tuple[float, float]:
        key = (id(a), id(b)) if id(a) < id(b) else (id(b), id(a))
        if key not in self._known:
            self._known[key] = pair_costs(a, b, self._catalogue.moves.way)
        return self._known[key]


def _paired(a: Way, b: Way) -> bool:
    """Whether two limbs move alike."""
    alike = a.subject.kind == b.subject.kind and a.kind == b.kind and a.path == b.path
    passing = (a.via and a.via[1]) == (b.via and b.via[1])
    return alike and passing and (a.start.y, a.end.y) == (b.start.y, b.end.y)


def _unlike(a: Turns, b: Turns) -> int:
    return abs(a[0] - b[0]) + abs(a[1] - b[1])


def _drawn(way: Way, chosen: Chosen, costs: Costs, catalogue: Catalogue) -> PlacedWay:
    moves, course = catalogue.moves, chosen.one.course
    row = moves.transfer.get(way.kind)
    widths = row.widths if row else (moves.width,) * 3
    figures = (ribbon(course, widths), *_beginning(way, chosen, catalogue))
    figures += tuple(_bow_mark(way, chosen, catalogue))
    mark = BOW_SIGN[way.bow] if way.bow else None
    box = bounds([point for each in figures for point in each.points])
    told = tuple(costs.items())
    spots = chosen.run.along
    return PlacedWay(way.kind, way.subject, way.origin, figures, box, told, spots, widths, mark)


def _beginning(way: Way, chosen: Chosen, catalogue: Catalogue) -> Iterator[Figure]:
    """The upright bar with which a line begins where no sign of its limb stands."""
    if way.start.held:
        (x, y), half = chosen.one.course.start, catalogue.moves.way.held / 2
        yield stroke(x, y - half, x, y + half, catalogue.moves.width)


def _bow_mark(way: Way, chosen: Chosen, catalogue: Catalogue) -> Iterator[Figure]:
    """Over the middle of a line, at a right angle to it."""
    if way.bow:
        (x, y), (nx, ny) = chosen.one.course.middle, _upwards(chosen.one)
        rise = catalogue.moves.way.bow["rise"]
        for figure in outline(catalogue.sign(BOW_SIGN[way.bow])):
            yield figure.moved(x + rise * nx, y + rise * ny)


def _upwards(one: Candidate) -> tuple[float, float]:
    """At a right angle to the middle of a line, and up."""
    (x1, y1), (x2, y2) = one.course.nearing, one.course.parting
    length = ((x2 - x1) ** 2 + (y2 - y1) ** 2) ** 0.5
    up = 1 if x2 >= x1 else -1
    return up * (y1 - y2) / length, up * (x2 - x1) / length
