"""The words that a layout prints by itself, by language.

In: a language. Out: its row of labels.toml, with the fixed spaces of the language in place.
KeyError for a language that the table does not have; ValueError where a language of the
table lacks a row that another has.
"""

from __future__ import annotations

import tomllib
from collections.abc import Iterable, Mapping
from functools import cache
from importlib.resources import files

from stavebound.score.typeset import Quotes

# The language in which the trade's own tables are written.
ENGLISH = "en"

# A narrow space on which no line breaks.
THIN, WHOLE = "\u202f", "\u00a0"


@cache
def languages() -> Mapping[str, Mapping[str, str]]:
    tables: Mapping[str, Mapping[str, str]] = read_words("labels.toml")
    for language, rows in tables.items():
        same_rows(f"labels in {language}", rows, tables[ENGLISH])
    return {language: _spaced(rows) for language, rows in tables.items()}


def labels(language: str) -> Mapping[str, str]:
    return languages()[language]


def read_words(name: str) -> Mapping[str, Mapping[str, str]]:
    """A file of words that lies beside this module, as it is written."""
    return tomllib.loads(files("stavebound.wording").joinpath(name).read_text(encoding="utf-8"))


def same_rows(what: str, rows: Iterable[str], wanted: Iterable[str]) -> None:
    """ValueError, which names `what`, where the rows are not exactly those that are wanted."""
    lacking, strange = set(wanted) - set(rows), set(rows) - set(wanted)
    if lacking or strange:
        raise ValueError(
            f"{what}: lacking {', '.join(sorted(lacking)) or 'nothing'}; "
            f"not in the tables {', '.join(sorted(strange)) or 'nothing'}"
        )


def in_type(text: str, language: str) -> str:
    """The text with the fixed spaces that the language has at its signs."""
    return _fixed(text, labels(language))


def quotes_of(language: str) -> Quotes:
    """The quotation marks of a language."""
    rows = labels(language)
    return Quotes(rows["quote_opens"], rows["quote_closes"])


def _spaced(rows: Mapping[str, str]) -> Mapping[str, str]:
    return {name: _fixed(text, rows) for name, text in rows.items()}


def _fixed(text: str, rows: Mapping[str, str]) -> str:
    for signs, space in ((rows["thin_before"], THIN), (rows["whole_before"], WHOLE)):
        for sign in signs:
            text = text.replace(f" {sign}", f"{space}{sign}")
    for sign in rows["whole_after"]:
        text = text.replace(f"{sign} ", f"{sign}{WHOLE}")
    return text
