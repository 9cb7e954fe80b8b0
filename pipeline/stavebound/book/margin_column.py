"""The margin column of planned pages: what stands there, and from where on.

In: a plan of an exercise's text and staves, and the blocks of its margin column. Out: the plan
with the places of these blocks. It always holds that they keep their order.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import replace

from stavebound.book.blocks import EXACT, Block, PlannedExercise, PlannedPage, Spreads


def with_column(
    plan: PlannedExercise,
    main: Sequence[Block],
    column: Sequence[Block],
    setting: Spreads,
    *,
    whatever: bool = False,
) -> PlannedExercise | None:
    """The plan with the blocks of the margin column from the first staves of each page on, or
    if that is too low from its top on; where words have a page for themselves, they have its
    column too only then. None where they find no room. What finds none `whatever`
    is done goes on below the last page's edge, where the press refuses it."""
    stand = tuple(main[at] for at in plan.order) or main
    for from_staves in (True, False):
        at, pages = 0, []
        for page in plan.pages:
            none = setting.depth if plan.order else 0.0
            top = _first_staves(page, stand, none) if from_staves else 0.0
            final = whatever and page is plan.pages[-1]
            places = tuple(_stacked(column[at:], top, setting, all_of_them=final))
            pages.append(replace(page, beside=places))
            at += len(places)
        if at == len(column):
            return replace(plan, pages=tuple(pages))
    return None


def _first_staves(page: PlannedPage, main: Sequence[Block], none: float) -> float:
    own = zip(page.places, main[page.start :], strict=False)
    return next((place for place, block in own if block.staves), none)


def _stacked(
    column: Sequence[Block], top: float, setting: Spreads, *, all_of_them: bool
) -> Iterator[float]:
    """Places of as many blocks as there is room for below `top`."""
    at = top
    for number, block in enumerate(column):
        at += block.before if number else 0.0
        if at + block.height > setting.depth + EXACT and not all_of_them:
            return
        yield at
        at += block.height
