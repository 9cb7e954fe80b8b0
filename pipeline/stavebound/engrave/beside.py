"""Beside: what the lines of a gap cost beside each other, and which of their offers cost least so.

In: offers, and the lines of other gaps. Out: the cheapest of one beside those that are chosen, or
of two together. Offers are asked the cheapest first, until none can cost less any more.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from itertools import combinations, product, takewhile

from stavebound.drawing.courses import Spot
from stavebound.engrave.offers import OF_FORM, Chosen, Offer, Offers
from stavebound.engrave.way_costs import Costs, Sampled, pair_costs, spots_of
from stavebound.trade.movement import WayLine

Two = tuple[Offer, Offer]
# What a line pays for what it comes into, and where it is not clearly its limb's.
OFFENDING = ("sign", "count", "unclear")


class Beside:
    """What the lines of a gap cost beside each other, each pair of halves reckoned once."""

    def __init__(self, fixed: Iterable[tuple[Spot, ...]], table: WayLine) -> None:
        self._fixed = [(spots_of(spots),) for spots in fixed]
        self._table = table
        self.spared = table.spared
        self._known: dict[tuple[int, int], tuple[float, int]] = {}

    def between(self, a: Offer, b: Offer) -> float:
        pairs = product(a.lines.values(), b.lines.values())
        return sum([sum(self._two(one.halves, other.halves)) for one, other in pairs])

    def conflict(self, offer: Offer, others: Iterable[Offer]) -> float:
        """Of its lines with each other, with all others, and with those of other gaps."""
        lines = offer.lines.values()
        inside = [sum(self._two(a.halves, b.halves)) for a, b in combinations(lines, 2)]
        fixed = [sum(self._two(a.halves, b)) for a, b in product(lines, self._fixed)]
        return sum(inside) + sum(fixed) + sum([self.between(offer, other) for other in others])

    def offends(self, offer: Offer, others: Iterable[Offer]) -> bool:
        """Whether its lines come into signs or numbers, are unclear, run along a line of
        the stave for more than a space, or cross others."""
        lines = [*offer.lines.values()]
        beside = [each.halves for other in others for each in other.lines.values()]
        pairs = [*product([line.halves for line in lines], [*self._fixed, *beside])]
        pairs += combinations([line.halves for line in lines], 2)
        inked = any(line.costs[name] for line in lines for name in OFFENDING)
        stave = self._table.cost["stave"].value
        inked = inked or any(line.costs["stave"] > stave for line in lines)
        return inked or any(self._two(*two)[1] for two in pairs)

    def whole(self, one: Offer, other: Offer, rest: Sequence[Offer]) -> float:
        alone = one.total + other.total + self.between(one, other)
        return alone + self.conflict(one, rest) + self.conflict(other, rest)

    def costs(self, one: Chosen, lines: Iterable[Chosen], offer: Offer) -> Costs:
        """All that a line of an offer costs, beside the others of its gap too."""
        others = [*self._fixed, *(each.halves for each in lines if each is not one)]
        found = [self._two(one.halves, other) for other in others] or [(0.0, 0.0, 0.0)]
        way, cross, tangle = (sum(each) for each in zip(*found, strict=True))
        own = len(offer.lines)
        pair = {"unlike": offer.unlike / own, "ends": offer.ends / own}
        return {**one.costs, **pair, "way": way, "cross": cross, "tangle": tangle}

    def _two(self, a: Sequence[Sampled], b: Sequence[Sampled]) -> tuple[float, float, float]:
        """By running along each other, by crossing, and by crossing again."""
        found = [self._reckoned(x, y) for x, y in product(a, b) if x.box.touches(y.box)]
        if not found:
            return 0.0, 0.0, 0.0
        near, crossed = sum([each[0] for each in found]), sum([each[1] for each in found])
        cost = self._table.cost
        again = cost["tangle"].value * max(crossed - 1, 0)
        return near, cost["cross"].value * crossed, again

    def _reckoned(self, a: Sampled, b: Sampled) -> tuple[float, int]:
        key = (id(a), id(b)) if id(a) < id(b) else (id(b), id(a))
        if key not in self._known:
            self._known[key] = pair_costs(a, b, self._table)
        return self._known[key]


def _beyond_form(offer: Offer) -> float:
    """What its lines cost for where they run, and not for their form."""
    lines = offer.lines.values()
    runs = (run for line in lines for run in line.halves)
    unclear = sum([line.turns["unclear"] for line in lines])
    return unclear + sum([run.total - sum([run.costs[name] for name in OF_FORM]) for run in runs])


def cheapest(offers: Offers, others: Sequence[Offer], beside: Beside) -> Offer:
    """The plainest where it costs little but its form, else the cheapest beside all others."""
    best = offers.plain
    conflict = beside.conflict(best, others)
    if conflict + _beyond_form(best) <= beside.spared:
        return best
    best = _least(offers.calm, best, others, beside)
    if beside.offends(best, others):
        best = _least(offers.all, best, others, beside)
    return best


def _least(offers: Iterable[Offer], best: Offer, others: Sequence[Offer], beside: Beside) -> Offer:
    least = best.total + beside.conflict(best, others)
    for one in offers:
        if one.total >= least:
            break
        cost = one.total + beside.conflict(one, others)
        if cost < least:
            best, least = one, cost
    return best


def cheapest_two(
    a: Offers, b: Offers, rest: Sequence[Offer], chosen: Two, beside: Beside, slack: float
) -> Two:
    """Of all that are not much dearer than the best of either, those that cost least together."""
    best, least = chosen, beside.whole(*chosen, rest)
    for one in _good(a, slack):
        for other in _good(b, slack):
            if one.total + other.total >= least:
                break
            cost = beside.whole(one, other, rest)
            if cost < least:
                best, least = (one, other), cost
    return best


def _good(offers: Offers, slack: float) -> Iterator[Offer]:
    most = offers.all[0].total + slack
    return takewhile(lambda one: one.total <= most, offers.all)
