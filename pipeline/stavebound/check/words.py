"""Words: no text without words, and no mark round nothing.

In: a `Subject` or a plan. Out: diagnostics; the same for scores and books.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator

from stavebound.check.subject import Subject
from stavebound.check.texts import Text, book_texts, glossary_texts, score_texts
from stavebound.diagnostics import Diagnostic
from stavebound.score.book import BookPlan

# These say something without words: the music by its metre, a caution by what
# it is about, a source by whom and when, a tempo by its counts.
MAY_BE_SILENT = frozenset({"music", "caution", "source", "tempo"})


def scores_words(subject: Subject) -> Iterator[Diagnostic]:
    return _words(score_texts(subject.score))


def tempo_says_something(subject: Subject) -> Iterator[Diagnostic]:
    for event in subject.timeline.events:
        tempo = event.frame.tempo
        if tempo and tempo.counts is None and not tempo.words:
            yield Diagnostic(
                "T428",
                "this tempo has neither counts nor words",
                tempo.origin.span,
                ('Write <tempo counts="72"/> and the like, words between its tags, or both.',),
            )


def books_words(plan: BookPlan) -> Iterator[Diagnostic]:
    return _words((*book_texts(plan), *glossary_texts(plan)))


def _words(texts: Iterable[Text]) -> Iterator[Diagnostic]:
    for name, words, origin in texts:
        if not words and name not in MAY_BE_SILENT:
            where = f"the {name} of this frame" if name == "cue" else f"this {name}"
            hint = "Write them, or delete the element."
            yield Diagnostic("T361", f"{where} has no words", origin.span, (hint,))
        for run in words:
            if not run.text and run.kind != "side":
                hint = "Put the words between its tags, or delete it."
                message = f"<{run.kind}> marks no words"
                yield Diagnostic("T362", message, run.origin.span, (hint,))
