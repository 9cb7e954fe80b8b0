"""Choosing: of the courses that the lines of movement in a gap may take, those that are drawn.

In: the ways that come to one frame, with their axes, the signs of both frames, and the lines of
the gap before. Out: the lines at their places. They are chosen together: each at its cheapest
first, then one after the other anew beside all others, until nothing changes. So the same ways
always take the same courses, and it is as quick as there are lines in a gap.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import replace
from itertools import combinations, product
from math import inf
from operator import attrgetter
from typing import NamedTuple

from stavebound.drawing.courses import Half, Spot, along, ribbon
from stavebound.drawing.figures import Figure, stroke
from stavebound.engrave.candidates import ROUNDING, Candidate, Turns, candidates
from stavebound.engrave.outline import outline
from stavebound.engrave.way_costs import Costs, Sampled, pair_costs, run_of, spots_of
from stavebound.engrave.ways import PlacedWay, Way
from stavebound.geometry import Box, bounds
from stavebound.remembering import remembered
from stavebound.score.model import Bow
from stavebound.trade.catalogue import Catalogue

# How many gaps are remembered; a line of the score has some ten.
GAPS = 1024
# The edges within which what passes no place goes.
ANYWHERE = (-inf, inf)
# So many digits of a place from an axis count.
DIGITS = 9
# What a bowing line has beside its middle, as a bent part of the body has beside its bow.
BOW_SIGN = {Bow.FRONT: "bow front", Bow.BEHIND: "bow behind"}


class Going(NamedTuple):
    """A way between two axes; it need not keep off its `own` boxes."""

    way: Way
    axes: tuple[float, float]
    own: tuple[Box, ...] = ()


class Chosen(NamedTuple):
    """A candidate of a line, where either half of it runs, and what it costs by itself."""

    one: Candidate
    halves: tuple[Sampled, Sampled]
    total: float

    @property
    def along(self) -> tuple[Spot, ...]:
        first, second = self.halves
        return first.along + second.along[1:]

    @property
    def costs(self) -> Costs:
        first, second = self.halves
        return {name: cost + second.costs[name] for name, cost in first.costs.items()}


class WaysBetween(NamedTuple):
    """What lines of movement go by between two frames, all from the axis before: how they go, the
    boxes of signs, the spots of lines beside them and where the last of weight ends, and the
    edges of the stave. Gaps that are alike are one value."""

    going: tuple[Going, ...]
    boxes: tuple[Box, ...]
    beside: tuple[tuple[Spot, ...], ...]
    behind: float
    within: tuple[float, float]


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
        _from(left, boxes),
        tuple([tuple([(_near(x - left), y) for x, y in other.along]) for other in others]),
        _near(max(ends, default=-inf) - left),
        (_near(within[0] - left), _near(within[1] - left)) if passing else ANYWHERE,
    )
    for (way, *_), one in zip(going, _placed(gap, catalogue), strict=True):
        figures = tuple([figure.moved(left, 0.0) for figure in one.figures])
        along = tuple([(x + left, y) for x, y in one.along])
        yield replace(
            one, origin=way.origin, figures=figures, box=one.box.moved(left, 0.0), along=along
        )


def _from(left: float, boxes: Iterable[Box]) -> tuple[Box, ...]:
    return tuple([Box(_near(x - left), y, _near(x2 - left), y2) for x, y, x2, y2 in boxes])


def _near(x: float) -> float:
    return round(x, DIGITS)


@remembered(GAPS)
def _placed(gap: WaysBetween, catalogue: Catalogue) -> tuple[PlacedWay, ...]:
    offered = [_Offered(each, gap, catalogue) for each in gap.going]
    beside = _Beside(gap, catalogue)
    chosen = [some.best for some in offered]
    for _ in range(catalogue.moves.way.rounds):
        before = [*chosen]
        for at, some in enumerate(offered):
            if beside.conflict(at, chosen[at], chosen) > 0:
                chosen[at] = min(some.all, key=lambda one: beside.cost(at, one, chosen))
        if all(one is other for one, other in zip(before, chosen, strict=True)):
            break
    chosen = _together(offered, beside, chosen, catalogue)
    lines = zip(gap.going, chosen, strict=True)
    return tuple(
        _drawn(each.way, one, beside.costs(at, one, chosen), catalogue)
        for at, (each, one) in enumerate(lines)
    )


def _together(
    offered: Sequence[_Offered], beside: _Beside, chosen: list[Chosen], catalogue: Catalogue
) -> list[Chosen]:
    """Of two lines of weight that meet, and of two limbs that move alike, all pairs are tried."""
    transfer, slack = catalogue.moves.transfer, catalogue.moves.way.slack
    for one, other in combinations(range(len(offered)), 2):
        weights = offered[one].way.kind in transfer and offered[other].way.kind in transfer
        meet = all(beside.conflict(at, chosen[at], chosen) > 0 for at in (one, other))
        if meet and (weights or beside.alike(one, other)):
            pairs = product(offered[one].good(slack), offered[other].good(slack))
            tried = [_with(chosen, {one: a, other: b}) for a, b in pairs]
            chosen = min((chosen, *tried), key=beside.whole)
    return chosen


def _with(chosen: Sequence[Chosen], changed: Mapping[int, Chosen]) -> list[Chosen]:
    return [changed.get(at, one) for at, one in enumerate(chosen)]


class _Offered:
    """The candidates of a way; the plainest is asked first what it costs, and the others where
    that is not nothing but its length. What goes straight bends round signs alone."""

    def __init__(self, going: Going, gap: WaysBetween, catalogue: Catalogue) -> None:
        self.way = going.way
        self._left = iter(candidates(going.way, going.axes, gap.within, gap.behind, catalogue))
        self._catalogue = catalogue
        self._boxes = [box for box in gap.boxes if box not in going.own and not _is_at(box, going)]
        self._runs: dict[Half, Sampled] = {}
        self._asked: list[Chosen] = []
        self._least = inf

    def _ask(self, slack: float) -> None:
        """Of those that turn more than costs a good one, and `slack`, nothing is asked."""
        bend = self._catalogue.moves.way.cost["bend"].value
        for one in self._left:
            if bend * one.bend > self._least + slack:
                break
            runs = self._run(one.halves[0]), self._run(one.halves[1])
            total = sum([run.total for run in runs]) + bend * one.bend
            self._asked.append(Chosen(one, runs, total))
            crossed = total - sum([run.costs["length"] for run in runs])
            self._least = min(self._least, crossed)
            if self.way.straight and not any(run.costs["sign"] for run in runs):
                self._left = iter(())
                break
            if crossed < ROUNDING and not slack:
                break

    def _run(self, half: Half) -> Sampled:
        if half not in self._runs:
            self._runs[half] = run_of(along(half), self._boxes, self._catalogue)
        return self._runs[half]

    @property
    def best(self) -> Chosen:
        if not self._asked:
            self._ask(0.0)
        return min(self._asked, key=attrgetter("total"))

    @property
    def all(self) -> Sequence[Chosen]:
        self._ask(self._catalogue.moves.way.slack)
        return self._asked

    def good(self, slack: float) -> Sequence[Chosen]:
        """Those that are no dearer than the best and `slack`."""
        most = self.best.total + slack
        return [one for one in self.all if one.total <= most]


def _is_at(box: Box, going: Going) -> bool:
    """Whether a box is that of the sign at one of its ends: lines point at their signs."""
    ends = zip((going.way.start, going.way.end), going.axes, strict=True)
    return any(box.overlaps(Box(limb.x + x, limb.y, limb.x + x, limb.y)) for limb, x in ends)


class _Beside:
    """What the lines of a gap cost beside each other, each pair of halves reckoned once."""

    def __init__(self, gap: WaysBetween, catalogue: Catalogue) -> None:
        going = gap.going
        self._fixed = [spots_of(spots) for spots in gap.beside]
        self._table = catalogue.moves.way
        self._known: dict[tuple[int, int], tuple[float, float]] = {}
        self._paired = [
            [other for other, b in enumerate(going) if one != other and _paired(a.way, b.way)]
            for one, a in enumerate(going)
        ]

    def _beside(self, at: int, one: Chosen, chosen: Sequence[Chosen]) -> tuple[float, float, float]:
        """By running along others, by crossing them, by turning otherwise."""
        along = cross = 0.0
        others = [
            run for number, other in enumerate(chosen) if number != at for run in other.halves
        ]
        for run in one.halves:
            for other in (*others, *self._fixed):
                if run.box.touches(other.box):
                    near, crossed = self._reckoned(run, other)
                    along += near
                    cross += crossed
        steps = [_unlike(one.one.turns, chosen[other].one.turns) for other in self._paired[at]]
        return along, cross, self._table.cost["unlike"].value * sum(steps)

    def costs(self, at: int, one: Chosen, chosen: Sequence[Chosen]) -> Costs:
        """All that a line costs where the others are those that are chosen."""
        beside = zip(("way", "cross", "unlike"), self._beside(at, one, chosen), strict=True)
        bend = self._table.cost["bend"].value * one.one.bend
        return {**one.costs, "bend": bend, **dict(beside)}

    def conflict(self, at: int, one: Chosen, chosen: Sequence[Chosen]) -> float:
        return sum(self._beside(at, one, chosen))

    def cost(self, at: int, one: Chosen, chosen: Sequence[Chosen]) -> float:
        return one.total + self.conflict(at, one, chosen)

    def alike(self, one: int, other: int) -> bool:
        """Whether two limbs move alike."""
        return other in self._paired[one]

    def whole(self, chosen: Sequence[Chosen]) -> float:
        """What all lines cost, each with all others."""
        return sum([self.cost(at, one, chosen) for at, one in enumerate(chosen)])

    def _reckoned(self, a: Sampled, b: Sampled) -> tuple[float, float]:
        key = (id(a), id(b)) if id(a) < id(b) else (id(b), id(a))
        if key not in self._known:
            self._known[key] = pair_costs(a, b, self._table)
        return self._known[key]


def _paired(a: Way, b: Way) -> bool:
    """Whether two limbs move alike."""
    alike = a.subject.kind == b.subject.kind and a.kind == b.kind and a.path == b.path
    passing = (a.via and a.via[1]) == (b.via and b.via[1])
    return alike and passing and (a.start.y, a.end.y) == (b.start.y, b.end.y)


def _unlike(a: Turns, b: Turns) -> int:
    """How many steps one turns otherwise than the other; those that turn from each other are
    one step apart."""
    ends = zip(a[1:], b[1:], strict=True)
    return (a[0] != b[0]) + sum(
        [1 if one == -other != 0 else abs(one - other) for one, other in ends]
    )


def _drawn(way: Way, chosen: Chosen, costs: Costs, catalogue: Catalogue) -> PlacedWay:
    moves, course = catalogue.moves, chosen.one.course
    row = moves.transfer.get(way.kind)
    widths = row.widths if row else (moves.width,) * 3
    figures = (ribbon(course, widths), *_beginning(way, chosen, catalogue))
    figures += tuple(_bow_mark(way, chosen, catalogue))
    mark = BOW_SIGN[way.bow] if way.bow else None
    box = bounds([point for each in figures for point in each.points])
    told = tuple(costs.items())
    spots = chosen.along
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
