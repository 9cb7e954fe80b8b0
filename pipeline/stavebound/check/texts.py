"""All running text of a score or a book's plan.

In: a score or a plan. Out: each text with what it belongs to (an element's
name) and where that stands.
"""

from __future__ import annotations

from collections.abc import Iterator

from stavebound.score.book import BookPlan, Paragraph
from stavebound.score.model import Origin, Score, Words

Text = tuple[str, Words, Origin]


def score_texts(score: Score) -> Iterator[Text]:
    if score.music:
        yield "music", score.music.words, score.music.origin
    for prose in score.prose:
        yield prose.kind, prose.words, prose.origin
    for phrase in (score.upbeat, *score.phrases):
        for frame in phrase.frames if phrase else ():
            if frame.tempo:
                yield "tempo", frame.tempo.words, frame.tempo.origin
            if frame.cue is not None:
                yield "cue", frame.cue, frame.origin


def book_texts(plan: BookPlan) -> Iterator[Text]:
    """All but the glossary's."""
    for paragraph in (*plan.imprint, *plan.preface):
        yield "text", paragraph.words, paragraph.origin
    for prose in plan.prose:
        yield prose.kind, prose.words, prose.origin
    for chapter in plan.chapters:
        for item in chapter.items:
            if isinstance(item, Paragraph):
                yield "text", item.words, item.origin


def glossary_texts(plan: BookPlan) -> Iterator[Text]:
    """The words of each entry, in the order of the entries."""
    for entry in plan.glossary:
        yield "entry", entry.words, entry.origin
