"""The words that the trade's tables print."""

from __future__ import annotations

from collections.abc import Iterator

from stavebound.wording.translation import catalogue_in, caution_in, name_in, printed_rows
from tests.support.staves import CATALOGUE


def table_texts(language: str) -> Iterator[str]:
    """All that the trade's tables print in a language."""
    catalogue = catalogue_in(language, CATALOGUE)
    yield from (row.label for row in catalogue.ruling.line)
    about = (row.about for row in CATALOGUE.cautions.caution)
    yield from (caution_in(language, each, CATALOGUE) for each in about)
    yield from (text for row in catalogue.key.row for text in (row.name, row.meaning))
    yield from (text for scale in catalogue.key.scale for text in (scale.group, scale.note))
    yield from (row.title for row in catalogue.groups.group)
    yield from (text for row in catalogue.movements.movement for text in (row.group, row.meaning))
    for sign in catalogue.signs.values():
        yield from (sign.meaning, sign.description, sign.source)
    yield from (note.name[language] for note in catalogue.notes.note)
    yield from (row.meaning for row in catalogue.repeats.key)
    for part in ("arms", "feet"):
        yield from (name_in(language, part, name) for name in printed_rows(CATALOGUE)[part])
