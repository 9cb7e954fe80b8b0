"""Offers: the courses that a line may take with what each costs, or two limbs' lines as one.

In: ways between their axes, with the signs and lines beside them. Out: offers, the plainest asked
first what it costs. Limbs that move alike from places to places that mirror each other are one
offer: on a stave time goes to the right for both, so their lines do not mirror each other across.
Instead both turn alike, as if one were the other drawn out, or from each other, up and down.

      ▬──╮            ▬       ▬  ╭──────╮  ▬
       ▬ ╰──────╮  ▬           ▬ ╰──────╯
            ╰──────╯                            alike, and from each other

Both begin and end at the same side of their signs, and of two that pass one place, one passes it
itself, so that what is danced again in a wider gap is drawn alike.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from itertools import product
from math import inf
from operator import attrgetter
from typing import NamedTuple

from stavebound.drawing.courses import Half, Spot, along
from stavebound.engrave.candidates import ROUNDING, Candidate, candidates, is_tip
from stavebound.engrave.unclear import is_mistaken, is_pinched
from stavebound.engrave.way_costs import Costs, Sampled, bend_at, is_clear, run_of
from stavebound.engrave.ways import Limb, Way
from stavebound.geometry import Box
from stavebound.trade.catalogue import Catalogue
from stavebound.trade.movement import WayLine

# What the plainest course costs by its form.
OF_FORM = ("length", "turned", "tense")


# So many of the best of either limb are tried together, besides all that have the same ends.
TRIED = 12


class Chosen(NamedTuple):
    """A candidate of a line, where either half of it runs, and what its turns cost."""

    one: Candidate
    halves: tuple[Sampled, Sampled]
    turns: Costs

    @property
    def along(self) -> tuple[Spot, ...]:
        first, second = self.halves
        return first.along + second.along[1:]

    @property
    def costs(self) -> Costs:
        first, second = self.halves
        runs = {name: cost + second.costs[name] for name, cost in first.costs.items()}
        return {**runs, **self.turns}


Lines = Mapping[int, Chosen]


class Offer(NamedTuple):
    """Lines by their numbers in the gap, and what each costs by itself, in all; `unlike`, `ends`:
    for not turning alike."""

    lines: Lines
    total: float
    unlike: float = 0.0
    ends: float = 0.0


class Around(NamedTuple):
    """What lines of a gap go by: the boxes of signs, the spots of lines beside them and where the
    last of weight ends, and the edges of the stave."""

    boxes: tuple[Box, ...]
    beside: tuple[tuple[Spot, ...], ...]
    behind: float
    within: tuple[float, float]


class Single:
    """The candidates of a line; the plainest is asked first what it costs. What turns
    much is asked only where all else comes into signs."""

    def __init__(
        self,
        at: int,
        way: Way,
        axes: Spot,
        own: tuple[Box, ...],
        abreast: bool,
        gap: Around,
        catalogue: Catalogue,
    ) -> None:
        self._at = at
        self.way = way
        self._axes = axes
        self._left = iter(candidates(way, axes, gap.within, gap.behind, abreast, catalogue))
        self._catalogue, self._table = catalogue, catalogue.moves.way
        self._boxes = _in_its_way(way, axes, own, gap.boxes)
        self._runs: dict[Half, Sampled] = {}
        self._bends: dict[Half, float] = {}
        self._pinched: dict[Half, bool] = {}
        self.plain = self._offer(next(self._left))
        self._next = next(self._left, None)
        self._calm: Sequence[Offer] = ()
        self._all: Sequence[Offer] = ()

    @property
    def calm(self) -> Sequence[Offer]:
        """Those that turn little, the cheapest first."""
        if not self._calm:
            self._calm = _in_order([self.plain, *self._ask(self._table.calm)])
        return self._calm

    @property
    def all(self) -> Sequence[Offer]:
        """The cheapest first."""
        if not self._all:
            self._all = _in_order([*self.calm, *self._ask(inf)])
        return self._all

    def _ask(self, most: float) -> Iterator[Offer]:
        while self._next and self._next.bend <= most:
            yield self._offer(self._next)
            self._next = next(self._left, None)

    def _offer(self, one: Candidate) -> Offer:
        runs = self._run(one.halves[0]), self._run(one.halves[1])
        cost = self._table.cost
        waved = min(sum(each) for each in zip(runs[0].turns, runs[1].turns, strict=True))
        turns = {
            "bend": cost["bend"].value * one.bend,
            "wave": cost["wave"].value * waved,
            "kink": 0.0,
            "unclear": 0.0,
        }
        if one.bend:
            into, out = self._bent(one.halves[0][::-1]), self._bent(one.halves[1])
            turns["kink"] = cost["kink"].value * abs(into + out)
        pinched = self.way.kind == "way" and any([*map(self._is_pinched, one.halves)])
        if pinched or is_mistaken(one.halves, self.way, self._axes, self._table):
            turns["unclear"] = cost["unclear"].value
        total = runs[0].total + runs[1].total + sum(turns.values())
        return Offer({self._at: Chosen(one, runs, turns)}, total)

    def _run(self, half: Half) -> Sampled:
        if half not in self._runs:
            self._runs[half] = run_of(along(half), self._boxes, self._catalogue)
        return self._runs[half]

    def _is_pinched(self, half: Half) -> bool:
        if half not in self._pinched:
            self._pinched[half] = is_pinched(half, self._catalogue)
        return self._pinched[half]

    def _bent(self, half: Half) -> float:
        """How tightly a half is bent where the other one joins it."""
        if half not in self._bends:
            self._bends[half] = bend_at(half)
        return self._bends[half]


def _in_order(offers: Iterable[Offer]) -> Sequence[Offer]:
    return sorted(offers, key=attrgetter("total"))


class Pair:
    """The candidates of two limbs that go together, the best of either with those of the other."""

    def __init__(self, one: Single, other: Single, table: WayLine) -> None:
        self._two = one, other
        self._unlike, self._ends = table.cost["unlike"].value, table.cost["ends"].value
        self.plain = _both(one.plain, other.plain)
        self._calm: Sequence[Offer] = ()
        self._all: Sequence[Offer] = ()

    @property
    def calm(self) -> Sequence[Offer]:
        """Those that turn little, the cheapest first."""
        if not self._calm:
            self._calm = self._tied(*[each.calm for each in self._two])
        return self._calm

    @property
    def all(self) -> Sequence[Offer]:
        """The cheapest first."""
        if not self._all:
            self._all = self._tied(*[each.all for each in self._two])
        return self._all

    def _tied(self, some: Sequence[Offer], others: Sequence[Offer]) -> Sequence[Offer]:
        ones, two = ([*map(_turning, each)] for each in (some, others))
        same: dict[tuple[int, ...], list[int]] = {}
        for at, offer in enumerate(others):
            same.setdefault(_ends(offer), []).append(at)
        tried = {*product(range(len(some))[:TRIED], range(len(others))[:TRIED])}
        tried |= {(at, to) for at, one in enumerate(some) for to in same.get(_ends(one), ())}
        return _in_order(
            [self._both(some[a], others[b], ones[a], two[b]) for a, b in sorted(tried)]
        )

    def _both(self, a: Offer, b: Offer, one: Sequence[float], other: Sequence[float]) -> Offer:
        return _both(a, b, self._unlike * _unlike(one, other), self._ends * _unpaired(a, b))


def _turns(offer: Offer) -> tuple[int, ...]:
    (line,) = offer.lines.values()
    return line.one.turns


def _ends(offer: Offer) -> tuple[int, ...]:
    """How it begins and ends, wherever it passes its place."""
    return _turns(offer)[1:]


def _unpaired(a: Offer, b: Offer) -> int:
    """What two lines do not have in common where they begin, end, and pass a place: an end that is
    not the same counts twice, one over or under both signs once, and once if neither is at the
    place itself."""
    (at, *ones), (to, *others) = _turns(a), _turns(b)
    ends = [2 if one != other else is_tip(one) for one, other in zip(ones, others, strict=True)]
    return sum(ends) + (at * to < 0)


def _unlike(a: Sequence[float], b: Sequence[float]) -> float:
    """By how much two lines do not turn alike, in radians, the other way up or not."""
    left, right, further, back = b
    alike = sum([abs(one - other) for one, other in zip(a, b, strict=True)])
    mirror = right, left, back, further
    return min(alike, sum([abs(one - other) for one, other in zip(a, mirror, strict=True)]))


Offers = Single | Pair


def _both(a: Offer, b: Offer, unlike: float = 0.0, ends: float = 0.0) -> Offer:
    return Offer({**a.lines, **b.lines}, a.total + b.total + unlike + ends, unlike, ends)


def _turning(offer: Offer) -> Sequence[float]:
    """By how much either half of a line turns to the left and to the right."""
    (line,) = offer.lines.values()
    first, second = line.halves
    return *first.turns, *second.turns


def passes(
    way: Way, axes: Spot, own: tuple[Box, ...], abreast: bool, gap: Around, catalogue: Catalogue
) -> bool:
    """Whether a line has a course that comes into no sign and not near the counts."""
    boxes = _in_its_way(way, axes, own, gap.boxes)
    clear: dict[Half, bool] = {}
    for one in candidates(way, axes, gap.within, gap.behind, abreast, catalogue):
        if is_mistaken(one.halves, way, axes, catalogue.moves.way):
            continue
        for half in one.halves:
            if half not in clear:
                clear[half] = not is_pinched(half, catalogue) and is_clear(
                    along(half), boxes, catalogue
                )
        if all(clear[half] for half in one.halves):
            return True
    return False


def are_abreast(a: Way, b: Way, within: Mapping[str, float]) -> bool:
    """Whether two hands' lines pass places beside each other."""
    if a.via is None or b.via is None or {a.subject.kind, b.subject.kind} != {"hand"}:
        return False
    across, up = abs(a.via[0] - b.via[0]), abs(a.via[1] - b.via[1])
    return across < within["across"] and up < within["up"]


def mirrored(a: Way, b: Way) -> bool:
    """Whether two limbs move alike from places to places that mirror each other."""
    kinds = (way.subject.kind for way in (a, b))
    forms = a.kind == b.kind == "way" and a.path == b.path and a.part == b.part
    ends = _mirror(a.start, b.start) and _mirror(a.end, b.end)
    return len({*kinds}) == 1 and forms and ends and _facing(a.via, b.via)


def _mirror(a: Limb, b: Limb) -> bool:
    return a.held == b.held and _facing((a.x, a.y), (b.x, b.y))


def _facing(a: Spot | None, b: Spot | None) -> bool:
    if a is None or b is None:
        return a is b
    return abs(a[0] + b[0]) < ROUNDING and abs(a[1] - b[1]) < ROUNDING


def _in_its_way(way: Way, axes: Spot, own: tuple[Box, ...], boxes: Sequence[Box]) -> Sequence[Box]:
    return [box for box in boxes if box not in own and not _is_at(box, way, axes)]


def _is_at(box: Box, way: Way, axes: Spot) -> bool:
    """Whether a box is that of the sign at one of its ends: lines point at their signs."""
    ends = zip((way.start, way.end), axes, strict=True)
    return any(box.overlaps(Box(limb.x + x, limb.y, limb.x + x, limb.y)) for limb, x in ends)
