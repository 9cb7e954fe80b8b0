"""The note value of a count, and its drawing."""

from __future__ import annotations

from fractions import Fraction

import pytest

from stavebound.book.tempo import (
    count_note,
    count_value,
    note_drawing,
    note_height,
    tempo_html,
)
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


# In em: from measures of book faces; a stem of a letter and a full stop of the usual face.
STEM, FULL_STOP = 0.045, 0.114


@pytest.mark.parametrize("note", CATALOGUE.notes.note, ids=lambda note: note.name["en"])
def test_a_note_is_as_strong_as_the_letters_round_it(note: Note) -> None:
    table = CATALOGUE.notes
    em = table.share / table.height
    assert all(stroke[-1] * em >= STEM for stroke in note.sign.strokes)
    assert all(curve[-1] * em >= STEM for curve in note.sign.curves)
    dots = [row for row in note.sign.discs if row[0] > 1]
    assert len(dots) == note.name["en"].startswith("dotted")
    assert all(diameter * em > FULL_STOP for _, _, diameter in dots)


def test_a_tempo_is_one_word_with_thin_spaces_and_grows_with_its_text() -> None:
    note = next(note for note in CATALOGUE.notes.note if note.name["en"] == "crotchet")
    html = tempo_html(note, 72, CATALOGUE.notes, "en")
    assert html.startswith('<span class="tempo">')
    assert html.endswith("\u2009=\u200972</span>")
    assert f"height: {note_height(note, CATALOGUE.notes):.3f}em" in html
    assert note_height(note, CATALOGUE.notes) == pytest.approx(CATALOGUE.notes.share, abs=0.01)
