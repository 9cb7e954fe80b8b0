"""A book held against the rules, together with the scores that it prints.

In: a plan, its scores by the paths that the plan gives (those that could be
read), and the catalogue. Out: what is wrong between them; what is wrong in a
score alone is for `check_score`.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from posixpath import normpath

from stavebound.check.cautions import cautions_in_book
from stavebound.check.drawn_signs import (
    signs_drawable,
    signs_in_measure,
    signs_known,
    signs_printed,
    signs_set_once,
)
from stavebound.check.glossary import (
    as_printed,
    entries_used,
    one_entry_a_word,
    spelled_alike,
    terms_explained,
)
from stavebound.check.house import faces_known, labels_known, lines_apart, styles_school
from stavebound.check.identity import books_identities
from stavebound.check.names import school_known
from stavebound.check.phrasing import hints, listed, quoted
from stavebound.check.scores import in_order
from stavebound.check.style import (
    colours_known,
    colours_set_once,
    distances_in_bounds,
    distances_known,
    distances_sensible,
    distances_set_once,
    promises_known,
    promises_set_once,
    type_fits_the_stave,
)
from stavebound.check.words import books_words, glossarys_words
from stavebound.diagnostics import Diagnostic
from stavebound.plan.book import BookPlan, Exercise, Glossary, StyleSheet
from stavebound.score.model import Score
from stavebound.suggest import suggest
from stavebound.trade.catalogue import Catalogue
from stavebound.wording.labels import languages

STYLE_RULES = (
    faces_known,
    labels_known,
    styles_school,
    distances_known,
    distances_set_once,
    distances_sensible,
    distances_in_bounds,
    colours_known,
    colours_set_once,
    promises_known,
    promises_set_once,
    signs_known,
    signs_set_once,
    signs_in_measure,
    signs_drawable,
)
# What comes of several styles laid over each other, the last uppermost.
TOGETHER_RULES = (lines_apart, type_fits_the_stave, signs_printed)


def check_book(
    plan: BookPlan, scores: Mapping[str, Score], catalogue: Catalogue
) -> tuple[Diagnostic, ...]:
    """All faults of a book as a whole; the packaged style is its own unless it has one."""
    complete = all(exercise.score in scores for exercise in plan.exercises)
    own = _printed(plan, scores)
    faults = (*_faults(plan, own, catalogue), *_words(plan, own))
    # A word may be used in the very score that could not be read.
    unused = entries_used(as_printed(plan, own), own) if complete else ()
    return in_order((*faults, *unused))


def check_glossary(glossary: Glossary) -> tuple[Diagnostic, ...]:
    """All faults of a shared glossary by itself; what its terms lead to, its books may have."""
    words = glossarys_words(glossary)
    return in_order((*words, *one_entry_a_word(glossary.entries)))


def check_style(style: StyleSheet, catalogue: Catalogue) -> tuple[Diagnostic, ...]:
    """All faults of one style by itself."""
    faults = [fault for rule in STYLE_RULES for fault in rule(style, catalogue)]
    return in_order((*faults, *check_styles_together((style,), catalogue)))


def check_styles_together(
    styles: Sequence[StyleSheet], catalogue: Catalogue
) -> tuple[Diagnostic, ...]:
    """What comes of several styles laid over each other, the last uppermost."""
    return in_order(fault for rule in TOGETHER_RULES for fault in rule(styles, catalogue))


def _faults(
    plan: BookPlan, scores: tuple[Score, ...], catalogue: Catalogue
) -> Iterator[Diagnostic]:
    yield from school_known(plan.school, plan.origin.of("school"), catalogue)
    yield from _language_known(plan)
    yield from _exercises_once(plan)
    yield from _shown_is_printed(plan)
    yield from books_identities(plan, scores)
    for score in scores:
        yield from cautions_in_book(plan, score, catalogue)
    if plan.style:
        yield from check_style(plan.style, catalogue)


def _words(plan: BookPlan, scores: tuple[Score, ...]) -> Iterator[Diagnostic]:
    """What is wrong with the book's text, and with the entries of its glossary."""
    printed = as_printed(plan, scores)
    yield from books_words(printed)
    # What a file explains that could not be read is not known.
    if not plan.glossary_files:
        yield from terms_explained(printed, scores, plan.glossary)
    yield from spelled_alike(printed, scores)
    yield from one_entry_a_word(plan.glossary)


def _printed(plan: BookPlan, scores: Mapping[str, Score]) -> tuple[Score, ...]:
    """The scores in the order of the book, each once."""
    first: dict[str, str] = {}
    for exercise in plan.exercises:
        first.setdefault(normpath(exercise.score), exercise.score)
    return tuple(scores[path] for path in first.values() if path in scores)


def _language_known(plan: BookPlan) -> Iterator[Diagnostic]:
    if plan.language and plan.language not in languages():
        known = list(languages())
        yield Diagnostic(
            "B509",
            f"no layout has its words in the language “{plan.language}”",
            plan.origin.of("language"),
            hints(suggest(plan.language, known), f"Expected {listed(known, 'or')}."),
        )


def _shown_is_printed(plan: BookPlan) -> Iterator[Diagnostic]:
    printed = [exercise.score for exercise in plan.exercises]
    if plan.shown and plan.shown not in printed:
        yield Diagnostic(
            "B520",
            f"the title page shows a line of “{plan.shown}”, which the book does not print",
            plan.origin.of("shown"),
            hints(suggest(plan.shown, printed), f"Expected {listed(quoted(printed), 'or')}."),
        )


def _exercises_once(plan: BookPlan) -> Iterator[Diagnostic]:
    first: dict[str, Exercise] = {}
    for exercise in plan.exercises:
        before = first.setdefault(normpath(exercise.score), exercise)
        if before is not exercise:
            yield Diagnostic(
                "B505",
                f"the book prints “{exercise.score}” already",
                exercise.origin.of("score"),
                ("List each exercise once; a text can refer to it by its number.",),
                ((before.origin.of("score"), "the first time"),),
            )
