"""The editions of a book: what each holds, all from the same sources and numbered alike.

In: a `Manuscript`, whose edition says its sections, and the setting. Out: its sheets. What can
make a section is a closed set: whatever else differs from one layout or edition to another
is in the layout's description.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Mapping
from functools import cache

from stavebound.book.chapters import chapter_sheets, chapter_titles
from stavebound.book.common import in_labels, words_of_layout
from stavebound.book.front import front_images, front_sheet
from stavebound.book.glossary import glossary_sheet
from stavebound.book.index import index_sheet
from stavebound.book.layouts import Section
from stavebound.book.leaf import leaf_sheet
from stavebound.book.lists import exercises_sheet
from stavebound.book.reading import reading_sheets
from stavebound.book.values import GLOSSARY, Manuscript, Numbers, Pages, Sheet, Title
from stavebound.engrave.parts import Setting

# A sheet, and its place: the number of its section, and its own there.
Ranked = tuple[tuple[int, int], Sheet]

# What makes sections of the body, by name.
BODY: Mapping[str, Callable[[Section, Manuscript, Setting], Iterable[Sheet]]] = {
    "chapters": chapter_sheets,
    "exercises": exercises_sheet,
}
# What makes those of the body that refer to pages of it, for any page numbers.
REFERRING: Mapping[str, Callable[[Section, Manuscript, Setting], Pages]] = {
    "reading": reading_sheets,
}
# What makes those behind it, which refer to pages.
BACK: Mapping[str, Callable[[Section, Manuscript, Setting, Numbers], Iterable[Sheet]]] = {
    "exercises": exercises_sheet,
    GLOSSARY: glossary_sheet,
    "index": index_sheet,
    "leaf": leaf_sheet,
}
# Sections that some books do without.
WANTED: Mapping[str, Callable[[Manuscript], bool]] = {
    "preface": lambda manuscript: bool(manuscript.plan.preface),
    GLOSSARY: lambda manuscript: bool(manuscript.plan.glossary),
}
CONTENTS = "contents"
# The lines of the contents, where they are more than a section's own heading.
TITLES: Mapping[str, Callable[[Section, Manuscript], Iterable[Title]]] = {
    "chapters": chapter_titles
}


def body_sheets(manuscript: Manuscript, setting: Setting) -> Iterator[Ranked]:
    """The sheets of the body that refer to no page, each with its rank, by which all are put
    in order."""
    for part, section in enumerate(_wanted(manuscript.edition.body, manuscript)):
        if section.make in BODY:
            for at, sheet in enumerate(BODY[section.make](section, manuscript, setting)):
                yield (part, at), sheet


def referring_sheets(
    manuscript: Manuscript, setting: Setting
) -> Callable[[Numbers], Iterator[Ranked]]:
    """What makes the other sheets of the body, for these page numbers. Their pictures take
    long, and are made when it is first asked."""

    @cache
    def makers() -> tuple[tuple[int, Pages], ...]:
        sections = enumerate(_wanted(manuscript.edition.body, manuscript))
        return tuple(
            (part, REFERRING[section.make](section, manuscript, setting))
            for part, section in sections
            if section.make in REFERRING
        )

    def sheets(numbers: Numbers) -> Iterator[Ranked]:
        for part, made in makers():
            for at, sheet in enumerate(made(numbers)):
                yield (part, at), sheet

    return sheets


def front_sheets(
    manuscript: Manuscript, setting: Setting
) -> Callable[[Numbers], tuple[Sheet, ...]]:
    """What makes the front matter, where the edition has any, for these page numbers."""
    sections = _wanted(manuscript.edition.front, manuscript)
    if not sections:
        return lambda numbers: ()
    images, titles = front_images(sections, manuscript, setting), tuple(_titles(manuscript))
    return lambda numbers: (front_sheet(sections, manuscript, setting, titles, numbers, images),)


def reference_sheets(
    manuscript: Manuscript, setting: Setting, numbers: Numbers
) -> tuple[Sheet, ...]:
    return tuple(
        sheet
        for section in _wanted(manuscript.edition.back, manuscript)
        for sheet in BACK[section.make](section, manuscript, setting, numbers)
    )


def _wanted(sections: tuple[Section, ...], manuscript: Manuscript) -> tuple[Section, ...]:
    return tuple(
        section
        for section in sections
        if section.make not in WANTED or WANTED[section.make](manuscript)
    )


def _titles(manuscript: Manuscript) -> Iterator[Title]:
    """The lines of the contents, which has none of its own."""
    edition = manuscript.edition
    for section in _wanted((*edition.front, *edition.body, *edition.back), manuscript):
        if section.make == CONTENTS:
            continue
        if section.make in TITLES:
            yield from TITLES[section.make](section, manuscript)
        elif section.label:
            heading = words_of_layout(manuscript)[section.label]
            yield Title(section.name, in_labels(heading, manuscript))
