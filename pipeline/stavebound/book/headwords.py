"""Headwords: under which word of an index a step stands.

In: the names that stand under the staves of a book, its glossary and its language. Out: for
each name its place: a headword, with a word of its own under it where the name says more than
that, and whether it is only a shorter form of it. Names of one step stand together, however
they are inflected: the glossary's headwords come first, then the table of endings.

    petits battements   →  petit battement
    développé devant    →  développé, devant
    tendu               →  battement tendu, a shorter form
    to the pianist      →  nowhere: it names no step
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass

from stavebound.plan.book import GlossaryEntry
from stavebound.score.words import fold_name
from stavebound.wording.filing import filings, words_in
from stavebound.wording.labels import ENGLISH

# The language of the class, in which steps have their names.
FRENCH = "fr"


@dataclass(frozen=True, slots=True)
class Headword:
    text: str
    language: str | None = None


@dataclass(frozen=True, slots=True)
class Filed:
    """Where a name stands: `under` is what it says besides the headword; of a shorter form
    `short` is the name itself."""

    head: Headword
    under: Headword | None = None
    short: str = ""


def filed(
    names: Iterable[str], glossary: Iterable[GlossaryEntry], language: str
) -> Mapping[str, Filed]:
    """By the names, of those that name a step."""
    heads, filing = _Heads(tuple(glossary), language), filings()[language]
    kept = [name for name in names if heads.find(name) or filing.names_a_step(name)]
    kept = [name for name in kept if words_in(name)[0] not in filing.joins]
    for name in sorted(kept, key=lambda name: len(words_in(name))):
        heads.add(name)
    places = ((name, heads.find(name)) for name in kept)
    return {name: place for name, place in places if place}


class _Heads:
    """Headwords by the stems of their words, as more and more names are known. Words of a
    name are told apart by their accents; a whole name is not, as in the glossary."""

    def __init__(self, glossary: tuple[GlossaryEntry, ...], language: str) -> None:
        self._language = language
        self._exact = {fold_name(entry.term): _head(entry) for entry in glossary}
        self._stems = {
            (own, filings()[own].stem(entry.term)): _head(entry)
            for entry in glossary
            if (own := entry.language or language) in filings()
        }
        self._classical = tuple(
            (head, frozenset(stem)) for (own, stem), head in self._stems.items() if own == FRENCH
        )

    def add(self, name: str) -> None:
        """A name that is under no other becomes a headword itself."""
        if self.find(name) is None:
            head = self._called(name)
            self._exact[fold_name(name)] = head
            self._stems[self._language, filings()[self._language].stem(name)] = head

    def find(self, name: str) -> Filed | None:
        if head := self._exact.get(fold_name(name)) or self._alike(name):
            return Filed(head)
        if head := self._longer(name):
            return Filed(head, short=name)
        return next(self._within(name), None)

    def _alike(self, name: str) -> Headword | None:
        stems = ((own, filing.stem(name)) for own, filing in filings().items())
        return next((self._stems[stem] for stem in stems if stem in self._stems), None)

    def _longer(self, name: str) -> Headword | None:
        """The one French headword that has all words of the name, and others."""
        stems = [frozenset(filing.stem(name)) for filing in filings().values()]
        longer = [head for head, words in self._classical if any(stem < words for stem in stems)]
        return longer[0] if len(longer) == 1 else None

    def _within(self, name: str) -> Iterator[Filed]:
        """Headwords with which the name begins, or ends, the longest first."""
        words = name.split()
        for count in range(len(words) - 1, 0, -1):
            for inner, rest in ((words[:count], words[count:]), (words[-count:], words[:-count])):
                if head := self._alike(" ".join(inner)):
                    yield Filed(head, self._called(" ".join(rest)))

    def _called(self, name: str) -> Headword:
        """Words of which no headword is known by itself. Accents are of another language where
        the book's own has none."""
        known, accented = self._alike(name), self._language == ENGLISH and not name.isascii()
        return Headword(name, known.language if known else FRENCH if accented else None)


def _head(entry: GlossaryEntry) -> Headword:
    return Headword(entry.term, entry.language)
