"""The tempo at the head of a score: a note value, and how many of it there are in a minute.

In: the music of a score. Out: a label that takes its place in the rows over the stave, over the
left end of the first line; and once it has its place, the note and the words behind it. A count
for which there is no single note is told as it is in a change of tempo: 1 = 54.

    ♩ = 54
    3 ══╎═══
"""

from __future__ import annotations

from collections.abc import Iterable
from fractions import Fraction
from typing import NamedTuple

from stavebound.engrave.columns import Label
from stavebound.engrave.outline import outline, sign_box
from stavebound.engrave.style import Setting
from stavebound.engrave.system import PlacedMark, PlacedText
from stavebound.engrave.texts import set_text
from stavebound.score.model import Music
from stavebound.trade.catalogue import Catalogue
from stavebound.trade.notes import Note

# The lanes of the tempo at the head, and of its changes.
PACE, CHANGE = "pace", "tempo"


class Pace(NamedTuple):
    """The tempo at the head: its words, before which the note takes so much `room`; `said` is
    what is copied for them, note and all."""

    label: Label
    note: PlacedMark | None
    room: float
    said: str = ""


def count_value(music: Music) -> Fraction:
    """A count as a part of a whole note."""
    beats, unit = (int(number) for number in music.metre.split("/"))
    return Fraction(beats, unit) * (music.bars_per_count or 1) / (music.counts_per_bar or 1)


def count_note(music: Music, catalogue: Catalogue) -> Note | None:
    """The row of the table of notes for the part of a whole note that a count takes; None where
    no single note is so long."""
    value = count_value(music)
    return next((note for note in catalogue.notes.note if note.value == value), None)


def pace(music: Music | None, setting: Setting) -> Pace | None:
    """What is told at the head; None where the score has no tempo."""
    if not (music and music.tempo):
        return None
    note = count_note(music, setting.catalogue)
    measure = setting.catalogue.lanes.measured[CHANGE].printed.format(music.tempo)
    words = set_text(PACE, f"= {music.tempo}" if note else measure, setting)
    mark = _note(note, words.size, setting) if note else None
    room = mark.box.right + setting.style.distance("note gap") if mark else 0.0
    label = Label(words.row, words.text, words.size, room + words.width)
    return Pace(label, mark, room, f"{note.called} {words.text}" if note else "")


def _note(note: Note, size: float, setting: Setting) -> PlacedMark:
    """A note as large as suits text of this size, its left end and its head's foot at nought."""
    notes, box = setting.catalogue.notes, sign_box(note.sign)
    scale = size * notes.share / notes.height
    figures = tuple(
        figure.moved(-box.left, -box.bottom).scaled(scale) for figure in outline(note.sign)
    )
    whole = box.moved(-box.left, -box.bottom)
    return PlacedMark("note", figures, whole.scaled(scale), PACE)


def with_note(
    texts: Iterable[PlacedText], told: Pace | None
) -> tuple[tuple[PlacedText, ...], tuple[PlacedMark, ...]]:
    """The texts with the words of the tempo moved behind its note, and the note at its place."""
    found, notes = list[PlacedText](), list[PlacedMark]()
    for text in texts:
        if told and text.lane == PACE:
            notes += [_moved(told.note, text.x, text.y)] if told.note else []
            x, width = text.x + told.room, text.width - told.room
            text = text._replace(x=x, width=width, said=told.said)
        found.append(text)
    return tuple(found), tuple(notes)


def _moved(mark: PlacedMark, dx: float, dy: float) -> PlacedMark:
    figures = tuple(figure.moved(dx, dy) for figure in mark.figures)
    return PlacedMark(mark.name, figures, mark.box.moved(dx, dy), mark.lane)
