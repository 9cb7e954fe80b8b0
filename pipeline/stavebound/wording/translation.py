"""The trade's tables in another language: what they print, and nothing else of them.

In: the packaged catalogue and a language of the labels. Out: a catalogue whose key,
names of the lines, signs and movements say their words in that language. ValueError where
the language's table has not exactly the rows of the trade's tables.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from functools import cache
from typing import TypeVar

from stavebound.trade.catalogue import Catalogue
from stavebound.trade.tables import Row
from stavebound.wording.labels import ENGLISH, in_type, read_words, same_rows

R = TypeVar("R", bound=Row)

# A row's field → the part of a language's table that has its words, and the field by which
# they are found there.
Said = Mapping[str, tuple[str, str]]

# A table of the catalogue → its kinds of rows, and what they print.
PRINTED: Mapping[str, Mapping[str, Said]] = {
    "ruling": {"line": {"label": ("line", "name"), "short": ("line-short", "name")}},
    "key": {
        "scale": {"group": ("key-group", "group"), "note": ("key-note", "name")},
        "remark": {"words": ("key-remark", "count")},
        "row": {"name": ("key-name", "feature"), "meaning": ("key", "feature")},
    },
    "repeats": {"key": {"meaning": ("repeat", "feature")}},
    "groups": {"group": {"title": ("sign-group", "title")}},
    "movements": {
        "movement": {"group": ("movement-group", "group"), "meaning": ("movement", "meaning")}
    },
}
SIGN: Said = {
    "meaning": ("sign", "name"),
    "description": ("drawing", "name"),
    "source": ("origin", "source"),
}


def catalogue_in(language: str, catalogue: Catalogue) -> Catalogue:
    if language == ENGLISH:
        return catalogue
    words = _words(language)
    _hold_against_tables(language, words, catalogue)
    tables = {
        table: getattr(catalogue, table).model_copy(
            update={
                rows: tuple(_saying(said, words, getattr(getattr(catalogue, table), rows)))
                for rows, said in kinds.items()
            }
        )
        for table, kinds in PRINTED.items()
    }
    said = _saying(SIGN, words, catalogue.signs.values())
    signs = dict(zip(catalogue.signs, said, strict=True))
    tables["notes"] = _notes_in(language, catalogue)
    return catalogue.under((language, words), signs=signs, **tables)


def _notes_in(language: str, catalogue: Catalogue) -> Row:
    notes = catalogue.notes.note
    own = tuple(note.model_copy(update={"own_name": note.name[language]}) for note in notes)
    return catalogue.notes.model_copy(update={"note": own})


def name_in(language: str, part: str, name: str) -> str:
    """A name in a sentence: of arms, of a position of the feet, or of a departure from it."""
    return name if language == ENGLISH else _words(language)[part][name]


def caution_in(language: str, about: str, catalogue: Catalogue) -> str:
    """The usual words of a caution, which stand among a book's own text."""
    text = next(row.text for row in catalogue.cautions.caution if row.about == about)
    return text if language == ENGLISH else _words(language)["caution"][about]


def printed_rows(catalogue: Catalogue) -> Mapping[str, frozenset[str]]:
    """The rows that a language's table has, by part."""
    parts = dict(_names(catalogue))
    for table, kinds in PRINTED.items():
        for rows, said in kinds.items():
            for part, key in said.values():
                parts[part] = _keys(key, getattr(getattr(catalogue, table), rows))
    for part, key in SIGN.values():
        parts[part] = _keys(key, catalogue.signs.values())
    return parts


@cache
def _words(language: str) -> Mapping[str, Mapping[str, str]]:
    return {
        part: {name: in_type(text, language) for name, text in rows.items()}
        for part, rows in read_words(f"tables-{language}.toml").items()
    }


def _hold_against_tables(
    language: str, words: Mapping[str, Mapping[str, str]], catalogue: Catalogue
) -> None:
    wanted = printed_rows(catalogue)
    same_rows(f"the tables in {language}", words, wanted)
    for part, rows in wanted.items():
        same_rows(f"the tables in {language}, {part}", words[part], rows)


def _saying(said: Said, words: Mapping[str, Mapping[str, str]], rows: Iterable[R]) -> Iterator[R]:
    for row in rows:
        texts = {field: words[part][getattr(row, key)] for field, (part, key) in said.items()}
        yield row.model_copy(update=texts)


def _keys(field: str, rows: Iterable[Row]) -> frozenset[str]:
    return frozenset(getattr(row, field) for row in rows)


def _names(catalogue: Catalogue) -> Iterator[tuple[str, frozenset[str]]]:
    schools, shapes = catalogue.schools.school, catalogue.shapes
    own = frozenset(name for school in schools for name in school.arms.values())
    yield "arms", own | _keys("name", shapes.hand) | _keys("name", shapes.arms)
    yield "feet", _keys("name", catalogue.feet.position)
    yield "caution", _keys("about", catalogue.cautions.caution)
    yield "departure", _keys("name", (row for row in catalogue.departures.value if row.said))
