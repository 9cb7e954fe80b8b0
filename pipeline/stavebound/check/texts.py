"""All that a score or a book's plan says in words.

In: a score or a plan. Out: each running text with what it belongs to (an element's
name) and where that stands; and each label, a text that is an attribute.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass

from stavebound.diagnostics import Span
from stavebound.plan.book import BookPlan, GlossaryEntry, Paragraph
from stavebound.score.frame_texts import FRAME, text_names
from stavebound.score.model import Origin, Score, Words

CheckedText = tuple[str, Words, Origin]


@dataclass(frozen=True, slots=True)
class PrintedValue:
    """What an attribute has printed: of which element, its name, the text and its place."""

    element: str
    name: str
    text: str
    span: Span


def score_texts(score: Score) -> Iterator[CheckedText]:
    if score.music:
        yield "music", score.music.words, score.music.origin
    for prose in score.prose:
        yield prose.kind, prose.words, prose.origin
    for phrase in (score.upbeat, *score.phrases):
        for frame in phrase.frames if phrase else ():
            for text in frame.texts:
                if text.lane not in text_names().attributes:
                    yield text.lane, text.words, text.origin


def book_texts(plan: BookPlan) -> Iterator[CheckedText]:
    """All but the glossary's."""
    for paragraph in (*plan.imprint, *plan.preface):
        yield "text", paragraph.words, paragraph.origin
    for prose in plan.prose:
        yield prose.kind, prose.words, prose.origin
    for chapter in plan.chapters:
        for item in chapter.items:
            if isinstance(item, Paragraph):
                yield "text", item.words, item.origin


def glossary_texts(entries: Iterable[GlossaryEntry]) -> Iterator[CheckedText]:
    """The words of each entry, in their order."""
    for entry in entries:
        yield "entry", entry.words, entry.origin


def score_labels(score: Score) -> Iterator[PrintedValue]:
    yield from _labels("score", score.origin, title=score.title, level=score.level)
    for prose in score.prose:
        yield from _labels(prose.kind, prose.origin, **dict(prose.attributes))
    for phrase in (score.upbeat, *score.phrases):
        for frame in phrase.frames if phrase else ():
            for text in frame.texts:
                if text.lane in text_names().attributes:
                    yield PrintedValue(FRAME, text.lane, text.text, text.origin.span)


def book_labels(plan: BookPlan) -> Iterator[PrintedValue]:
    yield from _labels(
        "book",
        plan.origin,
        title=plan.title,
        subtitle=plan.subtitle,
        author=plan.author,
        edition=plan.edition,
        publisher=plan.publisher,
    )
    for chapter in plan.chapters:
        yield from _labels("chapter", chapter.origin, title=chapter.title)
    yield from glossary_labels(plan.glossary)


def glossary_labels(entries: Iterable[GlossaryEntry]) -> Iterator[PrintedValue]:
    for entry in entries:
        yield from _labels("entry", entry.origin, term=entry.term, said=entry.said)


def _labels(element: str, origin: Origin, **texts: str | None) -> Iterator[PrintedValue]:
    for name, text in texts.items():
        if text is not None:
            yield PrintedValue(element, name, text, origin.of(name))
