"""Books: from a plan to a bound PDF.

In: a book's file, the paper, how many processes. Out: the book at its place, or
nothing new there at all. Body first, then the glossary and the contents with
the page numbers found, then the folios; then everything is bound.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator
from datetime import UTC, datetime, time
from pathlib import Path

from stavebound.book.common import GLOSSARY, page_css
from stavebound.book.exercise import chapter_sheets
from stavebound.book.front import front_sheet
from stavebound.book.glossary import glossary_sheet
from stavebound.book.papers import Paper
from stavebound.book.reading import reading_sheet
from stavebound.book.values import Edition, Sheet
from stavebound.build.checking import edition_of, paper_of, setting_of
from stavebound.build.loading import load_project
from stavebound.build.values import House, Report
from stavebound.build.writing import told_aside, write_whole
from stavebound.engrave.parts import Setting
from stavebound.press.bind import bind
from stavebound.press.numbering import folio_chapter, folio_labels, next_opening, printed_numbers
from stavebound.press.pool import press_chapters, seldom_collecting
from stavebound.press.values import Chapter, Folios, Metadata, Pressed
from stavebound.wording.labels import labels

Tell = Callable[[str], None]


class OutIsSourceError(Exception):
    """The place for the PDF is that of a file from which the book is made."""


def build_book(
    path: Path, out: Path, paper: str | None, jobs: int, house: House, tell: Tell
) -> Report:
    """Build a book. Where that fails, an earlier book at `out` is set aside, and said so."""
    with seldom_collecting():
        return _build(path, out, paper, jobs, house, tell)


def _build(path: Path, out: Path, paper: str | None, jobs: int, house: House, tell: Tell) -> Report:
    tell("reading and checking")
    project = load_project(path, str(path))
    if any(Path(name).resolve() == out.resolve() for name, _ in project.texts):
        raise OutIsSourceError(str(out))
    sheet = paper_of(project.plan, paper)
    edition = edition_of(project, sheet, house)
    texts = dict(project.texts)
    if edition.value is None:
        return Report(edition.diagnostics, texts, told_aside(out))
    setting = setting_of(project.sheets, house)
    try:
        data = press_book(edition.value, sheet, setting, jobs, tell)
    except BaseException as failure:
        for note in told_aside(out):
            failure.add_note(note)
        raise
    write_whole(out, data)
    return Report(edition.diagnostics, texts, (), (out,))


def press_book(edition: Edition, paper: Paper, setting: Setting, jobs: int, tell: Tell) -> bytes:
    """The bound PDF. PressError where the press fails."""
    css = page_css(edition, paper)

    def press(sheets: Iterable[Sheet], jobs: int = 1) -> tuple[Pressed, ...]:
        chapters = (_chapter(sheet, css) for sheet in sheets)
        return press_chapters(chapters, setting.faces, jobs, lambda key: tell(f"pressed {key}"))

    chapters = len(edition.plan.chapters) + 1
    *exercises, reading = press(_body(edition, setting), min(jobs, chapters))
    body = (reading, *exercises)
    parts = _with_references(edition, setting, body, press)
    language = labels(edition.plan.language)["language"]
    folios = folio_chapter(folio_labels(parts), css, language)
    (layer,) = press_chapters((folios,), setting.faces)
    return bind(parts, layer, _metadata(edition, language))


def _body(edition: Edition, setting: Setting) -> Iterator[Sheet]:
    """What is soonest made comes first, so that the press has something to do."""
    yield from chapter_sheets(edition, setting)
    yield reading_sheet(edition, setting)


def _with_references(
    edition: Edition,
    setting: Setting,
    body: tuple[Pressed, ...],
    press: Callable[[Iterable[Sheet]], tuple[Pressed, ...]],
) -> tuple[Pressed, ...]:
    """Front, body and glossary, with the page numbers that the body was found to have.

    The contents name the glossary's page, which is known from the body alone;
    the glossary names pages of the front, so the front is pressed before it.
    """
    if not edition.plan.glossary:
        return (*press((front_sheet(edition, setting, printed_numbers(body)),)), *body)
    opening = {GLOSSARY: next_opening(body)}
    (front,) = press((front_sheet(edition, setting, printed_numbers(body) | opening),))
    (glossary,) = press((glossary_sheet(edition, printed_numbers((front, *body))),))
    return (front, *body, glossary)


def _chapter(sheet: Sheet, css: str) -> Chapter:
    return Chapter(sheet.key, sheet.html, sheet.images, Folios(sheet.folios), css, sheet.blind)


def _metadata(edition: Edition, language: str) -> Metadata:
    plan = edition.plan
    return Metadata(
        title=plan.title,
        author=plan.author or "",
        subject=plan.subtitle or "",
        language=language,
        created=datetime.combine(plan.date, time(), UTC),
    )
