"""The editions of a book: what each holds, all from the same sources and numbered alike.

An edition is a row: the sections of its front matter, the parts of its body, and behind
them the parts that refer to pages.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Mapping
from dataclasses import dataclass, replace

from stavebound.book.chapters import card_sheets, chapter_sheets
from stavebound.book.common import GLOSSARY, INDEX, MUSIC
from stavebound.book.front import front_images, front_sheet
from stavebound.book.glossary import glossary_sheet
from stavebound.book.index import index_sheet
from stavebound.book.lists import examiner_sheets, music_list, music_sheet
from stavebound.book.reading import reading_sheets
from stavebound.book.values import Edition, Sheet
from stavebound.engrave.parts import Setting

Numbers = Mapping[str, str]
MakeSheets = Callable[[Edition, Setting], Iterable[Sheet]]


@dataclass(frozen=True, slots=True)
class Reference:
    """A part that refers to pages: its anchor, how it is made, and which books have it."""

    anchor: str
    make: Callable[[Edition, Setting, Numbers], Sheet]
    wanted: Callable[[Edition], bool] = lambda edition: True


@dataclass(frozen=True, slots=True)
class MakeUp:
    """An edition. `label` is the label that the title page calls it by, `paper` the paper it
    is for where nobody asks for another; None where the book's own will do."""

    name: str
    label: str | None
    sections: tuple[str, ...]
    body: tuple[MakeSheets, ...]
    references: tuple[Reference, ...] = ()
    paper: str | None = None


MUSIC_LIST = Reference(MUSIC, music_sheet)
INDEXED = Reference(INDEX, lambda edition, setting, numbers: index_sheet(edition, numbers))
EXPLAINED = Reference(
    GLOSSARY,
    lambda edition, setting, numbers: glossary_sheet(edition, numbers),
    lambda edition: bool(edition.plan.glossary),
)

TEACHER = MakeUp(
    "teacher",
    None,
    ("title", "cautions", "contents", "preface"),
    (reading_sheets, chapter_sheets),
    (MUSIC_LIST, EXPLAINED, INDEXED),
)
MAKE_UPS = {
    make_up.name: make_up
    for make_up in (
        TEACHER,
        MakeUp("cards", "cards", ("title", "cautions"), (card_sheets, reading_sheets), paper="A4"),
        MakeUp("music", "music_list", (), (music_list,)),
        MakeUp("examiner", "examiner", (), (examiner_sheets,)),
    )
}


def made_up(make_up: MakeUp, edition: Edition) -> Edition:
    """The edition as this make-up has it."""
    return replace(edition, explained=EXPLAINED in _references(make_up, edition))


def body_sheets(
    make_up: MakeUp, edition: Edition, setting: Setting
) -> Iterator[tuple[tuple[int, int], Sheet]]:
    """The sheets of the body, each with its rank, by which they are put in order. The last
    part comes first: pictures of the key take long, and chapters can be pressed meanwhile."""
    for part in reversed(range(len(make_up.body))):
        for at, sheet in enumerate(make_up.body[part](edition, setting)):
            yield (part, at), sheet


def front_sheets(
    make_up: MakeUp, edition: Edition, setting: Setting, named: str | None
) -> Callable[[Numbers], tuple[Sheet, ...]]:
    """What makes the front matter, where the edition has any, for these page numbers."""
    if not make_up.sections:
        return lambda numbers: ()
    anchors = tuple(row.anchor for row in _references(make_up, edition))
    images, sections = front_images(edition, setting), make_up.sections
    return lambda numbers: (
        front_sheet(edition, setting, numbers, sections, images, anchors, named),
    )


def reference_sheets(
    make_up: MakeUp, edition: Edition, setting: Setting, numbers: Numbers
) -> tuple[Sheet, ...]:
    return tuple(row.make(edition, setting, numbers) for row in _references(make_up, edition))


def _references(make_up: MakeUp, edition: Edition) -> tuple[Reference, ...]:
    return tuple(row for row in make_up.references if row.wanted(edition))
