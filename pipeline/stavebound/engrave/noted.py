"""A tempo that is told by a note: the note, and behind it how many of it there are in a minute.

In: a row of the table of notes, and the number. Out: the note with its left end and its head's
foot at nought, the words behind it, and the one word by which both are known until they have
their place.

    ♩ = 54
"""

from __future__ import annotations

import re
from fractions import Fraction
from typing import NamedTuple

from stavebound.engrave.outline import outline, sign_box
from stavebound.engrave.style import Setting
from stavebound.engrave.system import PlacedMark, PlacedText
from stavebound.engrave.texts import SetText, set_text
from stavebound.score.model import Music
from stavebound.trade.catalogue import Catalogue
from stavebound.trade.notes import Note

# The lane of notes and of what stands behind them.
PACE = "pace"
# A space on which no line is broken.
TIE = "\u00a0"
# A tempo as one word, by the value of its note, and the words before it.
WORD = re.compile(rf"(?:(.+) )?(\d+/?\d*){TIE}={TIE}(\d+)")


class Noted(NamedTuple):
    """A note, before its words so much `room`; `said` is what is copied for both."""

    note: PlacedMark
    words: SetText
    room: float
    said: str

    @property
    def width(self) -> float:
        return self.room + self.words.width

    def at(self, x: float, y: float) -> tuple[PlacedText, PlacedMark]:
        figures = tuple(figure.moved(x, y) for figure in self.note.figures)
        mark = PlacedMark(self.note.name, figures, self.note.box.moved(x, y), PACE)
        return self.words.at(x + self.room, y)._replace(said=self.said), mark


def count_value(music: Music) -> Fraction:
    """A count as a part of a whole note."""
    beats, unit = (int(number) for number in music.metre.split("/"))
    return Fraction(beats, unit) * (music.bars_per_count or 1) / (music.counts_per_bar or 1)


def count_note(music: Music, catalogue: Catalogue) -> Note | None:
    """The row of the table of notes for the part of a whole note that a count takes; None where
    no single note is so long."""
    value = count_value(music)
    return next((note for note in catalogue.notes.note if note.value == value), None)


def noted(note: Note, counts: object, setting: Setting) -> Noted:
    words = set_text(PACE, f"= {counts}", setting)
    mark = _note(note, words.size, setting)
    room = mark.box.right + setting.style.distance("note gap")
    return Noted(mark, words, room, f"{note.called} {words.text}")


def in_a_word(note: Note, counts: object) -> str:
    return f"{note.value}{TIE}={TIE}{counts}"


def _note(note: Note, size: float, setting: Setting) -> PlacedMark:
    """A note as large as suits text of this size."""
    notes, box = setting.catalogue.notes, sign_box(note.sign)
    scale = size * notes.share / notes.height
    figures = tuple(
        figure.moved(-box.left, -box.bottom).scaled(scale) for figure in outline(note.sign)
    )
    whole = box.moved(-box.left, -box.bottom)
    return PlacedMark("note", figures, whole.scaled(scale), PACE)
