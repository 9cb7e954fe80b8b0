"""Steps that stand in the titles of exercises.

In: a `Manuscript`. Out: by headword, the anchors of the exercises whose titles name it. A title
names the longest words that it has: “Grands jetés” is a grand jeté and no jeté.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass

from stavebound.book.common import exercise_anchor, line_anchor
from stavebound.book.headwords import Headword, filed
from stavebound.book.references import steps_named
from stavebound.book.values import Manuscript, Piece
from stavebound.wording.filing import filings

# The words of a name without their endings, by each language.
Stems = tuple[frozenset[str], ...]


@dataclass(frozen=True, slots=True)
class _Name:
    """A name of a step, and the headword under which it stands."""

    head: Headword
    stems: Stems

    def within(self, title: Stems) -> bool:
        """Whether all its words are in a title."""
        return any(own <= words for own, words in zip(self.stems, title, strict=True))

    def shorter_than(self, other: _Name) -> bool:
        return any(own < words for own, words in zip(self.stems, other.stems, strict=True))


def titled_steps(manuscript: Manuscript) -> Mapping[Headword, tuple[str, ...]]:
    """The anchors of each exercise, and of its lines, by the headwords in its title."""
    names, found = tuple(_names(manuscript)), dict[Headword, tuple[str, ...]]()
    for _, piece in manuscript.pieces:
        for head in _named(_stems(piece.score.title), names):
            found[head] = (*found.get(head, ()), *_anchors(piece))
    return found


def _names(manuscript: Manuscript) -> Iterator[_Name]:
    glossary, filing = manuscript.plan.glossary, filings()[manuscript.language]
    steps = (step.written for step in steps_named(manuscript).values())
    names = dict.fromkeys((*(entry.term for entry in glossary), *steps))
    for name, place in filed(names, glossary, manuscript.language).items():
        if place.under is None and filing.names_a_step(name):
            yield _Name(place.head, _stems(name))


def _stems(name: str) -> Stems:
    return tuple(frozenset(filing.stem(name)) for filing in filings().values())


def _named(title: Stems, names: tuple[_Name, ...]) -> Iterator[Headword]:
    within = [name for name in names if name.within(title)]
    longest = (own for own in within if not any(map(own.shorter_than, within)))
    yield from dict.fromkeys(name.head for name in longest)


def _anchors(piece: Piece) -> tuple[str, ...]:
    lines = (line_anchor(piece.number, index) for index in range(len(piece.lines)))
    return exercise_anchor(piece.number), *lines
