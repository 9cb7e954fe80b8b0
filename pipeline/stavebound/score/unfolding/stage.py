"""Stage: what a passage can look back on, and how what was danced is danced once more.

In: pieces on their way. Out: the same pieces as they are used in another place. An
identity stays with the phrase or the bar that was written with it; what is danced
again has none.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, replace

from stavebound.diagnostics import Span
from stavebound.score.model import Division, Music, Side
from stavebound.score.unfolding.values import Steps, UnfoldedPhrase
from stavebound.source.document import Element, used

UnfoldedPhrases = tuple[UnfoldedPhrase, ...]


@dataclass(frozen=True, slots=True)
class Stage:
    """What a passage can look back on: all danced before it, and the score's own words."""

    steps: Steps
    music: Music | None = None
    working: Side | None = None
    start: Element | None = None
    upbeat: UnfoldedPhrase | None = None
    danced: UnfoldedPhrases = ()

    @property
    def division(self) -> Division:
        return (self.music.division if self.music else None) or Division.HALVES

    def after(self, pieces: UnfoldedPhrases) -> Stage:
        return replace(self, danced=self.danced + pieces)


def once_more(pieces: Iterable[UnfoldedPhrase], use: Span) -> UnfoldedPhrases:
    """Pieces danced again: as used there, and without their identities."""
    use = replace(use, again=True)
    return tuple(
        replace(
            piece,
            element=_anonymous(used(piece.element, use)),
            frames=tuple(replace(one, frame=used(one.frame, use)) for one in piece.frames),
            bars=tuple(_anonymous(used(bar, use)) for bar in piece.bars),
            phrasings=tuple(used(one, use) for one in piece.phrasings),
        )
        for piece in pieces
    )


def _anonymous(element: Element) -> Element:
    return replace(element, attributes=tuple(one for one in element.attributes if one.name != "id"))
