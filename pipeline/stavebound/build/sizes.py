"""Staves as large as their page has room for.

In: a manuscript whose edition has larger staves than the usual, its exercises made up into pages
in the usual size, and the reader's key. Out: the manuscript with each exercise in the largest size
in which it is one page; what is more in every size keeps the usual one. Words are not set anew to
find it: their blocks are planned round staves of other heights.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, replace

from stavebound.book.blocks import LEFT, PlannedExercise, Spreads
from stavebound.book.common import spreads
from stavebound.book.facing import with_staves
from stavebound.book.grid import POINTS
from stavebound.book.spreads import plan_chapter
from stavebound.book.values import Manuscript, Piece
from stavebound.build.manuscripts import inked_of
from stavebound.build.on_paper import Sizes, score_on_paper
from stavebound.diagnostics import has_errors
from stavebound.press.values import Pressed
from stavebound.workers import silent, workers, worth


@dataclass(frozen=True, slots=True)
class _Room:
    """Whether an exercise is one page with lines of such heights, in millimetres."""

    planned: PlannedExercise
    spreads: Spreads

    def __call__(self, heights: Sequence[float]) -> bool:
        points = tuple(height * POINTS for height in heights)
        forms = [with_staves(blocks, points) for blocks in self.planned.forms]
        (plan,) = plan_chapter([forms], LEFT, self.spreads)
        return len(plan.pages) == 1


@dataclass(frozen=True, slots=True)
class _Enlarger:
    """Engraves pieces of a manuscript in the sizes that it has."""

    manuscript: Manuscript

    def __call__(self, given: tuple[str, PlannedExercise]) -> Piece:
        """Its piece as it was where it is not proved in another size."""
        path, planned = given
        own, piece = self.manuscript, self.manuscript.piece(path)
        item = next(item for item in own.plan.exercises if item.score == path)
        outcome = score_on_paper(
            piece.score,
            piece.school.name,
            own.paper,
            own.setting,
            own.key,
            own.plan.repeats_of(item),
            Sizes(own.sizes, _Room(planned, spreads(own))),
        )
        if outcome.value is None or has_errors(outcome.diagnostics):
            return piece
        inked = inked_of(outcome.value, own.setting.catalogue)
        return replace(piece, lines=inked.lines, form=inked.form, features=inked.features)


def has_larger(manuscript: Manuscript) -> bool:
    """Whether staves may be larger than the usual ones."""
    usual = manuscript.setting.style.stave_height
    return any(size.style.stave_height > usual for size in manuscript.sizes)


def enlarged(manuscript: Manuscript, parts: Iterable[Pressed], jobs: int) -> Manuscript:
    """`parts` hold all pieces of the manuscript, in their order, with their staves."""
    paths = (path for path, _ in manuscript.pieces)
    given = tuple(zip(paths, _with_staves(parts), strict=True))
    with workers(_Enlarger(manuscript), worth(jobs, len(given))) as do:
        pieces = do(((path, (path, planned)) for path, planned in given), silent)
    named = zip((path for path, _ in given), pieces, strict=True)
    return replace(manuscript, pieces=tuple(named))


def _with_staves(parts: Iterable[Pressed]) -> Iterator[PlannedExercise]:
    for part in parts:
        for planned in part.planned:
            if has_staves(planned):
                yield planned


def has_staves(planned: PlannedExercise) -> bool:
    """Whether it is an exercise, not words alone."""
    return any(block.staves for blocks in planned.forms for block in blocks)
