"""Cautions: what is dangerous is printed with its caution.

In: scores, and the cautions that a book prints. Out: a diagnostic for each
caution that a score asks for and nobody gives, at the first place that asks.
What asks: a step or title with a word of the table's, a spring, a rise on point, a
class of children. Words are compared without accents, capitals and endings.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from functools import lru_cache

from stavebound.diagnostics import Diagnostic, Severity, Span
from stavebound.plan.book import BookPlan
from stavebound.score.model import (
    Change,
    FeetChange,
    FootChange,
    KneelChange,
    Rise,
    Score,
    Transfer,
)
from stavebound.score.words import fold_name
from stavebound.trade.catalogue import Catalogue
from stavebound.trade.cautions import Asks

# Plural and feminine: sautés, arabesque sautée.
ENDINGS = ("", "s", "e", "es")


def cautions_in_book(plan: BookPlan, score: Score, catalogue: Catalogue) -> Iterator[Diagnostic]:
    """What a score of a book asks for and neither of them gives."""
    given = _given(plan) | _given(score)
    for about, (what, span) in asked(score, catalogue).items():
        if about not in given:
            hint = f'Write <caution about="{about}"/> in the score or in the book.'
            yield Diagnostic("B501", f"{what} asks for the caution about {about}", span, (hint,))


def cautions_alone(score: Score, catalogue: Catalogue) -> Iterator[Diagnostic]:
    """The same for a score by itself: a warning, as its book may give the caution."""
    given = _given(score)
    for about, (what, span) in asked(score, catalogue).items():
        if about not in given:
            yield Diagnostic(
                "B501",
                f"{what} asks for the caution about {about}",
                span,
                (f'Write <caution about="{about}"/> here, or in the book that prints this score.',),
                severity=Severity.WARNING,
            )


def asked(score: Score, catalogue: Catalogue) -> dict[str, tuple[str, Span]]:
    """Subject → what asks for it first, in words, and where."""
    first: dict[str, tuple[str, Span]] = {}
    for about, what, span in _asking(score, catalogue):
        first.setdefault(about, (what, span))
    return first


def names_spring(step: str | None, catalogue: Catalogue) -> bool:
    """Whether a step's name says that both feet leave the floor."""
    return step is not None and "springs" in _subjects(step, catalogue)


def _asking(score: Score, catalogue: Catalogue) -> Iterator[tuple[str, str, Span]]:
    if score.pupils == "children":
        yield "children", "a class of children", score.origin.of("pupils")
    for about in _subjects(score.title, catalogue):
        yield about, f"the title “{score.title}”", score.origin.of("title")
    for change in score.start.changes if score.start else ():
        yield from _danger(change)
    for phrase in (score.upbeat, *score.phrases):
        for frame in phrase.frames if phrase else ():
            for about in _subjects(frame.step or "", catalogue):
                yield about, f"the step “{frame.step}”", frame.origin.of("step")
            for change in frame.changes:
                yield from _danger(change)


def _danger(change: Change) -> Iterator[tuple[str, str, Span]]:
    """What a change asks for, whatever its step is called."""
    if isinstance(change, KneelChange):
        yield "kneeling", "kneeling", change.origin.span
    if not isinstance(change, FeetChange | FootChange):
        return
    if change.rise is Rise.POINT:
        yield "pointe", "a rise on point", change.origin.of("on")
    if change.by is Transfer.SPRING:
        yield "springs", "a spring", change.origin.of("by")


def _given(texts: BookPlan | Score) -> frozenset[str | None]:
    return frozenset(prose.get("about") for prose in texts.texts("caution"))


def _subjects(name: str, catalogue: Catalogue) -> tuple[str, ...]:
    return tuple(row.about for row in catalogue.cautions.asks if _asks(name, row))


def _asks(name: str, row: Asks) -> bool:
    if any(names(name, other) for other in row.but_not):
        return False
    return any(names(name, asking) for asking in row.words)


# A book says few names, and each many times.
@lru_cache(maxsize=65_536)
def names(step: str, sought: str) -> bool:
    """Whether a step's name holds these words, without regard to accents and endings."""
    return _holds(re.findall(r"\w+", fold_name(step)), sought.split())


def _holds(words: list[str], sought: list[str]) -> bool:
    """Whether the sought words stand there, one after the other."""
    starts = range(len(words) - len(sought) + 1)
    return any(
        all(words[start + index] in _forms(word) for index, word in enumerate(sought))
        for start in starts
    )


def _forms(word: str) -> tuple[str, ...]:
    return tuple(word + ending for ending in ENDINGS)
