"""Checking: files through all the stages that they go through, and all that is wrong.

In: the paths of scores, books, styles and glossaries, and the house. Out: a report with a
verdict on each. What passes here builds.
"""

from __future__ import annotations

from collections.abc import Iterable
from itertools import chain
from pathlib import Path

from stavebound.book.layouts import Asked
from stavebound.book.places import places
from stavebound.build.loading import load, load_project
from stavebound.build.manuscripts import manuscript_of
from stavebound.build.on_paper import remains_faults, score_on_paper
from stavebound.build.pictures import picture_faults
from stavebound.build.setting import in_type, on_paper, outfit_of, setting_of
from stavebound.build.values import House, Report
from stavebound.check.books import check_glossary, check_style
from stavebound.check.measures import score_words_in_place
from stavebound.check.scores import check_lone_score
from stavebound.check.type import check_glossary_type
from stavebound.diagnostics import Diagnostic, Severity, has_errors, told
from stavebound.plan.book import USUAL_LAYOUT, BookPlan, Glossary, StyleSheet
from stavebound.score.model import Score
from stavebound.score.typeset import typeset_score
from stavebound.wording.labels import quotes_of


def check_files(paths: Iterable[Path], house: House, root: Path | None = None) -> Report:
    """Check scores, books and styles, each through all the stages it goes through; `root`
    holds what they name, where it was asked for."""
    reports = tuple(_check_file(path, house, root) for path in paths)
    faults = chain.from_iterable(report.diagnostics for report in reports)
    return Report(
        tuple(dict.fromkeys(faults)),
        dict(chain.from_iterable(report.texts.items() for report in reports)),
        verdicts=tuple(chain.from_iterable(report.verdicts for report in reports)),
    )


def _check_file(path: Path, house: House, root: Path | None) -> Report:
    loaded = load(path, str(path), root)
    faults: tuple[Diagnostic, ...] = ()
    match loaded.content:
        case BookPlan() as plan:
            return _check_book(path, plan, house, root)
        case Score() as score:
            faults = _score_faults(score, house)
        case StyleSheet() as style:
            faults = _style_faults(style, house)
        case Glossary() as glossary:
            faults = (*check_glossary(glossary), *check_glossary_type(glossary, house.faces))
        case None if loaded.remains:
            faults = remains_faults(loaded.remains, None, setting_of((), house))
    found = (*loaded.diagnostics, *faults)
    return Report(found, loaded.texts, verdicts=(_verdict(path, found),))


def _check_book(path: Path, plan: BookPlan, house: House, root: Path | None) -> Report:
    project = load_project(path, str(path), root=root)
    faults = manuscript_of(project, Asked(), house).diagnostics
    scores = len({exercise.score for exercise in plan.exercises})
    verdict = _verdict(path, faults, f" ({_counted(scores, 'score')})")
    return Report(faults, dict(project.texts), verdicts=(verdict,))


def _score_faults(score: Score, house: House) -> tuple[Diagnostic, ...]:
    """The faults of a score, also of one that stands alone on the usual layout's paper."""
    usual = house.layouts[USUAL_LAYOUT]
    paper = usual.paper(None)
    outfit = outfit_of(on_paper((), paper), house)
    setting = outfit.setting
    typed = in_type(paper, setting.style)
    room = places(usual.places, typed)
    printed = typeset_score(score, quotes_of(outfit.labels))
    return (
        *score_on_paper(printed, None, typed, setting, outfit.key).diagnostics,
        *check_lone_score(score, house.catalogue),
        *score_words_in_place(printed, room, setting.faces),
    )


def _style_faults(style: StyleSheet, house: House) -> tuple[Diagnostic, ...]:
    """The faults of a style, and where it has none, of the pictures that every book may have."""
    faults = check_style(style, house.catalogue)
    if has_errors(faults):
        return faults
    outfit = outfit_of((style,), house)
    return (*faults, *picture_faults((style,), outfit.setting, outfit.key))


def _verdict(path: Path, faults: Iterable[Diagnostic], held: str = "") -> str:
    """One line: how many faults of either kind a file has, as they are told, and what it holds."""
    found = [fault.severity for fault in told(faults)]
    numbers = ((found.count(severity), severity.value) for severity in Severity)
    said = ", ".join(_counted(number, what) for number, what in numbers if number)
    return f"{path}: {said or 'no faults'}{held}"


def _counted(number: int, what: str) -> str:
    return f"{number:,} {what}" if number == 1 else f"{number:,} {what}s"
