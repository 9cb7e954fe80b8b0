"""Staves that are smaller where this saves their exercise a second page.

In: a manuscript with its exercises made up into pages in the usual size, and the reader's key. Out:
the manuscript with those exercises in the next smaller size that are one page then. Words are not
set anew to find them: their blocks are planned round staves of other heights.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
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
from stavebound.engrave.style import Setting
from stavebound.press.values import Pressed
from stavebound.workers import silent, workers, worth


@dataclass(frozen=True, slots=True)
class PlannedRoom:
    """Whether an exercise is one page with lines of such heights, in millimetres."""

    planned: PlannedExercise
    spreads: Spreads

    def __call__(self, heights: Sequence[float]) -> bool:
        points = tuple(height * POINTS for height in heights)
        forms = [with_staves(blocks, points) for blocks in self.planned.forms]
        (plan,) = plan_chapter([forms], LEFT, self.spreads)
        return len(plan.pages) == 1


@dataclass(frozen=True, slots=True)
class _Resizer:
    """Engraves pieces of a manuscript in these sizes, the largest first."""

    manuscript: Manuscript
    sizes: tuple[Setting, ...]

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
            Sizes(self.sizes, PlannedRoom(planned, spreads(own))),
        )
        if outcome.value is None or has_errors(outcome.diagnostics):
            return piece
        inked = inked_of(outcome.value, own.setting.catalogue)
        return replace(piece, lines=inked.lines, form=inked.form, features=inked.features)


def on_one_page(manuscript: Manuscript, parts: Sequence[Pressed], jobs: int) -> Manuscript:
    """Exercises that are more than a page in the usual size in the next smaller one, where their
    chapter has them on one page then. The manuscript itself where there are none."""
    usual = manuscript.setting.style.stave_height
    sizes = [size for size in manuscript.sizes if size.style.stave_height < usual][:1]
    room = spreads(manuscript)
    given = tuple(
        (path, planned)
        for path, planned in (with_paths(manuscript, parts) if sizes else ())
        if len(planned.pages) > 1
        and PlannedRoom(planned, room)(_lower(planned, sizes[0].style.stave_height / usual))
    )
    if not given:
        return manuscript
    resized = _resized(manuscript, tuple(sizes), given, jobs)
    return _back(manuscript, resized, dict(_chapters(manuscript, parts)))


def _lower(planned: PlannedExercise, ratio: float) -> list[float]:
    """How high its lines may be in a size that is smaller by that, in millimetres: they are lower,
    and hold so much more."""
    heights = (block.height for block in planned.forms[0] if block.staves)
    return [height / POINTS * ratio**2 for height in heights]


def _chapters(
    manuscript: Manuscript, parts: Sequence[Pressed]
) -> Iterator[tuple[Pressed, tuple[str, ...]]]:
    """Each part with the paths of its exercises."""
    paths = (path for path, _ in manuscript.pieces)
    for part in parts:
        yield part, tuple(next(paths) for planned in part.planned if has_staves(planned))


def _back(
    manuscript: Manuscript, resized: Manuscript, chapters: Mapping[Pressed, tuple[str, ...]]
) -> Manuscript:
    """The manuscript with those pieces alone in their other size that are one page then."""
    own, other = dict(manuscript.pieces), dict(resized.pieces)
    for part, paths in chapters.items():
        while (changed := {path for path in paths if other[path] is not own[path]}) and (
            more := changed & _more_than_a_page(part, paths, other, manuscript)
        ):
            other |= {path: own[path] for path in more}
    if all(other[path] is own[path] for path in own):
        return manuscript
    return replace(manuscript, pieces=tuple(other.items()))


def _more_than_a_page(
    part: Pressed, paths: Sequence[str], pieces: Mapping[str, Piece], manuscript: Manuscript
) -> set[str]:
    """Which exercises of a chapter are that with these pieces."""
    facing = any(section.facing for section in manuscript.edition.body)
    named = iter(paths)
    names = [next(named) if has_staves(planned) else "" for planned in part.planned]
    exercises = [
        [with_staves(blocks, _points(pieces[name])) if name else blocks for blocks in planned.forms]
        for name, planned in zip(names, part.planned, strict=True)
    ]
    first = part.pages - sum(planned.taken for planned in part.planned)
    plans = plan_chapter(exercises, first, replace(spreads(manuscript), facing=facing))
    return {name for name, plan in zip(names, plans, strict=True) if len(plan.pages) > 1}


def _points(piece: Piece) -> tuple[float, ...]:
    return tuple(line.height * POINTS for line in piece.lines)


def _resized(
    manuscript: Manuscript,
    sizes: tuple[Setting, ...],
    given: Iterable[tuple[str, PlannedExercise]],
    jobs: int,
) -> Manuscript:
    tasks = [(path, (path, planned)) for path, planned in given]
    with workers(_Resizer(manuscript, sizes), worth(jobs, len(tasks))) as do:
        pieces = do(tasks, silent)
    found = dict(zip((path for path, _ in tasks), pieces, strict=True))
    every = tuple((path, found.get(path, piece)) for path, piece in manuscript.pieces)
    return replace(manuscript, pieces=every)


def with_paths(
    manuscript: Manuscript, parts: Iterable[Pressed]
) -> Iterator[tuple[str, PlannedExercise]]:
    """The path of each exercise, and how it is made up."""
    plans = (planned for part in parts for planned in part.planned if has_staves(planned))
    return zip((path for path, _ in manuscript.pieces), plans, strict=True)


def has_staves(planned: PlannedExercise) -> bool:
    """Whether it is an exercise, not words alone."""
    return any(block.staves for blocks in planned.forms for block in blocks)
