"""The glossary: every marked term has its entry, and every entry is met somewhere.

In: a plan and its scores. Out: diagnostics; and the plan with the entries that are printed,
which are all of its own, and those of shared files that it uses. Words are compared as the
glossary is sorted: without capitals and accents.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import replace
from unicodedata import normalize

from stavebound.check.phrasing import hints
from stavebound.check.texts import book_texts, glossary_texts, score_texts
from stavebound.diagnostics import Diagnostic, Severity, Span
from stavebound.plan.book import BookPlan, GlossaryEntry
from stavebound.score.model import Frame, Run, Score, Words
from stavebound.score.words import entry_name, fold_name
from stavebound.suggest import nearest

MOST_GUESSES = 50
"""Terms for which a near entry is looked for: in a long glossary that takes time."""


def as_printed(plan: BookPlan, scores: Sequence[Score]) -> BookPlan:
    """The book without the shared entries that it does not use, not even in other entries."""
    shared: dict[str, list[GlossaryEntry]] = {}
    reached = _used_outside(plan, scores)
    for entry in plan.glossary:
        if entry.shared:
            shared.setdefault(fold_name(entry.term), []).append(entry)
        else:
            reached |= _names(_marked(entry.words))
    waiting = list(reached)
    while waiting:
        inner = (entry.words for entry in shared.get(waiting.pop(), ()))
        more = _names(run for words in inner for run in _marked(words)) - reached
        reached |= more
        waiting += more
    kept = (one for one in plan.glossary if not one.shared or fold_name(one.term) in reached)
    return replace(plan, glossary=tuple(kept))


def terms_explained(
    plan: BookPlan, scores: Sequence[Score], known: Sequence[GlossaryEntry]
) -> Iterator[Diagnostic]:
    """A term without an entry, once, where it stands first; `known` are all that there are."""
    for index, run in enumerate(_unexplained(plan, scores)):
        name = entry_name(run)
        yield Diagnostic(
            "B502",
            f"the glossary has no entry “{name}”",
            run.origin.of("entry"),
            hints(
                _meant(name, known) if index < MOST_GUESSES else None,
                f'Add <entry term="{name}">…</entry> to the glossary.',
            ),
        )


def entries_used(plan: BookPlan, scores: Sequence[Score]) -> Iterator[Diagnostic]:
    """An entry of the book's own that no text marks and no step is named by, its own words
    left out. What a shared file has besides is for other books."""
    used = _used_outside(plan, scores)
    for entry in plan.glossary:
        used |= _names(_marked(entry.words)) - {fold_name(entry.term)}
    for entry in plan.glossary:
        if not entry.shared and fold_name(entry.term) not in used:
            yield Diagnostic(
                "B503",
                f"the entry “{entry.term}” is never used in this book",
                entry.origin.of("term"),
                (f"Mark the word where it is used, <term>{entry.term}</term>, or delete this.",),
                severity=Severity.WARNING,
            )


def spelled_alike(plan: BookPlan, scores: Sequence[Score]) -> Iterator[Diagnostic]:
    """A step's name or a marked word with other accents than its entry, once a spelling."""
    entries = {fold_name(entry.term): entry for entry in plan.glossary}
    told: set[str] = set()
    for what, written, span in _spellings(plan, scores):
        entry = entries.get(fold_name(written))
        if entry is None or _same(written, entry.term) or written in told:
            continue
        told.add(written)
        yield Diagnostic(
            "B516",
            f"the {what} “{written}” is spelled “{entry.term}” in the glossary",
            span,
            (f"Did you mean “{entry.term}”? It is printed as it is written.",),
            ((entry.origin.of("term"), "the entry"),),
            severity=Severity.WARNING,
        )


def _same(written: str, term: str) -> bool:
    """Whether two spellings differ in capitals at most."""
    one, other = (normalize("NFC", text).casefold() for text in (written, term))
    return one == other


def _spellings(plan: BookPlan, scores: Sequence[Score]) -> Iterator[tuple[str, str, Span]]:
    for frame in _named_frames(scores):
        yield "step", frame.step or "", frame.origin.of("step")
    for run in _terms(plan, scores):
        if run.detail is None:
            yield "word", run.text, run.origin.of("entry")


def one_entry_a_word(entries: Iterable[GlossaryEntry]) -> Iterator[Diagnostic]:
    """A second entry of a word, also where one of the two is in a shared file."""
    first: dict[str, GlossaryEntry] = {}
    for entry in entries:
        before = first.setdefault(fold_name(entry.term), entry)
        if before is not entry:
            yield Diagnostic(
                "B504",
                f"the word “{before.term}” has an entry already",
                entry.origin.of("term"),
                ("Put both meanings into one entry.",),
                ((before.origin.of("term"), "the first entry"),),
            )


def _unexplained(plan: BookPlan, scores: Sequence[Score]) -> Iterator[Run]:
    known = {fold_name(entry.term) for entry in plan.glossary}
    for run in _terms(plan, scores):
        name = fold_name(entry_name(run))
        if name and name not in known:
            known.add(name)
            yield run


def _meant(name: str, known: Sequence[GlossaryEntry]) -> str | None:
    near = nearest(name, (entry.term for entry in known))
    if near is None:
        return None
    return f'Did you mean “{near}”? Where it is spelled otherwise, write <term entry="{near}">.'


def _terms(plan: BookPlan, scores: Sequence[Score]) -> Iterator[Run]:
    for words in _texts(plan, scores):
        yield from _marked(words)
    for _, words, _ in glossary_texts(plan.glossary):
        yield from _marked(words)


def _texts(plan: BookPlan, scores: Sequence[Score]) -> Iterator[Words]:
    """All running text but the glossary's."""
    for _, words, _ in book_texts(plan):
        yield words
    for score in scores:
        for _, words, _ in score_texts(score):
            yield words


def _marked(words: Words) -> Iterator[Run]:
    return (run for run in words if run.kind == "term")


def _used_outside(plan: BookPlan, scores: Sequence[Score]) -> set[str]:
    """The words that are used outside of the glossary."""
    marked = _names(run for words in _texts(plan, scores) for run in _marked(words))
    return marked | _steps(scores)


def _names(terms: Iterable[Run]) -> set[str]:
    return {fold_name(entry_name(run)) for run in terms}


def _steps(scores: Sequence[Score]) -> set[str]:
    return {fold_name(frame.step or "") for frame in _named_frames(scores)}


def _named_frames(scores: Sequence[Score]) -> Iterator[Frame]:
    """The frames that print a step's name."""
    for score in scores:
        for phrase in (score.upbeat, *score.phrases):
            yield from (frame for frame in (phrase.frames if phrase else ()) if frame.step)
