"""Exercises as values for the templates of all editions.

In: an `Edition`, a piece and the setting. Out: an `ExercisePage`: words as HTML, the
music's facts, and the staves' lines, each with the text that stands for it.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass

from markupsafe import Markup

from stavebound.book.common import (
    caution_html,
    exercise_anchor,
    line_anchor,
    reading_of,
    words_of_layout,
)
from stavebound.book.grid import whole_lines
from stavebound.book.tempo import count_note, note_image, tempo_notes
from stavebound.book.values import Edition, Images, Piece
from stavebound.book.words import Reading, html_of, slug
from stavebound.engrave.parts import Setting
from stavebound.score.counts import time_line
from stavebound.score.model import Music, Prose
from stavebound.wording.sentences import music_facts, start_words

# Texts of an exercise that are set as lists, not as paragraphs.
LISTED = ("quality", "fault")
# White between two staves at the least, in millimetres.
BETWEEN = 1.5


@dataclass(frozen=True, slots=True)
class Line:
    """A line of music on a page: its image, the text that stands for it, its anchor, and the
    height it takes, in points."""

    name: str
    alt: str
    anchor: str
    height: float


@dataclass(frozen=True, slots=True)
class NoteShown:
    """A note value: its image and its name."""

    image: str
    name: str


@dataclass(frozen=True, slots=True)
class MusicShown:
    """What the music is: `note` is the count's value, None where it has no tempo or no note."""

    metre: str
    note: NoteShown | None
    tempo: int | None
    introduction: int | None
    facts: tuple[str, ...]
    character: Markup


@dataclass(frozen=True, slots=True)
class Text:
    text: Markup
    title: str | None
    by: str


@dataclass(frozen=True, slots=True)
class Group:
    """The texts of one kind, with the kind's label."""

    kind: str
    label: str
    texts: tuple[Text, ...]
    listed: bool


@dataclass(frozen=True, slots=True)
class ExercisePage:
    """An exercise as the templates have it; `lead` are the chapter's own words before it,
    `before` and `after` the texts before its staves and after."""

    anchor: str
    number: int
    title: str
    level: str | None
    lead: tuple[Markup, ...]
    aim: tuple[Markup, ...]
    music: MusicShown | None
    before: tuple[Group, ...]
    start: str
    lines: tuple[Line, ...]
    bars: int
    after: tuple[Group, ...]


def exercise_page(
    piece: Piece,
    path: str,
    edition: Edition,
    setting: Setting,
    before: tuple[str, ...] = (),
    after: tuple[str, ...] = (),
    lead: tuple[Markup, ...] = (),
) -> ExercisePage:
    """`path` is the score's in the plan; `before` and `after` name the kinds of texts there."""
    score, reading = piece.score, reading_of(edition, slug(path))
    return ExercisePage(
        anchor=exercise_anchor(piece.number),
        number=piece.number,
        title=score.title,
        level=score.level,
        lead=lead,
        aim=tuple(html_of(prose.words, reading) for prose in score.texts("aim")),
        music=_music(score.music, edition, reading, setting) if score.music else None,
        before=tuple(_groups(piece, before, edition, reading, setting)),
        start=start_words(score, piece.school, edition.school, setting.catalogue, edition.labels),
        lines=tuple(_lines(piece, edition)),
        bars=sum(bar.number > 0 for bar in time_line(score).bars),
        after=tuple(_groups(piece, after, edition, reading, setting)),
    )


def stave_images(pieces: Iterable[Piece]) -> Iterator[tuple[str, str]]:
    """The lines of these pieces: the very text that was proved."""
    for piece in pieces:
        for index, line in enumerate(piece.lines):
            yield _line_name(piece, index), line.svg


def note_images(pieces: Iterable[Piece], edition: Edition, setting: Setting) -> Images:
    """The note values that these pieces' tempi are given in, each once."""
    notes = tempo_notes((piece.score for piece in pieces), setting.catalogue)
    return tuple((name, edition.notes[name]) for name in map(note_image, notes))


def _line_name(piece: Piece, index: int) -> str:
    return f"{piece.number}-{index}"


def _lines(piece: Piece, edition: Edition) -> Iterator[Line]:
    words, leading = words_of_layout(edition), edition.paper.leading
    for index, line in enumerate(piece.lines):
        first, last = line.bars
        yield Line(
            name=_line_name(piece, index),
            alt=f"{words['bars']} {first}–{last}" if last > first else f"{words['bar']} {first}",
            anchor=line_anchor(piece.number, index),
            height=whole_lines(line.height + BETWEEN, leading) * leading,
        )


def _music(music: Music, edition: Edition, reading: Reading, setting: Setting) -> MusicShown:
    note = count_note(music, setting.catalogue) if music.tempo else None
    return MusicShown(
        metre=music.metre,
        note=NoteShown(note_image(note), note.name[edition.labels]) if note else None,
        tempo=music.tempo,
        introduction=music.introduction,
        facts=music_facts(music, note is None, edition.labels),
        character=html_of(music.words, reading),
    )


def _groups(
    piece: Piece, kinds: tuple[str, ...], edition: Edition, reading: Reading, setting: Setting
) -> Iterator[Group]:
    """The texts of an exercise by kind."""
    words = words_of_layout(edition)
    for kind in kinds:
        texts = tuple(_text(prose, edition, reading, setting) for prose in piece.score.texts(kind))
        if texts:
            yield Group(kind, words[kind], texts, kind in LISTED)


def _text(prose: Prose, edition: Edition, reading: Reading, setting: Setting) -> Text:
    usual = prose.kind == "caution" and not prose.words
    return Text(
        caution_html(prose, edition, reading, setting.catalogue)
        if usual
        else html_of(prose.words, reading),
        prose.get("title"),
        ", ".join(filter(None, (prose.get("by"), prose.get("dated")))),
    )
