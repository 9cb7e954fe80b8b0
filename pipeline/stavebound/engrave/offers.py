"""Offers: the courses that a line may take with what each costs, or two limbs' lines as one.

In: ways between their axes, with the signs and lines beside them. Out: offers, the plainest asked
first what it costs. Limbs that move alike from places to places that mirror each other are one
offer: on a stave time goes to the right for both, so their lines do not mirror each other across.
Instead both turn alike, as if one were the other drawn out, or from each other, up and down.

      ▬──╮            ▬       ▬  ╭──────╮  ▬
       ▬ ╰──────╮  ▬           ▬ ╰──────╯
            ╰──────╯                            alike, and from each other
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from itertools import product
from operator import attrgetter
from typing import NamedTuple

from stavebound.drawing.courses import Half, Spot, along
from stavebound.engrave.candidates import PLAIN, ROUNDING, Candidate, Turns, candidates
from stavebound.engrave.way_costs import Costs, Sampled, kink, run_of
from stavebound.engrave.ways import Limb, Way
from stavebound.geometry import Box
from stavebound.trade.catalogue import Catalogue
from stavebound.trade.movement import WayLine

# What the plainest course costs by its form.
OF_FORM = ("length", "turned", "tense")


# So many of the best of either limb are tried where they cannot go together.
UNTIED = 16


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
    """Lines by their numbers in the gap, and what each costs by itself, in all; `unlike`:
    for not turning alike."""

    lines: Lines
    total: float
    unlike: float = 0.0


class Around(NamedTuple):
    """What lines of a gap go by: the boxes of signs, the spots of lines beside them and where the
    last of weight ends, and the edges of the stave."""

    boxes: tuple[Box, ...]
    beside: tuple[tuple[Spot, ...], ...]
    behind: float
    within: tuple[float, float]


class Single:
    """The candidates of a line; the plainest is asked first what it costs. What goes straight
    `bends` round signs alone, or where the limb with which it goes does."""

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
        self._left = iter(candidates(way, axes, gap.within, gap.behind, abreast, catalogue))
        self._catalogue = catalogue
        self._boxes = [box for box in gap.boxes if box not in own and not _is_at(box, way, axes)]
        self._runs: dict[Half, Sampled] = {}
        self.plain = self._offer(next(self._left))
        (line,) = self.plain.lines.values()
        self.bends = not way.straight or line.costs["sign"] > 0
        self._all: Sequence[Offer] = ()

    @property
    def all(self) -> Sequence[Offer]:
        """The cheapest first."""
        if not self._all:
            self._all = sorted(self._ask(), key=attrgetter("total"))
        return self._all

    def _ask(self) -> Iterator[Offer]:
        yield self.plain
        for one in self._left:
            if self.bends or one.turns[1] == one.turns[3]:
                yield self._offer(one)

    def _offer(self, one: Candidate) -> Offer:
        runs = self._run(one.halves[0]), self._run(one.halves[1])
        cost = self._catalogue.moves.way.cost
        turns = {"bend": cost["bend"].value * one.bend}
        turns["kink"] = cost["kink"].value * kink(*one.halves) if one.bend else 0.0
        total = runs[0].total + runs[1].total + sum(turns.values())
        return Offer({self._at: Chosen(one, runs, turns)}, total)

    def _run(self, half: Half) -> Sampled:
        if half not in self._runs:
            self._runs[half] = run_of(along(half), self._boxes, self._catalogue)
        return self._runs[half]


class Pair:
    """The candidates of two limbs that go together."""

    def __init__(self, one: Single, other: Single, table: WayLine) -> None:
        one.bends = other.bends = one.bends or other.bends
        self._two = one, other
        self._unlike = table.cost["unlike"].value
        self.plain = _both(one.plain, other.plain)
        self._all: Sequence[Offer] = ()

    @property
    def all(self) -> Sequence[Offer]:
        """The cheapest first."""
        if not self._all:
            self._all = sorted(self._tried(), key=attrgetter("total"))
            if any(line.costs["sign"] for line in self._all[0].lines.values()):
                self._all = sorted([*self._all, *self._untied()], key=attrgetter("total"))
        return self._all

    def _untied(self) -> Iterator[Offer]:
        """Where both come into signs as long as they go together, the best of either."""
        for one, other in product(*[each.all[:UNTIED] for each in self._two]):
            yield _both(one, other, self._unlike * len(PLAIN))

    def _tried(self) -> Iterator[Offer]:
        """At each end, and in the middle, both turn by as many steps."""
        one, other = self._two
        others: dict[Turns, list[tuple[Turns, Offer]]] = {}
        for offer in other.all:
            turns = _turns(offer)
            others.setdefault(_steps(turns), []).append((turns, offer))
        for offer in one.all:
            turns = _turns(offer)
            for against, each in others.get(_steps(turns), ()):
                apart = sum([a != b for a, b in zip(turns[1:], against[1:], strict=True)])
                yield _both(offer, each, self._unlike * apart)


Offers = Single | Pair


def _both(a: Offer, b: Offer, unlike: float = 0.0) -> Offer:
    return Offer({**a.lines, **b.lines}, a.total + b.total + unlike, unlike)


def _turns(offer: Offer) -> Turns:
    (line,) = offer.lines.values()
    return line.one.turns


def _steps(turns: Turns) -> Turns:
    at, one, passing, other = turns
    return abs(at), abs(one), abs(passing), abs(other)


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


def _is_at(box: Box, way: Way, axes: Spot) -> bool:
    """Whether a box is that of the sign at one of its ends: lines point at their signs."""
    ends = zip((way.start, way.end), axes, strict=True)
    return any(box.overlaps(Box(limb.x + x, limb.y, limb.x + x, limb.y)) for limb, x in ends)
