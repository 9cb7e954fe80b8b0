"""The editions of a book: what each holds, all from the same sources and numbered alike.

In: an `Edition`, whose make-up says its sections, and the setting. Out: its sheets. What can
make a section is a closed set: whatever else differs from one layout or edition to another
is in the layout's description.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Mapping

from stavebound.book.chapters import chapter_sheets, chapter_titles
from stavebound.book.common import in_labels, words_of_layout
from stavebound.book.front import front_images, front_sheet
from stavebound.book.glossary import glossary_sheet
from stavebound.book.index import index_sheet
from stavebound.book.layouts import Section
from stavebound.book.lists import exercises_sheet
from stavebound.book.reading import reading_sheets
from stavebound.book.values import GLOSSARY, Edition, Numbers, Sheet, Title
from stavebound.engrave.parts import Setting

# What makes sections of the body, by name.
BODY: Mapping[str, Callable[[Section, Edition, Setting], Iterable[Sheet]]] = {
    "reading": reading_sheets,
    "chapters": chapter_sheets,
    "exercises": exercises_sheet,
}
# What makes those behind it, which refer to pages.
BACK: Mapping[str, Callable[[Section, Edition, Setting, Numbers], Iterable[Sheet]]] = {
    "exercises": exercises_sheet,
    GLOSSARY: glossary_sheet,
    "index": index_sheet,
}
# Sections that some books do without.
WANTED: Mapping[str, Callable[[Edition], bool]] = {
    "preface": lambda edition: bool(edition.plan.preface),
    GLOSSARY: lambda edition: bool(edition.plan.glossary),
}
# The lines of the contents, where they are more than a section's own heading.
TITLES: Mapping[str, Callable[[Section, Edition], Iterable[Title]]] = {"chapters": chapter_titles}


def body_sheets(edition: Edition, setting: Setting) -> Iterator[tuple[tuple[int, int], Sheet]]:
    """The sheets of the body, each with its rank, by which they are put in order. The last
    section comes first: pictures of the key take long, and chapters can be pressed meanwhile."""
    sections = list(enumerate(_wanted(edition.make_up.body, edition)))
    for part, section in reversed(sections):
        for at, sheet in enumerate(BODY[section.make](section, edition, setting)):
            yield (part, at), sheet


def front_sheets(edition: Edition, setting: Setting) -> Callable[[Numbers], tuple[Sheet, ...]]:
    """What makes the front matter, where the edition has any, for these page numbers."""
    sections = _wanted(edition.make_up.front, edition)
    if not sections:
        return lambda numbers: ()
    images, titles = front_images(sections, edition, setting), tuple(_titles(edition))
    return lambda numbers: (front_sheet(sections, edition, setting, titles, numbers, images),)


def reference_sheets(edition: Edition, setting: Setting, numbers: Numbers) -> tuple[Sheet, ...]:
    return tuple(
        sheet
        for section in _wanted(edition.make_up.back, edition)
        for sheet in BACK[section.make](section, edition, setting, numbers)
    )


def _wanted(sections: tuple[Section, ...], edition: Edition) -> tuple[Section, ...]:
    return tuple(
        section
        for section in sections
        if section.make not in WANTED or WANTED[section.make](edition)
    )


def _titles(edition: Edition) -> Iterator[Title]:
    """The lines of the contents."""
    for section in _wanted((*edition.make_up.body, *edition.make_up.back), edition):
        if section.make in TITLES:
            yield from TITLES[section.make](section, edition)
        elif section.label:
            heading = words_of_layout(edition)[section.label]
            yield Title(section.name, in_labels(heading, edition))
