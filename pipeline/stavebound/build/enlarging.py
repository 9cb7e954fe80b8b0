"""Staves as large as their page has room for.

In: a manuscript whose edition has larger staves than the usual, with pieces that have no lines yet,
its exercises made up into pages round staves that take no room, and the reader's key. Out: the
manuscript with each exercise engraved, once, in the largest size in which it is one page; what is
more in every size has the usual one. Words are not set anew to find it: their blocks are planned
round staves of other heights.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, replace

from stavebound.book.blocks import PlannedExercise
from stavebound.book.common import spreads
from stavebound.book.values import Manuscript, Piece
from stavebound.build.manuscripts import inked_of, larger_than_usual, with_ink
from stavebound.build.on_paper import Sizes, danced_by, danced_on_paper
from stavebound.build.sizes import PlannedRoom, with_paths
from stavebound.dance.danced import Danced
from stavebound.diagnostics import Outcome, has_errors
from stavebound.press.values import Pressed
from stavebound.proof.lines import OnPaper
from stavebound.workers import silent, workers, worth


@dataclass(frozen=True, slots=True)
class _Enlarger:
    """Engraves pieces of a manuscript in the sizes that it has."""

    manuscript: Manuscript

    def __call__(self, given: tuple[str, PlannedExercise]) -> Outcome[Piece]:
        """In the usual size where it is not proved in another."""
        path, planned = given
        own, piece = self.manuscript, self.manuscript.piece(path)
        danced = danced_by(piece.score, piece.school.name, own.setting.catalogue)
        sizes = Sizes(own.sizes, PlannedRoom(planned, spreads(own)))
        made = self._made(path, danced, sizes)
        if has_errors(made.diagnostics):
            made = self._made(path, danced, None)
        if made.value is None:
            return Outcome(None, made.diagnostics)
        return Outcome(
            with_ink(piece, inked_of(made.value, own.setting.catalogue)), made.diagnostics
        )

    def _made(self, path: str, danced: Danced, sizes: Sizes | None) -> Outcome[OnPaper]:
        own = self.manuscript
        item = next(item for item in own.plan.exercises if item.score == path)
        repeats = own.plan.repeats_of(item)
        return danced_on_paper(danced, own.paper, own.setting, own.key, repeats, sizes)


def has_larger(manuscript: Manuscript) -> bool:
    """Whether its pieces have no lines yet, since their staves may be larger than the usual."""
    return larger_than_usual(manuscript.setting, manuscript.sizes)


def enlarged(manuscript: Manuscript, parts: Iterable[Pressed], jobs: int) -> Outcome[Manuscript]:
    """`parts` hold all pieces of the manuscript, in their order."""
    given = tuple(with_paths(manuscript, parts))
    with workers(_Enlarger(manuscript), worth(jobs, len(given))) as do:
        made = do(((path, (path, planned)) for path, planned in given), silent)
    faults = tuple(fault for outcome in made for fault in outcome.diagnostics)
    named = zip((path for path, _ in given), made, strict=True)
    pieces = tuple((path, outcome.value) for path, outcome in named if outcome.value)
    return Outcome(None if has_errors(faults) else replace(manuscript, pieces=pieces), faults)
