"""Type: every character that will be printed must be in the faces that print it.

In: a score or a book's plan, and the faces. Out: a diagnostic for each text
with characters that its face lacks, at the place of the text.
"""

from __future__ import annotations

from collections.abc import Iterator

from stavebound.diagnostics import Diagnostic, Span
from stavebound.faces import BOLD, REGULAR, Faces
from stavebound.score.book import BookPlan, Paragraph
from stavebound.score.model import Frame, Origin, Score, Words

Printed = Iterator[tuple[str, Span]]


def check_score_type(score: Score, faces: Faces) -> tuple[Diagnostic, ...]:
    return tuple(_missing(_of_score(score), faces))


def check_book_type(plan: BookPlan, faces: Faces) -> tuple[Diagnostic, ...]:
    return tuple(_missing(_of_book(plan), faces))


def _missing(texts: Printed, faces: Faces) -> Iterator[Diagnostic]:
    for text, span in texts:
        if lacking := _lacking(text, faces):
            named = ", ".join(f"“{char}” (U+{ord(char):04X})" for char in lacking)
            yield Diagnostic(
                "E403",
                f"the faces of the book have no {named}",
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


def _of_score(score: Score) -> Printed:
    yield from _attributes(score.origin, title=score.title, level=score.level)
    if score.music:
        yield from _of_words(score.music.words)
    for prose in score.prose:
        yield from _of_words(prose.words)
        yield from _attributes(prose.origin, **dict(prose.attributes))
    phrases = ((score.upbeat,) if score.upbeat else ()) + score.phrases
    for phrase in phrases:
        for frame in phrase.frames:
            yield from _of_frame(frame)


def _of_frame(frame: Frame) -> Printed:
    yield from _attributes(frame.origin, step=frame.step, quality=frame.quality)
    yield from _of_words(frame.tempo.words if frame.tempo else ())
    yield from _of_words(frame.cue or ())


def _of_book(plan: BookPlan) -> Printed:
    yield from _attributes(
        plan.origin,
        title=plan.title,
        subtitle=plan.subtitle,
        author=plan.author,
        edition=plan.edition,
    )
    for paragraph in (*plan.imprint, *plan.preface):
        yield from _of_words(paragraph.words)
    for prose in plan.prose:
        yield from _of_words(prose.words)
    for chapter in plan.chapters:
        yield from _attributes(chapter.origin, title=chapter.title)
        for item in chapter.items:
            if isinstance(item, Paragraph):
                yield from _of_words(item.words)
    for entry in plan.glossary:
        yield from _attributes(entry.origin, term=entry.term, said=entry.said)
        yield from _of_words(entry.words)


def _attributes(origin: Origin, **texts: str | None) -> Printed:
    for name, text in texts.items():
        if text:
            yield text, origin.of(name)


def _of_words(words: Words) -> Printed:
    for run in words:
        yield run.text, run.origin.span
