"""Checking: from loaded files to final places, and all that is wrong on the way.

In: the house, and files or a book that were loaded. Out: diagnostics, and where
nothing stands in the way, the engraved exercises. What passes here builds.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Mapping
from dataclasses import dataclass, replace
from pathlib import Path

from stavebound.book.exercise import BETWEEN
from stavebound.book.layouts import Asked, LaidOut, laid_out
from stavebound.book.papers import Paper
from stavebound.book.places import places
from stavebound.book.tempo import note_drawings
from stavebound.book.values import Manuscript, Piece
from stavebound.build.loading import Project, load, load_project
from stavebound.build.pictures import picture_faults
from stavebound.build.values import House, Report
from stavebound.check.books import check_book, check_glossary, check_style, check_styles_together
from stavebound.check.glossary import as_printed
from stavebound.check.measures import book_words_in_place, score_words_in_place
from stavebound.check.scores import (
    check_length,
    check_lone_score,
    check_remains,
    check_score,
)
from stavebound.check.type import check_book_type, check_glossary_type, check_score_type
from stavebound.dance.danced import dance
from stavebound.dance.features import score_features
from stavebound.dance.printed import Printed, with_signs, written_out
from stavebound.diagnostics import Diagnostic, Outcome, Severity, has_errors, told
from stavebound.engrave.engraving import engrave, too_high
from stavebound.engrave.parts import Setting
from stavebound.engrave.style import Style, resolve_style
from stavebound.faces import Faces, load_faces
from stavebound.plan.book import SIGNS, USUAL_LAYOUT, WRITTEN_OUT, BookPlan, Glossary, StyleSheet
from stavebound.plan.house_signs import with_house_signs
from stavebound.proof.lines import DrawnLine, OnPaper, drawn_lines, prove_lines
from stavebound.readback.claims import Key
from stavebound.readback.read import reading_key
from stavebound.score.form import BarForm
from stavebound.score.model import Score
from stavebound.score.unfolding.remains import Remains
from stavebound.trade.tables import School
from stavebound.wording.labels import languages
from stavebound.wording.translation import catalogue_in
from stavebound.workers import silent, workers, worth

# The lines of a score, what stands at its bars, how many are danced, and what the key has of it.
Lines = tuple[tuple[DrawnLine, ...], tuple[BarForm, ...], int, frozenset[str]]

DEFAULT_SCHOOL = "english"


def check_files(paths: Iterable[Path], house: House, root: Path | None = None) -> Report:
    """Check scores, books and styles, each through all the stages it goes through; `root`
    holds what they name, where it was asked for."""
    diagnostics: list[Diagnostic] = []
    texts: dict[str, str] = {}
    verdicts: list[str] = []
    for path in paths:
        report = _check_file(path, house, root)
        diagnostics += report.diagnostics
        texts |= report.texts
        verdicts += report.verdicts
    return Report(tuple(dict.fromkeys(diagnostics)), texts, verdicts=tuple(verdicts))


def _check_file(path: Path, house: House, root: Path | None) -> Report:
    loaded = load(path, str(path), root)
    if isinstance(loaded.content, BookPlan):
        project = load_project(path, str(path), root=root)
        manuscript = manuscript_of(project, Asked(), house)
        scores = len({exercise.score for exercise in loaded.content.exercises})
        verdict = _verdict(path, manuscript.diagnostics, f" ({_counted(scores, 'score')})")
        return Report(manuscript.diagnostics, dict(project.texts), verdicts=(verdict,))
    faults = loaded.diagnostics
    if isinstance(loaded.content, Score):
        setting = setting_of((), house)
        key, usual = key_in(setting, house), house.layouts[USUAL_LAYOUT]
        paper = usual.paper(None)
        faults += score_on_paper(loaded.content, None, paper, setting, key).diagnostics
        faults += check_lone_score(loaded.content, house.catalogue)
        room = places(usual.places, in_type(paper, setting.style))
        faults += score_words_in_place(loaded.content, room, setting.faces)
    elif loaded.remains:
        faults += remains_faults(loaded.remains, None, setting_of((), house))
    elif isinstance(loaded.content, StyleSheet):
        faults += _style_faults(loaded.content, house)
    elif isinstance(loaded.content, Glossary):
        faults += check_glossary(loaded.content)
        faults += check_glossary_type(loaded.content, house.faces)
    return Report(faults, loaded.texts, verdicts=(_verdict(path, faults),))


def _verdict(path: Path, faults: Iterable[Diagnostic], held: str = "") -> str:
    """One line: how many faults of either kind a file has, as they are told, and what it holds."""
    found = [fault.severity for fault in told(faults)]
    numbers = ((found.count(severity), severity.value) for severity in Severity)
    said = ", ".join(_counted(number, what) for number, what in numbers if number)
    return f"{path}: {said or 'no faults'}{held}"


def _counted(number: int, what: str) -> str:
    return f"{number:,} {what}" if number == 1 else f"{number:,} {what}s"


def _style_faults(style: StyleSheet, house: House) -> tuple[Diagnostic, ...]:
    """The faults of a style, and where it has none, of the pictures that every book may have."""
    faults = check_style(style, house.catalogue)
    if has_errors(faults):
        return faults
    setting = setting_of((style,), house)
    return (*faults, *picture_faults((style,), setting, key_in(setting, house)))


def language_of(plan: BookPlan | None) -> str | None:
    """The language that a book names for its text, where the labels have it too."""
    return plan.language if plan and plan.language in languages() else None


def style_faults(sheets: tuple[StyleSheet, ...], house: House) -> tuple[Diagnostic, ...]:
    """The faults of each style by itself, and of all together; each once."""
    alone = (fault for sheet in sheets for fault in check_style(sheet, house.catalogue))
    together = check_styles_together(sheets, house.catalogue)
    return tuple(dict.fromkeys((*alone, *together)))


def setting_of(
    sheets: tuple[StyleSheet, ...], house: House, language: str | None = None
) -> Setting:
    """The house with what the sheets, the last uppermost, lay over its tables; `language` is
    that of the labels where no sheet has one."""
    style = resolve_style(house.catalogue, sheets, language)
    catalogue = with_house_signs(catalogue_in(style.labels, house.catalogue), sheets)
    return Setting(catalogue, style, house_faces(style, house))


def key_in(setting: Setting, house: House) -> Key:
    """What the reader goes by in this setting."""
    return reading_key(setting.catalogue, house.table, house.anchors, setting.style.signs)


def house_faces(style: Style, house: House) -> Faces:
    """The faces that the style names, else the house's."""
    text, headings = style.type.text, style.type.headings
    return load_faces(text or house.faces.family, headings) if text or headings else house.faces


def in_type(paper: Paper, style: Style) -> Paper:
    """The paper with the sizes of the style; a size without leading has the paper's proportion."""
    size = float(style.type.size or paper.type_size)
    leading = float(style.type.leading or size * paper.leading / paper.type_size)
    lines = int(paper.lines * paper.leading / leading)
    return replace(paper, type_size=size, leading=leading, lines=lines)


def school_of(name: str | None, fallback: str | None, setting: Setting) -> School | None:
    """The school that reads a score: its own, else its book's; None where there is no such."""
    return setting.catalogue.school(name or fallback or DEFAULT_SCHOOL)


def score_on_paper(
    score: Score,
    fallback: str | None,
    paper: Paper,
    setting: Setting,
    key: Key,
    repeats: str = WRITTEN_OUT,
) -> Outcome[OnPaper]:
    """A score through rules, type, engraving and proof; the last two only without errors.

    The rules hold of all that is danced; `repeats` are printed as signs, or written out.
    """
    school = school_of(score.school, fallback, setting)
    reader = school or setting.catalogue.schools.school[0]
    typed = check_score_type(score, setting.faces)
    if too_long := check_length(score):
        return Outcome(None, (*too_long, *typed))
    danced = dance(score, setting.catalogue, reader)
    faults = (*check_score(danced), *typed)
    if has_errors(faults) or school is None:
        return Outcome(None, faults)
    printed = with_signs(danced) if repeats == SIGNS else written_out(danced)
    engraved = engrave(printed, paper.measure, setting)
    faults += (*_stay_written_out(printed), *engraved.diagnostics)
    if engraved.value:
        depth = in_type(paper, setting.style).depth - BETWEEN
        faults += tuple(too_high(engraved.value, printed, depth))
    if engraved.value is None or has_errors(faults):
        return Outcome(None, faults)
    lines = drawn_lines(engraved.value, score.title, setting)
    faults += prove_lines(lines, engraved.value, printed, setting, key)
    return Outcome(OnPaper(danced, engraved.value, lines), faults)


def remains_faults(
    remains: Remains, fallback: str | None, setting: Setting
) -> tuple[Diagnostic, ...]:
    """What is wrong with a score besides that which keeps it from being understood."""
    school = school_of(remains.school, fallback, setting) or setting.catalogue.schools.school[0]
    typed = check_score_type(remains.pieces, setting.faces) if remains.pieces else ()
    return (*check_remains(remains, setting.catalogue, school), *typed)


def _stay_written_out(printed: Printed) -> Iterator[Diagnostic]:
    for part, why in printed.left:
        yield Diagnostic(
            "E408",
            f"this is printed written out: {why}",
            part.origin.span,
            ('Say so with repeats="written out", or write it so that signs can tell it.',),
            severity=Severity.WARNING,
        )


@dataclass(frozen=True, slots=True)
class _Engraver:
    """Brings scores of a book to paper, by their paths; `ways` say how repeats are printed."""

    scores: Mapping[str, Score]
    ways: Mapping[str, str]
    fallback: str | None
    paper: Paper
    setting: Setting
    key: Key

    def __call__(self, path: str) -> Outcome[Lines]:
        outcome = score_on_paper(
            self.scores[path],
            self.fallback,
            self.paper,
            self.setting,
            self.key,
            self.ways[path],
        )
        if outcome.value is None:
            return Outcome(None, outcome.diagnostics)
        danced, form = outcome.value.danced, [bar.form for bar in outcome.value.engraved.bars]
        bars = sum(bar.number >= 1 for bar in danced.timeline.bars)
        lines = (outcome.value.lines, tuple(form), bars, score_features(danced))
        return Outcome(lines, outcome.diagnostics)


def _words_in_place(
    plan: BookPlan, project: Project, chosen: LaidOut, setting: Setting
) -> Iterator[Diagnostic]:
    room = places(chosen.layout.places, in_type(chosen.paper, setting.style))
    yield from book_words_in_place(plan, room, setting.faces)
    for _, score in project.scores:
        yield from score_words_in_place(score, room, setting.faces)


def manuscript_of(
    project: Project,
    asked: Asked,
    house: House,
    jobs: int = 1,
    meanwhile: Callable[[], object] = tuple,
) -> Outcome[Manuscript]:
    """A book with every exercise engraved, in up to `jobs` processes; None where anything is
    in the way. `meanwhile` is called here where this process would wait for others."""
    plan, faults = project.plan, list(project.diagnostics)
    if plan is None:
        return Outcome(None, project.diagnostics)
    chosen, strange = laid_out(plan, asked, house.layouts)
    faults += strange
    styles = style_faults(project.sheets, house)
    faults += styles
    faults += check_book(plan, dict(project.scores), house.catalogue)
    sheets = () if has_errors(styles) else project.sheets
    setting = setting_of(sheets, house, language_of(plan))
    plan = as_printed(plan, [score for _, score in project.scores])
    faults += check_book_type(plan, setting.faces)
    faults += _words_in_place(plan, project, chosen, setting)
    fallback = plan.school or setting.style.school
    for remains in project.remains:
        faults += remains_faults(remains, fallback, setting)
    pieces: list[tuple[str, Piece]] = []
    ways = {item.score: plan.repeats_of(item) for item in reversed(plan.exercises)}
    key = key_in(setting, house)
    faults += picture_faults(sheets, setting, key)
    engraver = _Engraver(dict(project.scores), ways, fallback, chosen.paper, setting, key)
    with workers(engraver, worth(jobs, len(ways)), meanwhile=meanwhile) as do:
        found = do(((path, path) for path, _ in project.scores), silent)
    for number, ((path, score), lines) in enumerate(zip(project.scores, found, strict=True), 1):
        faults += lines.diagnostics
        school = school_of(score.school, fallback, setting)
        if lines.value and school:
            pieces.append((path, Piece(number, score, school, *lines.value)))
    school = school_of(None, fallback, setting)
    told = tuple(dict.fromkeys(faults))
    if has_errors(told) or school is None:
        return Outcome(None, told)
    paper, scores = in_type(chosen.paper, setting.style), (score for _, score in project.scores)
    manuscript = Manuscript(
        plan,
        tuple(pieces),
        school,
        chosen.layout,
        chosen.edition,
        paper,
        setting.faces,
        key,
        note_drawings(scores, paper.type_size, setting.catalogue, setting.faces),
        labels=setting.style.labels,
    )
    return Outcome(manuscript, told)
