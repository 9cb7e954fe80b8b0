"""Identities: each is used once, in a score and in all of a book.

In: a `Danced`, or a plan and its scores. Out: a diagnostic for each use after the
first, which it names.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator

from stavebound.dance.danced import Danced
from stavebound.diagnostics import Diagnostic, Span
from stavebound.plan.book import BookPlan
from stavebound.score.model import Score

Identity = tuple[str, Span]


def scores_identities(danced: Danced) -> Iterator[Diagnostic]:
    return _twice(_of_score(danced.score))


def books_identities(plan: BookPlan, scores: Iterable[Score]) -> Iterator[Diagnostic]:
    """What is used twice in the plan, or in two files of the book."""
    seen = dict(reversed(list(_of_plan(plan))))
    yield from _twice(_of_plan(plan))
    for score in scores:
        own = list(_of_score(score))
        for identity, span in dict(reversed(own)).items():
            if identity in seen:
                yield _used(identity, span, seen[identity])
        seen = dict(reversed(own)) | seen


def _twice(identities: Iterable[Identity]) -> Iterator[Diagnostic]:
    first: dict[str, Span] = {}
    for identity, span in identities:
        if identity in first:
            yield _used(identity, span, first[identity])
        first.setdefault(identity, span)


def _used(identity: str, span: Span, first: Span) -> Diagnostic:
    return Diagnostic(
        "T363",
        f"the identity “{identity}” is used already",
        span,
        ("Give each its own; what has been published keeps the one it has.",),
        ((first, "the first use"),),
    )


def _of_score(score: Score) -> Iterator[Identity]:
    """In the order of the file."""
    yield from sorted(_written(score), key=lambda identity: identity[1])


def _written(score: Score) -> Iterator[Identity]:
    if score.identity:
        yield score.identity, score.origin.of("id")
    for prose in score.prose:
        if identity := prose.get("id"):
            yield identity, prose.origin.of("id")
    for phrase in (score.upbeat, *score.phrases):
        if phrase and phrase.identity:
            yield phrase.identity, phrase.origin.of("id")
        for bar in phrase.bars if phrase else ():
            if bar.identity:
                yield bar.identity, bar.origin.of("id")


def _of_plan(plan: BookPlan) -> Iterator[Identity]:
    for part in (plan, plan.style, *plan.chapters):
        if part and part.identity:
            yield part.identity, part.origin.of("id")
