"""Type: every character that will be printed can be, and is in the faces that print it.

In: a score or a book's plan, and the faces. Out: a diagnostic for each text with
characters that cannot be seen, marks heaped on a letter, or characters that its face
lacks, at the place of the text.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Set

from stavebound.check.characters import (
    WANTED,
    WANTED_IN_NAMES,
    named,
    overloaded,
    says_something,
    unprintable,
)
from stavebound.check.phrasing import listed
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
from stavebound.diagnostics import Diagnostic, Span
from stavebound.faces import BOLD, REGULAR, Faces
from stavebound.plan.book import BookPlan, Glossary
from stavebound.score.frame_texts import text_names
from stavebound.score.model import Score


def check_score_type(score: Score, faces: Faces) -> tuple[Diagnostic, ...]:
    return tuple(_faults(score_labels(score), score_texts(score), faces))


def check_book_type(plan: BookPlan, faces: Faces) -> tuple[Diagnostic, ...]:
    texts = (*book_texts(plan), *glossary_texts(plan.glossary))
    return tuple(_faults(book_labels(plan), texts, faces))


def check_glossary_type(glossary: Glossary, faces: Faces) -> tuple[Diagnostic, ...]:
    entries = glossary.entries
    return tuple(_faults(glossary_labels(entries), glossary_texts(entries), faces))


def _faults(
    labels: Iterable[PrintedValue], texts: Iterable[CheckedText], faces: Faces
) -> Iterator[Diagnostic]:
    for label in labels:
        # That a label says nothing at all is told of its words.
        if says_something(label.text):
            yield from _of_characters(label.text, label.span, faces, WANTED_IN_NAMES)
    for element, words, _ in texts:
        wanted = WANTED_IN_NAMES if element in text_names().elements else WANTED
        for run in words:
            yield from _of_characters(run.text, run.origin.span, faces, wanted)


def _of_characters(text: str, span: Span, faces: Faces, wanted: Set[str]) -> Iterator[Diagnostic]:
    unseen = unprintable(text, wanted)
    if unseen:
        yield Diagnostic(
            "E409",
            f"this text has characters that cannot be printed: {listed(map(named, unseen))}",
            span,
            hints=(
                "They are invisible, private to one machine, or no characters at all: delete them.",
            ),
        )
    if heap := overloaded(text):
        yield Diagnostic(
            "E410",
            f"this text has {len(heap)} characters in the place of one, from {named(heap[0])} on",
            span,
            hints=("Two accents stand over each other on a letter, and none without one.",),
        )
    if lacking := _lacking("".join(char for char in text if char not in unseen), faces):
        chars = ", ".join(f"“{char}” (U+{ord(char):04X})" for char in lacking)
        yield Diagnostic(
            "E403",
            f"the faces of the book have no {chars}",
            span,
            hints=("Write it in letters that the text face has, or respell the word.",),
        )


def _lacking(text: str, faces: Faces) -> tuple[str, ...]:
    """What the first face that lacks any of the text lacks, of those that may print it."""
    for family in faces.families:
        for style, weight in (("normal", REGULAR), ("italic", REGULAR), ("normal", BOLD)):
            if missing := family.missing(text, style, weight):
                return missing
    return ()
