"""The note values of tempi, as they stand in text.

In: the music of scores. Out: the notes that their tempi are given in, and their drawings.
"""

from __future__ import annotations

from collections.abc import Iterable
from urllib.parse import quote

from markupsafe import Markup

from stavebound.book.grid import POINTS
from stavebound.drawing.values import Drawing, Pen
from stavebound.engrave.noted import count_note
from stavebound.engrave.outline import outline, sign_box
from stavebound.faces import Faces
from stavebound.score.model import Score
from stavebound.svg.draw import draw
from stavebound.trade.catalogue import Catalogue
from stavebound.trade.notes import Note, Notes


def note_image(note: Note) -> str:
    """The name of its drawing among a sheet's images."""
    return f"note {note.value}"


def tempo_html(note: Note, tempo: int, table: Notes, language: str) -> Markup:
    """A count's note and how many of them a minute has, on one line; as large as the text round
    it. The style sheet has the white on both sides of the equals sign, in every face the same."""
    return Markup(
        '<span class="tempo"><img class="note" style="height: {:.3f}em" src="stave:{}" alt="{}">'
        '<span class="equals">=</span><span class="pace">{}</span></span>'
    ).format(note_height(note, table), quote(note_image(note)), note.name[language], tempo)


def tempo_notes(scores: Iterable[Score], catalogue: Catalogue) -> tuple[Note, ...]:
    """The notes that these scores' tempi are given in, each once."""
    musics = [score.music for score in scores if score.music and score.music.tempo]
    found = (count_note(music, catalogue) for music in musics)
    return tuple({note.value: note for note in found if note}.values())


def note_drawings(
    scores: Iterable[Score], type_size: float, catalogue: Catalogue, faces: Faces, language: str
) -> dict[str, str]:
    """The notes of the tempi of a book as SVG, by the names of their images; in text that is
    copied from a page stand their names in this language."""
    drawn = (
        (note, note_drawing(note, type_size, catalogue.notes, language))
        for note in tempo_notes(scores, catalogue)
    )
    return {note_image(note): draw(drawing, faces) for note, drawing in drawn}


def note_drawing(note: Note, type_size: float, table: Notes, language: str) -> Drawing:
    """A note as large as suits text of so many points, its head's foot at the bottom."""
    box, pens = sign_box(note.sign), (Pen(figures=outline(note.sign)),)
    space = type_size / POINTS * note_height(note, table) / box.height
    return Drawing(box, space, pens, said=note.name[language])


def note_height(note: Note, table: Notes) -> float:
    """In em of the text round it."""
    return sign_box(note.sign).height / table.height * table.share
