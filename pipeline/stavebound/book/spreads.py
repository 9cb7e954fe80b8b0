"""Where the pages of a chapter break: the least cost over all of its exercises.

In: the blocks of each exercise with their heights, in every form in which it was laid out, the
side on which the first of them begins, and the setting with its table of costs. Out: pages, with
the place of every block, and what each costs by name. It always holds that blocks are whole and
keep their order, but that words may all stand before the staves, and that a page which keeps to
all laws is taken where there is one.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from functools import cached_property
from operator import attrgetter

from stavebound.book.blocks import (
    CLOSEST,
    EXACT,
    FACING,
    LAW,
    LEFT,
    RIGHT,
    Block,
    Costs,
    PlannedExercise,
    PlannedPage,
    Spreads,
    shared,
    stood,
)
from stavebound.book.facing import ordered, orders
from stavebound.book.margin_column import with_column


def plan_chapter(
    exercises: Sequence[Sequence[Sequence[Block]]], first: int, setting: Spreads
) -> tuple[PlannedExercise, ...]:
    """The cheapest pages of exercises that follow each other, each in one of the forms in which it
    was laid out; `first` is the index, in the chapter, of the page on which they begin."""
    best: dict[int, tuple[float, tuple[PlannedExercise, ...]]] = {first % 2: (0.0, ())}
    for number, forms in enumerate(exercises, 1):
        planners = _Planners(setting, last=number == len(exercises))
        then: dict[int, tuple[float, tuple[PlannedExercise, ...]]] = {}
        for side, (cost, before) in best.items():
            for plan in _in_forms(forms, side, planners):
                whole, ends = cost + plan.cost, (side + plan.taken) % 2
                if ends not in then or whole < then[ends][0]:
                    then[ends] = whole, (*before, plan)
        best = then
    return min(best.values(), key=lambda kept: kept[0])[1]


class _Planners:
    """Of one exercise, whose blocks may stand in several orders; what was reckoned for one
    side holds for the other."""

    def __init__(self, setting: Spreads, *, last: bool) -> None:
        self.setting, self._last = setting, last
        self._made: dict[tuple[Block, ...], _Planner] = {}
        self._ways: dict[tuple[tuple[Block, ...], int], tuple[PlannedExercise, ...]] = {}

    def ways(self, blocks: tuple[Block, ...], side: int) -> tuple[PlannedExercise, ...]:
        key = blocks, side
        if key not in self._ways:
            self._ways[key] = tuple(_ways(blocks, side, self))
        return self._ways[key]

    def of(self, blocks: tuple[Block, ...]) -> _Planner:
        if blocks not in self._made:
            self._made[blocks] = _Planner(blocks, self.setting, last=self._last)
        return self._made[blocks]


def _in_forms(
    forms: Sequence[Sequence[Block]], side: int, planners: _Planners
) -> Iterator[PlannedExercise]:
    for form, blocks in enumerate(forms):
        for plan in _plans(blocks, side, planners):
            whole = replace(plan, form=form, forms=tuple(map(tuple, forms)))
            yield _margin_left_empty(whole, planners.setting) if form else whole


def _margin_left_empty(plan: PlannedExercise, setting: Spreads) -> PlannedExercise:
    """The plan of an exercise that leaves its margin column empty, for what that costs on the
    page of all of it."""
    if len(plan.pages) > 1:
        return plan
    name = "margin left empty"
    (page,) = plan.pages
    return replace(plan, pages=(page.costing((name, setting.costs[name])),))


def _plans(blocks: Sequence[Block], side: int, planners: _Planners) -> tuple[PlannedExercise, ...]:
    """Ways to make up an exercise: with a margin column where that has room for what stands in
    it, and with titles on the page of what they are over, where that can be."""
    main = tuple(block for block in blocks if not block.beside)
    column = tuple(block for block in blocks if block.beside)
    setting, ways = planners.setting, planners.ways(main, side)
    found = tuple(with_column(plan, main, column, setting) for plan in ways)
    if kept := tuple(plan for plan in found if plan):
        return kept
    loose = tuple(replace(block, kept=False) for block in main)
    ways = planners.ways(loose, side)
    return tuple(with_column(plan, main, column, setting, whatever=True) or plan for plan in ways)


def _ways(blocks: tuple[Block, ...], side: int, planners: _Planners) -> Iterator[PlannedExercise]:
    """In the order of the blocks, and with all staves on the right page; on the right side
    behind an empty page too."""
    yield from planners.of(blocks).plans(side)
    if side == LEFT:
        if planners.setting.facing:
            yield from _words_left(blocks, planners)
        return
    empty = ("empty page", planners.setting.costs["empty page"])
    for plan in planners.ways(blocks, LEFT):
        head, *others = plan.pages
        yield replace(plan, pages=(head.costing(empty), *others), after_empty=True)


def _words_left(blocks: tuple[Block, ...], planners: _Planners) -> Iterator[PlannedExercise]:
    for order in orders(blocks):
        planner = planners.of(ordered(blocks, order, planners.setting.half))
        if pages := planner.words_left(order[1]):
            yield PlannedExercise(pages, order=order[0])


@dataclass(frozen=True, slots=True)
class _Costed:
    """A page, what it costs by itself, and that in all."""

    page: PlannedPage
    costs: Costs
    cost: float

    @property
    def told(self) -> PlannedPage:
        """The page with its costs."""
        return self.page.costing(*self.costs)


@dataclass(frozen=True, slots=True)
class _Opening:
    """Two facing pages, and what they cost; `uneven` is the part of it that is for their
    unlike ends."""

    cost: float
    left: _Costed
    right: _Costed
    uneven: float


class _Planner:
    """The pages of one exercise."""

    def __init__(self, blocks: tuple[Block, ...], setting: Spreads, *, last: bool) -> None:
        self._blocks, self._setting, self._last = blocks, setting, last
        self._stood: dict[tuple[int, int], tuple[tuple[float, ...], tuple[float, ...]]] = {}
        self._pages: dict[tuple[int, int, int, int, bool], _Costed | None] = {}
        self._partings: dict[tuple[int, int], Costs] = {}
        self._rest: dict[tuple[int, int], tuple[PlannedPage, ...] | None] = {}

    def plans(self, side: int) -> Iterator[PlannedExercise]:
        """For each number of pages that may be wise the cheapest ones. An exercise of two pages
        opens on the left, if need be behind an empty page."""
        if one := self._cheapest(0, len(self._blocks), side):
            yield PlannedExercise((one,))
        if side == LEFT:
            two = self._facing(0, len(self._blocks))
            if two:
                yield PlannedExercise(two)
            if (two is None or self._unlawful(two)) and (many := self._from(0, LEFT)):
                yield PlannedExercise(many)
            return
        if many := self._from(0, RIGHT):
            yield PlannedExercise(many)

    def words_left(self, middle: int) -> tuple[PlannedPage, ...] | None:
        """Two facing pages, the right one of which begins with all staves: these share the
        page's white where nothing stands under them."""
        alone = all(block.staves for block in self._blocks[middle:])
        cheapest = self._opening(0, [middle], len(self._blocks), sharing=alone)
        if cheapest is None:
            return None
        left, right = self._opened(cheapest)
        costs, measures = self._setting.costs, self._setting.measures
        own = [] if alone else [("words under staves", costs["words under staves"])]
        if left.end < measures["least words"] * self._setting.depth:
            own.append(("few words", costs["few words"]))
        if self._list_round_staves(middle):
            own.append(("list round staves", costs["list round staves"]))
        return left, right.costing(*own)

    def _unlawful(self, pages: tuple[PlannedPage, ...]) -> bool:
        """Whether a law is broken, so that it may be better to turn a page."""
        costs = self._setting.costs
        return any(value >= costs[LAW] for page in pages for _, value in page.costs)

    @cached_property
    def _ends(self) -> tuple[int, ...]:
        """Where a page may end: before which blocks."""
        kept = (at for at, block in enumerate(self._blocks[:-1], 1) if not block.kept)
        return (*kept, len(self._blocks))

    def _cheapest(self, start: int, end: int, side: int) -> PlannedPage | None:
        """The cheapest page of these blocks."""
        found = (self._page(start, end, more, side) for more in self._spacings)
        cheapest = min((own for own in found if own), key=_cost, default=None)
        return cheapest.told if cheapest else None

    @property
    def _spacings(self) -> range:
        """Half lines that may be added round staves, or taken away."""
        return range(-CLOSEST, int(self._setting.measures["most spread out"]) + 1)

    def _facing(self, start: int, end: int) -> tuple[PlannedPage, ...] | None:
        """The cheapest two facing pages, with one white between staves on both."""
        first = start + self._held(start)
        middles = [at for at in self._ends if start < at < end and at <= first]
        cheapest = self._opening(start, [at for at in middles if at + self._held(at) >= end], end)
        return self._opened(cheapest) if cheapest else None

    def _held(self, start: int) -> int:
        """How many blocks a page holds at the most."""
        return len(self._stand(start, -CLOSEST)[0])

    def _opening(
        self, start: int, middles: Sequence[int], end: int, *, sharing: bool = False
    ) -> _Opening | None:
        """The cheapest two facing pages, the right one of which begins at one of these blocks."""
        closes = end == len(self._blocks) and self._last
        costs, depth = self._setting.costs, self._setting.depth
        best: _Opening | None = None
        for middle in middles:
            parted = sum(value for _, value in self._parted(start, middle))
            if best and parted + costs["page"] * FACING >= best.cost:
                continue
            for more in self._spacings:
                left = self._page(start, middle, more, LEFT)
                if left is None:
                    # What is too high stays so with more white.
                    break
                if best and parted + left.cost >= best.cost:
                    continue
                right = self._page(middle, end, more, RIGHT, sharing=sharing)
                if right is None:
                    break
                alone = left.cost + right.cost + parted
                apart = (left.page.end - right.page.end) / depth
                uneven = 0.0 if closes else costs["uneven"] * apart**2
                if best is None or alone + uneven < best.cost:
                    best = _Opening(alone + uneven, left, right, uneven)
        return best

    def _opened(self, opening: _Opening) -> tuple[PlannedPage, PlannedPage]:
        """Its pages; the left one has what the two cost together."""
        left, right = opening.left.told, opening.right.told
        own = self._parted(left.start, right.start)
        return left.costing(*own, ("uneven", opening.uneven)), right

    def _parted(self, start: int, middle: int) -> Costs:
        """What it costs that an opening's right page begins at that block."""
        key = start, middle
        if key not in self._partings:
            costs, own = self._setting.costs, self._opening_parted(middle)
            if self._one_list(middle):
                own.append(("list parted", costs["list parted"]))
            if any(block.staves for block in self._blocks[start:middle]):
                own += self._behind_staves(middle)
            self._partings[key] = tuple(own)
        return self._partings[key]

    def _from(self, start: int, side: int) -> tuple[PlannedPage, ...] | None:
        """The cheapest pages from a block on, with turns; None where one block is too high."""
        key = start, side
        if key not in self._rest:
            self._rest[key] = None
            found = list(self._onwards(start, side))
            self._rest[key] = min(found, key=_whole, default=None)
        return self._rest[key]

    def _onwards(self, start: int, side: int) -> Iterator[tuple[PlannedPage, ...]]:
        whole = len(self._blocks)
        if start and (page := self._cheapest(start, whole, side)):
            yield (page,)
        if side == LEFT and start and (two := self._facing(start, whole)):
            yield two
        for end in (at for at in self._ends if start < at < whole):
            pages = self._before_turn(start, end, side)
            if pages and (rest := self._after(end, whole, first=start == 0 and side == RIGHT)):
                yield (*pages[:-1], self._turned(pages[-1], end), *rest)

    def _after(self, end: int, whole: int, *, first: bool) -> tuple[PlannedPage, ...] | None:
        """The pages behind a turn; behind the first page alone an opening, since an exercise
        of two pages lies open."""
        rest = self._from(end, LEFT)
        if first and rest and len(rest) < FACING:
            return self._facing(end, whole)
        return rest

    def _before_turn(self, start: int, end: int, side: int) -> tuple[PlannedPage, ...] | None:
        if side == LEFT:
            return self._facing(start, end)
        page = self._cheapest(start, end, side)
        return (page,) if page else None

    def _turned(self, page: PlannedPage, end: int) -> PlannedPage:
        costs = self._setting.costs
        own = [("turn", costs["turn"]), *self._opening_parted(end)]
        if self._one_list(end):
            own.append(("list over the turn", costs["list over the turn"]))
        if self._blocks[end].staves and self._blocks[end - 1].staves:
            own.append(("staves over the turn", costs["staves over the turn"]))
        return page.costing(*own)

    def _one_list(self, at: int) -> bool:
        return self._blocks[at].group == self._blocks[at - 1].group != 0

    def _list_round_staves(self, middle: int) -> bool:
        """Whether a list goes on under the staves that begin there."""
        below = next((block for block in self._blocks[middle:] if not block.staves), None)
        return below is not None and below.group == self._blocks[middle - 1].group != 0

    def _opening_parted(self, at: int) -> list[tuple[str, float]]:
        if any(block.staves for block in self._blocks[:at]) or self._blocks[at].staves:
            return []
        if not any(block.staves for block in self._blocks):
            return []
        return [("opening parted", self._setting.costs["opening parted"])]

    def _behind_staves(self, at: int) -> list[tuple[str, float]]:
        """What it costs that a page goes on from there which has staves."""
        goes_on = any(block.staves for block in self._blocks[at:])
        name = "staves parted" if goes_on else "staves before words"
        return [(name, self._setting.costs[name])]

    def _page(
        self, start: int, end: int, more: int, side: int, *, sharing: bool = False
    ) -> _Costed | None:
        """The page of these blocks with what it costs by itself; None where it is too high."""
        key = start, end, more, side, sharing
        if key not in self._pages:
            page = self._standing(start, end, more)
            if page and sharing:
                page = shared(self._blocks[start:end], start, self._setting)
            self._pages[key] = self._costed(page, end, more, side) if page else None
        return self._pages[key]

    def _standing(self, start: int, end: int, more: int) -> PlannedPage | None:
        places, ends = self._stand(start, more)
        count = end - start
        return PlannedPage(start, places[:count], ends[count - 1]) if count <= len(ends) else None

    def _stand(self, start: int, more: int) -> tuple[tuple[float, ...], tuple[float, ...]]:
        """Where the blocks from one on begin and end, as many as a page holds."""
        key = start, more
        if key not in self._stood:
            self._stood[key] = stood(self._blocks, start, more, self._setting)
        return self._stood[key]

    def _costed(self, page: PlannedPage, end: int, more: int, side: int) -> _Costed:
        setting, costs = self._setting, self._setting.costs
        last = self._last and end == len(self._blocks)
        empty = max(0.0, 1 - page.end / setting.depth)
        white = "white at the end" if last else "white"
        found = [("page", costs["page"]), (white, costs[white] * empty**2)]
        if more > 0:
            found.append(("spread out", costs["spread out"] * more**2))
        if more < 0:
            found.append(("set close", costs["set close"] * more**2))
        few = ("few lines at the end", "least last page") if last else ("few lines", "least page")
        if page.end < setting.measures[few[1]] * setting.leading - EXACT:
            found.append((few[0], costs[few[0]]))
        if side == RIGHT and self._single(page):
            found.append(("single staves", costs["single staves"]))
        return _Costed(page, tuple(found), sum(value for _, value in found))

    def _single(self, page: PlannedPage) -> bool:
        """Whether one system alone goes on from the page before, with text under it."""
        own = self._blocks[page.start : page.start + len(page.places)]
        begun = own[0].staves and page.start > 0
        return begun and sum(block.staves for block in own) == 1 < len(own)


_cost = attrgetter("cost")


def _whole(pages: Sequence[PlannedPage]) -> float:
    return sum(page.cost for page in pages)
