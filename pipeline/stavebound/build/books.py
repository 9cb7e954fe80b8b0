"""Books: from a plan to a bound PDF.

In: a book's file, the paper, the edition, how many processes. Out: the book at its place,
or nothing new there at all. Body and front first, then what refers to pages with the page
numbers found, then the front once more with all of them, then the margins; then everything
is bound.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator
from datetime import UTC, datetime, time
from pathlib import Path

from stavebound.book.common import margins_css, page_css, words_of_layout
from stavebound.book.editions import (
    MakeUp,
    body_sheets,
    front_sheets,
    made_up,
    reference_sheets,
)
from stavebound.book.values import Edition, Sheet
from stavebound.build.checking import edition_of, language_of, paper_of, setting_of
from stavebound.build.loading import load_project, load_style, with_style
from stavebound.build.values import House, Report
from stavebound.build.writing import told_aside, write_whole
from stavebound.engrave.parts import Setting
from stavebound.press.bind import bind
from stavebound.press.margins import leaves, margin_chapter
from stavebound.press.numbering import printed_numbers
from stavebound.press.pool import press_chapters, seldom_collecting
from stavebound.press.values import Chapter, Folios, Metadata, Pressed, PressError
from stavebound.wording.labels import labels

Tell = Callable[[str], None]
Press = Callable[[Iterable[Sheet]], tuple[Pressed, ...]]

# How often the contents are set until their own page numbers agree with them.
TRIES = 3


class OutIsSourceError(Exception):
    """The place for the PDF is that of a file from which the book is made."""


class Unknown(dict[str, str]):
    """Page numbers that are not known yet: as wide as most, in a first setting."""

    def __missing__(self, anchor: str) -> str:
        return "00"


@seldom_collecting()
def build_book(
    path: Path,
    out: Path,
    paper: str | None,
    make_up: MakeUp,
    jobs: int,
    house: House,
    tell: Tell,
    style: Path | None = None,
) -> Report:
    """Build an edition of a book, with the style that is named over its own. Where that
    fails, an earlier book at `out` is set aside, and said so."""
    tell("reading and checking")
    project = with_style(load_project(path, str(path)), load_style(style))
    if any(Path(name).resolve() == out.resolve() for name, _ in project.texts):
        raise OutIsSourceError(str(out))
    edition = edition_of(project, paper_of(project.plan, paper or make_up.paper), house)
    texts = dict(project.texts)
    if edition.value is None:
        return Report(edition.diagnostics, texts, told_aside(out))
    setting = setting_of(project.sheets, house, language_of(project.plan))
    try:
        data = press_book(edition.value, make_up, setting, jobs, tell)
    except BaseException as failure:
        for note in told_aside(out):
            failure.add_note(note)
        raise
    write_whole(out, data)
    return Report(edition.diagnostics, texts, (), (out,))


def press_book(edition: Edition, make_up: MakeUp, setting: Setting, jobs: int, tell: Tell) -> bytes:
    """The bound PDF. PressError where the press fails."""
    edition = made_up(make_up, edition)
    css, language = page_css(edition), labels(edition.language)["language"]

    def press(sheets: Iterable[Sheet], jobs: int = 1) -> tuple[Pressed, ...]:
        chapters = (_chapter(sheet, css) for sheet in sheets)
        return press_chapters(chapters, setting.faces, jobs, lambda key: tell(f"pressed {key}"))

    body = _body(edition, make_up, setting, lambda sheets: press(sheets, jobs))
    parts = _settled(edition, make_up, setting, body, press)
    margins = margin_chapter(leaves(parts), margins_css(edition), language)
    (layer,) = press_chapters((margins,), setting.faces)
    return bind(parts, layer, _metadata(edition, make_up), edition.paper.shift)


def _body(edition: Edition, make_up: MakeUp, setting: Setting, press: Press) -> tuple[Pressed, ...]:
    """The parts of the body in order, pressed as they are made."""
    ranks: dict[str, tuple[int, int]] = {}

    def sheets() -> Iterator[Sheet]:
        for rank, sheet in body_sheets(make_up, edition, setting):
            ranks[sheet.key] = rank
            yield sheet

    return tuple(sorted(press(sheets()), key=lambda part: ranks[part.key]))


def _settled(
    edition: Edition, make_up: MakeUp, setting: Setting, body: tuple[Pressed, ...], press: Press
) -> tuple[Pressed, ...]:
    """All parts in order, those that refer to pages with the numbers that are printed."""
    named = _named(edition, make_up)
    front = press(front_sheets(make_up, edition, setting, Unknown(), named))
    for _ in range(TRIES):
        numbers = printed_numbers((*front, *body))
        references = press(reference_sheets(make_up, edition, setting, numbers))
        numbers = printed_numbers((*front, *body, *references))
        again = press(front_sheets(make_up, edition, setting, numbers, named))
        if _places(again) == _places(front):
            return (*again, *body, *references)
        front = again
    raise PressError("the page numbers of the contents do not settle")


def _places(parts: tuple[Pressed, ...]) -> list[tuple[str, int]]:
    return [(anchor.name, anchor.page) for part in parts for anchor in part.anchors]


def _chapter(sheet: Sheet, css: str) -> Chapter:
    return Chapter(
        sheet.key, sheet.html, sheet.images, Folios(sheet.folios), css, sheet.blind, sheet.openings
    )


def _named(edition: Edition, make_up: MakeUp) -> str | None:
    """What an edition is called beside the book's title; nothing where it is the book."""
    return words_of_layout(edition)[make_up.label] if make_up.label else None


def _metadata(edition: Edition, make_up: MakeUp) -> Metadata:
    plan, named = edition.plan, _named(edition, make_up)
    return Metadata(
        title=f"{plan.title}: {named}" if named else plan.title,
        author=plan.author or "",
        subject=plan.subtitle or "",
        language=labels(edition.language)["language"],
        created=datetime.combine(plan.date, time(), UTC),
    )
