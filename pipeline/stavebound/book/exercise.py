"""Exercises as values for the templates of all editions.

In: a `Manuscript`, a piece and the setting. Out: an `ExercisePage`: words as HTML, the
music's facts, and the staves' lines, each with the text that stands for it. What is said of a
score in sentences is in the language of the text, so that no line mixes two.
"""

from __future__ import annotations

from collections.abc import Collection, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from itertools import groupby

from markupsafe import Markup

from stavebound.book.common import (
    caution_html,
    exercise_anchor,
    line_anchor,
    reading_of,
    words_of_layout,
)
from stavebound.book.grid import whole_lines
from stavebound.book.layouts import Section
from stavebound.book.tempo import note_image, tempo_html, tempo_notes
from stavebound.book.values import Images, Manuscript, Piece
from stavebound.book.words import Meanings, breakable, ended, html_of, slug
from stavebound.engrave.noted import count_note
from stavebound.engrave.parts import Setting
from stavebound.score.model import Music, Prose, Score
from stavebound.score.read import PROSE
from stavebound.wording.labels import labels
from stavebound.wording.sentences import counts_said, music_facts, start_words, status_words

# What a section can show of an exercise besides the texts of its score: the words of the chapter
# that lead into it, the line of facts, its music, its starting position and its staves, the
# last two kinds with forms of their own.
LEAD, FACTS, MUSIC, START, STAVES = "lead", "facts", "music", "start", "staves"
STATUS = "status"
OWN_FORMS = {FACTS: FACTS, STAVES: STAVES}
FREE_KINDS = (LEAD, MUSIC, START, *PROSE, STATUS)
KINDS = (*FREE_KINDS, *OWN_FORMS)
# How texts can be set; where a layout says nothing, they run on after their labels.
FORMS = ("words", "list", "run", "small")
RUN = "run"


@dataclass(frozen=True, slots=True)
class ShownLine:
    """A line of music on a page: its image, the text that stands for it, its anchor, and the
    height it takes, in points."""

    name: str
    alt: str
    anchor: str
    height: float


@dataclass(frozen=True, slots=True)
class MusicShown:
    """What the music is; `tempo` is the count's note and its number, empty where it has no tempo
    or no single note is so long."""

    metre: str
    tempo: Markup
    introduction: int | None
    character: Markup

    @property
    def in_a_cell(self) -> Markup:
        """The character, for a cell of a table."""
        return breakable(ended(self.character))


@dataclass(frozen=True, slots=True)
class ShownText:
    text: Markup
    title: str | None = None
    by: str = ""


@dataclass(frozen=True, slots=True)
class Kind:
    """The texts of one kind, with the kind's label; of staves those that stand for the lines."""

    name: str
    label: str | None
    texts: tuple[ShownText, ...] = ()


@dataclass(frozen=True, slots=True)
class AlikeKinds:
    """Kinds that follow each other and are set alike: one group on the page, or in its margin
    column."""

    form: str
    texts: tuple[Kind, ...]
    beside: bool = False


@dataclass(frozen=True, slots=True)
class ExercisePage:
    """An exercise as the templates have it; `shown` is what stands under its title, `plain` the
    same without a margin column, where that is not `shown` already."""

    anchor: str
    number: int
    title: str
    music: MusicShown | None
    lines: tuple[ShownLine, ...]
    bars: int
    shown: tuple[AlikeKinds, ...]
    plain: tuple[AlikeKinds, ...]


def exercise_page(
    piece: Piece,
    path: str,
    section: Section,
    manuscript: Manuscript,
    setting: Setting,
    lead: tuple[Markup, ...] = (),
) -> ExercisePage:
    """`path` is the score's in the plan; `lead` are the chapter's own words before it."""
    score, reading = piece.score, reading_of(manuscript, slug(path))
    music = _music(score.music, manuscript, reading, setting) if score.music else None
    lines = tuple(shown_line(piece, index, manuscript) for index in range(len(piece.lines)))
    own = {
        LEAD: lead,
        FACTS: tuple(_facts(score, music, manuscript, STAVES in section.texts)),
        MUSIC: tuple(_music_words(score.music, music, manuscript)),
        START: tuple(_start(piece, manuscript, setting, barre=FACTS not in section.texts)),
        STATUS: tuple(_status(score, manuscript)),
        STAVES: tuple(Markup("{}").format(line.alt) for line in lines),
    }
    texts = {kind: tuple(map(ShownText, words)) for kind, words in own.items()} | {
        kind: tuple(_text(prose, manuscript, reading, setting) for prose in score.texts(kind))
        for kind in PROSE
    }
    kinds = tuple(filter(texts.get, section.texts))
    aside = section.beside if _has_column(lines, manuscript) else ()
    return ExercisePage(
        anchor=exercise_anchor(piece.number),
        number=piece.number,
        title=score.title,
        music=music,
        lines=lines,
        bars=piece.bars,
        shown=tuple(_runs(kinds, texts, aside, manuscript)),
        plain=tuple(_runs(kinds, texts, (), manuscript)) if {*kinds}.intersection(aside) else (),
    )


def _has_column(lines: Sequence[ShownLine], manuscript: Manuscript) -> bool:
    """Whether there is a margin column: on a large page, for an exercise that may be one page."""
    paper = manuscript.paper
    return bool(paper.column) and sum(line.height for line in lines) <= paper.lines * paper.leading


def exercise_images(
    pieces: Collection[Piece], section: Section, manuscript: Manuscript, setting: Setting
) -> Images:
    """The images of all that a section shows of these pieces."""
    if STAVES in section.texts:
        return tuple(stave_images(pieces))
    return note_images(pieces, manuscript, setting) if FACTS in section.texts else ()


def stave_images(pieces: Iterable[Piece]) -> Iterator[tuple[str, str]]:
    """The lines of these pieces: the very text that was proved."""
    for piece in pieces:
        for index, line in enumerate(piece.lines):
            yield _line_name(piece, index), line.svg


def note_images(pieces: Iterable[Piece], manuscript: Manuscript, setting: Setting) -> Images:
    """The note values that these pieces' tempi are given in, each once."""
    notes = tempo_notes((piece.score for piece in pieces), setting.catalogue)
    return tuple((name, manuscript.notes[name]) for name in map(note_image, notes))


def _line_name(piece: Piece, index: int) -> str:
    return f"{piece.number}-{index}"


def shown_line(piece: Piece, index: int, manuscript: Manuscript) -> ShownLine:
    """A line of a piece, in the whole lines of text that it takes."""
    words, leading = words_of_layout(manuscript), manuscript.paper.leading
    line, apart = piece.lines[index], manuscript.setting.style.distance("staves apart")
    first, last = line.bars
    return ShownLine(
        name=_line_name(piece, index),
        alt=f"{words['bars']} {first}–{last}" if last > first else f"{words['bar']} {first}",
        anchor=line_anchor(piece.number, index),
        height=whole_lines(line.height + apart, leading) * leading,
    )


def _music(music: Music, manuscript: Manuscript, reading: Meanings, setting: Setting) -> MusicShown:
    note = count_note(music, setting.catalogue) if music.tempo else None
    return MusicShown(
        metre=music.metre,
        tempo=tempo_html(note, music.tempo, setting.catalogue.notes, manuscript.labels)
        if note and music.tempo
        else Markup(""),
        introduction=music.introduction,
        character=html_of(music.words, reading),
    )


def _facts(
    score: Score, music: MusicShown | None, manuscript: Manuscript, staved: bool
) -> Iterator[Markup]:
    """Level, metre with the tempo, introduction, and the hand on the barre. Metre and tempo
    stand at the head of the staves, where the section shows these."""
    if score.level:
        yield Markup("{}").format(score.level)
    if score.music and music:
        if not staved:
            yield Markup(",\u00a0").join(filter(None, (Markup(music.metre), music.tempo)))
        told = bool(staved or music.tempo)
        yield from map(Markup.escape, music_facts(score.music, not told, manuscript.language))
    if score.barre:
        yield Markup.escape(labels(manuscript.language)[f"barre_{score.barre}"])


def _music_words(
    music: Music | None, shown: MusicShown | None, manuscript: Manuscript
) -> Iterator[Markup]:
    if music and shown:
        counts = Markup.escape(counts_said(music, manuscript.language))
        yield ended(Markup(" ").join(filter(None, (counts, shown.character))))


def _start(
    piece: Piece, manuscript: Manuscript, setting: Setting, *, barre: bool
) -> Iterator[Markup]:
    """`barre` says whether the hand on the barre is still to be said."""
    words = start_words(
        piece.score,
        piece.school,
        manuscript.school,
        setting.catalogue,
        manuscript.language,
        barre=barre,
    )
    if words:
        yield ended(Markup.escape(words))


def _status(score: Score, manuscript: Manuscript) -> Iterator[Markup]:
    words = status_words(score, manuscript.language) if manuscript.plan.score_status else ""
    if words:
        yield Markup.escape(words)


def _runs(
    kinds: Iterable[str],
    texts: Mapping[str, tuple[ShownText, ...]],
    aside: Collection[str],
    manuscript: Manuscript,
) -> Iterator[AlikeKinds]:
    """`aside` are the kinds that stand in the margin column."""
    forms = {**manuscript.layout.forms, **OWN_FORMS}
    words = words_of_layout(manuscript)

    def set_as(kind: str) -> tuple[str, bool]:
        return forms.get(kind, RUN), kind in aside

    for (form, beside), alike in groupby(kinds, key=set_as):
        shown = tuple(Kind(kind, words.get(kind), texts.get(kind, ())) for kind in alike)
        yield AlikeKinds(form, shown, beside)


def _text(prose: Prose, manuscript: Manuscript, reading: Meanings, setting: Setting) -> ShownText:
    usual = prose.kind == "caution" and not prose.words
    return ShownText(
        ended(
            caution_html(prose, manuscript, reading, setting.catalogue)
            if usual
            else html_of(prose.words, reading)
        ),
        prose.get("title"),
        ", ".join(filter(None, (prose.get("by"), prose.get("dated")))),
    )
