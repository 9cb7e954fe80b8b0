"""Tempi: a note value, and how many of it there are in a minute, at the head and where it changes.

In: the music of a score. Out: a label that takes its place in the rows over the stave, over the
left end of the first line; and once texts have their places, notes and the words behind them. A
count for which there is no single note is told by itself: 1 = 54.

    ♩ = 54               a little quicker ♩ = 60
    3 ══╎══════════════╎═══
"""

from __future__ import annotations

from collections.abc import Iterable
from typing import NamedTuple

from stavebound.engrave.columns import Label
from stavebound.engrave.noted import PACE, WORD, Noted, count_note, noted
from stavebound.engrave.style import Setting
from stavebound.engrave.system import PlacedMark, PlacedText
from stavebound.engrave.texts import set_text, text_width
from stavebound.score.model import Music

# The lane of the changes of a tempo.
CHANGE = "tempo"


class Pace(NamedTuple):
    """The tempo at the head: its label, and the note with its words where there is one."""

    label: Label
    noted: Noted | None


def pace(music: Music | None, setting: Setting) -> Pace | None:
    """What is told at the head; None where the score has no tempo."""
    if not (music and music.tempo):
        return None
    note = count_note(music, setting.catalogue)
    found = noted(note, music.tempo, setting) if note else None
    measure = setting.catalogue.lanes.measured[CHANGE].printed.format(music.tempo)
    words = found.words if found else set_text(PACE, measure, setting)
    width = found.width if found else words.width
    return Pace(Label(words.row, words.text, words.size, width), found)


def with_notes(
    texts: Iterable[PlacedText], told: Pace | None, setting: Setting
) -> tuple[tuple[PlacedText, ...], tuple[PlacedMark, ...]]:
    """The texts with each note's number behind it, and the notes at their places."""
    found, notes = list[PlacedText](), list[PlacedMark]()
    for text in texts:
        words, own = _parted(text, told, setting)
        found += [words] if words else []
        if own:
            number, note = own.at(text.x + text.width - own.width, text.y)
            found.append(number._replace(lane=text.lane))
            notes.append(note)
    return tuple(found), tuple(notes)


def _parted(
    text: PlacedText, told: Pace | None, setting: Setting
) -> tuple[PlacedText | None, Noted | None]:
    """A text without the tempo that a note tells behind it, and that."""
    if text.lane == PACE and told and told.noted:
        return None, told.noted
    change = WORD.fullmatch(text.text) if text.lane == CHANGE else None
    if change is None:
        return text, None
    words, value, counts = change.groups()
    note = next(note for note in setting.catalogue.notes.note if str(note.value) == value)
    row, own = setting.catalogue.lanes.texts[CHANGE], noted(note, counts, setting)
    if not words:
        return None, own
    width = text_width(row, words, text.size, setting.faces)
    return text._replace(text=words, width=width), own
