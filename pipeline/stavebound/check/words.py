"""Words: no text without a letter or a figure, and no mark round nothing.

In: a `Danced` or a plan. Out: diagnostics; the same for scores and books.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator

from stavebound.check.characters import says_something
from stavebound.check.texts import (
    CheckedText,
    PrintedValue,
    book_labels,
    book_texts,
    glossary_labels,
    glossary_texts,
    score_labels,
    score_texts,
)
from stavebound.dance.danced import Danced
from stavebound.diagnostics import Diagnostic
from stavebound.plan.book import BookPlan, Glossary
from stavebound.score.words import plain

# These say something without words: the music by its metre, a caution by what it is about, a
# source by whom and when. So do texts of frames that are measured, such as a tempo by its counts.
MAY_BE_SILENT = frozenset({"music", "caution", "source"})


def scores_words(danced: Danced) -> Iterator[Diagnostic]:
    lanes = danced.catalogue.lanes
    yield from _words(score_texts(danced.score), MAY_BE_SILENT.union(lanes.measured))
    yield from _wordless(score_labels(danced.score))


def measures_say_something(danced: Danced) -> Iterator[Diagnostic]:
    for event in danced.timeline.events:
        for text in event.frame.texts:
            measure = danced.catalogue.lanes.measured.get(text.lane)
            if measure and not text.words and not text.attributes:
                yield Diagnostic(
                    "T428",
                    f"this {text.lane} has neither {measure.attribute} nor words",
                    text.origin.span,
                    (
                        f'Write <{text.lane} {measure.attribute}="{measure.example}"/> and the '
                        "like, words between its tags, or both.",
                    ),
                )


def books_words(plan: BookPlan) -> Iterator[Diagnostic]:
    yield from _words((*book_texts(plan), *glossary_texts(plan.glossary)))
    yield from _wordless(book_labels(plan))


def glossarys_words(glossary: Glossary) -> Iterator[Diagnostic]:
    yield from _words(glossary_texts(glossary.entries))
    yield from _wordless(glossary_labels(glossary.entries))


def _words(
    texts: Iterable[CheckedText], may_be_silent: frozenset[str] = MAY_BE_SILENT
) -> Iterator[Diagnostic]:
    for name, words, origin in texts:
        silent = not words and name in may_be_silent
        if not silent and not says_something(plain(words)):
            hint = "Write at least a letter or a figure, or delete the element."
            yield Diagnostic("T361", f"this {name} has no words", origin.span, (hint,))
        for run in words:
            if run.kind not in ("text", "side") and not run.text.strip():
                hint = "Put the words between its tags, or delete it."
                message = f"<{run.kind}> marks no words"
                yield Diagnostic("T362", message, run.origin.span, (hint,))


def _wordless(labels: Iterable[PrintedValue]) -> Iterator[Diagnostic]:
    for label in labels:
        if not says_something(label.text):
            hint = "Write at least a letter or a figure."
            message = f"the {label.name} of this {label.element} has no words"
            yield Diagnostic("T361", message, label.span, (hint,))
