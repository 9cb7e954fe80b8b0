"""The note value of a count, and its drawing."""

from __future__ import annotations

from fractions import Fraction

import pytest

from stavebound.book.tempo import count_note, count_value, note_drawing
from stavebound.score.model import Music
from stavebound.svg.draw import draw
from stavebound.trade.notes import Note
from tests.support.staves import CATALOGUE, SETTING

# Common practice of music: what a count is in these metres.
COUNTS = [
    (Music("3/4", counts_per_bar=1), "3/4", "dotted minim"),
    (Music("2/4", counts_per_bar=2), "1/4", "crotchet"),
    (Music("4/4", counts_per_bar=2), "1/2", "minim"),
    (Music("6/8", counts_per_bar=2), "3/8", "dotted crotchet"),
    (Music("6/8", counts_per_bar=1), "3/4", "dotted minim"),
    (Music("2/4", counts_per_bar=4), "1/8", "quaver"),
    (Music("3/4", bars_per_count=2), "3/2", "dotted semibreve"),
]


@pytest.mark.parametrize(("music", "value", "name"), COUNTS)
def test_a_count_has_a_note_value(music: Music, value: str, name: str) -> None:
    note = count_note(music, CATALOGUE)
    assert count_value(music) == Fraction(value)
    assert note is not None
    assert note.name["en"] == name


def test_a_count_that_is_no_single_note_has_none() -> None:
    assert count_note(Music("5/4", counts_per_bar=1), CATALOGUE) is None


@pytest.mark.parametrize("language", ["en", "fr"])
@pytest.mark.parametrize("note", CATALOGUE.notes.note, ids=lambda note: note.name["en"])
def test_every_note_is_drawn_and_named_in_both_languages(note: Note, language: str) -> None:
    drawing = note_drawing(note, 10.5, CATALOGUE.notes, language)
    svg = draw(drawing, SETTING.faces)
    assert svg.count("<path") == 1
    assert f"<desc>{note.name[language]}</desc>" in svg
