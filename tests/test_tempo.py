"""The note value of a count, and its drawing."""

from __future__ import annotations

from dataclasses import replace
from fractions import Fraction

import pytest

from stavebound.book.tempo import note_drawing, note_height, tempo_html
from stavebound.engrave.engraving import Engraved
from stavebound.engrave.noted import count_note, count_value
from stavebound.readback.values import HeadRead
from stavebound.score.model import Music, Score
from stavebound.source.rules import NAMESPACE
from stavebound.svg.draw import draw
from stavebound.trade.notes import Note
from tests.support.readers import faults_in, proved, read_lines
from tests.support.sources import score_of
from tests.support.staves import CATALOGUE, SETTING, engraved, least_width, small_score, styled

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


def test_a_tempo_is_one_word_and_its_note_grows_with_the_text() -> None:
    note = next(note for note in CATALOGUE.notes.note if note.name["en"] == "crotchet")
    html = tempo_html(note, 72, CATALOGUE.notes, "en")
    assert html.startswith('<span class="tempo">')
    assert html.endswith('<span class="equals">=</span><span class="pace">72</span></span>')
    assert f"height: {note_height(note, CATALOGUE.notes):.3f}em" in html
    assert note_height(note, CATALOGUE.notes) == pytest.approx(CATALOGUE.notes.share, abs=0.01)


def headed(music: Music, change: str = "") -> Score:
    """Two lines' worth of bars, with a tempo at the head, and a change of it on count 1."""
    said = f'metre="{music.metre}" tempo="72"'
    if music.counts_per_bar:
        said += f' counts-per-bar="{music.counts_per_bar}"'
    if music.bars_per_count:
        said += f' bars-per-count="{music.bars_per_count}"'
    inside = '<start><feet in="first"/></start>'
    inside += f'<phrase counts="32"><frame at="1">{change}<knees bend="half"/></frame></phrase>'
    return small_score(inside, f"<music {said}/>")


@pytest.mark.parametrize(
    ("music", "value", "_"), [*COUNTS, (Music("5/4", counts_per_bar=1), "", "")]
)
def test_metre_and_tempo_at_the_head_are_read_from_their_ink(
    music: Music, value: str, _: str
) -> None:
    first, *others = read_lines(engraved(headed(music), 120.0))
    assert first.head == HeadRead(music.metre, 72, Fraction(value) if value else None)
    assert first.frames[0].metre is None
    assert others
    assert {line.head for line in others} == {HeadRead()}


def without(found: Engraved, lane: str) -> Engraved:
    first, *others = found.systems
    (stave,) = first.staves
    marks = tuple(mark for mark in stave.marks if mark.lane != lane)
    texts = tuple(text for text in first.texts if text.lane != lane)
    bare = replace(first, staves=(replace(stave, marks=marks),), texts=texts)
    return replace(found, systems=(bare, *others))


@pytest.mark.parametrize("lane", ["pace", "metre"])
def test_a_head_that_says_less_is_no_proof(lane: str) -> None:
    score = headed(Music("6/8", counts_per_bar=2))
    found = engraved(score, 120.0)
    assert faults_in(found, score) == ()
    (fault,) = faults_in(without(found, lane), score)
    assert fault.code == "R201"


def test_another_note_at_the_head_is_no_proof() -> None:
    """The same score, drawn as if its counts were others."""
    score = headed(Music("6/8", counts_per_bar=2))
    other = headed(Music("6/8", counts_per_bar=6))
    drawn, wanted = engraved(other, 120.0), engraved(score, 120.0)
    note = drawn.systems[0].staves[0].marks
    (stave,) = wanted.systems[0].staves
    marks = (*(mark for mark in stave.marks if mark.lane != "pace"), *note)
    first = replace(wanted.systems[0], staves=(replace(stave, marks=marks),))
    assert faults_in(replace(wanted, systems=(first, *wanted.systems[1:])), score)


CHANGES = ["a little quicker", "", " ".join(["rit."] * 20)]


@pytest.mark.parametrize(("music", "value", "_"), COUNTS)
@pytest.mark.parametrize("words", CHANGES, ids=["words", "alone", "broken"])
def test_a_change_of_tempo_is_told_by_a_note_behind_its_words(
    music: Music, value: str, _: str, words: str
) -> None:
    """Also where it is broken into several lines, or is told by itself."""
    score = headed(music, f'<tempo counts="80">{words}</tempo>')
    found = engraved(score, 120.0)
    frames = [frame for line in read_lines(found) for frame in line.frames]
    told = f"{value}\u00a0=\u00a080"
    assert frames[1].text("tempo") == " ".join(filter(None, (words, told)))
    assert faults_in(found, score) == ()


def test_changes_of_tempo_that_stand_side_by_side_or_are_moved_to_the_left_end_are_told_apart() -> (
    None
):
    """Where there is little room, a tempo stands alone under its words, behind the words and
    the tempo of the frame before, or over the left end of the first line."""
    words = "quietlyandwithoutanyhurry"
    frames = "".join(
        f'<frame at="{count}"><tempo counts="80">{words}</tempo></frame>' for count in (1, 4, 7)
    )
    inside = f'<start><feet in="first"/></start><phrase counts="8">{frames}</phrase>'
    for tempo in ("", ' tempo="72"'):
        music = f'<music metre="2/4" counts-per-bar="2"{tempo}/>'
        score = small_score(inside, music)
        for width in (60.0, 80.0, 120.0):
            assert faults_in(engraved(score, width), score) == ()


def test_a_change_without_its_note_is_no_proof() -> None:
    score = headed(Music("6/8", counts_per_bar=2), '<tempo counts="80">slower</tempo>')
    found = engraved(score, 120.0)
    first, *others = found.systems
    (stave,) = first.staves
    marks = tuple(mark for mark in stave.marks if mark.lane != "pace" or mark.box.left < 8)
    assert len(marks) == len(stave.marks) - 1
    bare = replace(first, staves=(replace(stave, marks=marks),))
    assert faults_in(replace(found, systems=(bare, *others)), score)


def test_a_change_in_a_row_at_the_left_end_is_not_the_tempo_at_the_head() -> None:
    """Where its words leave the note no room behind them, it begins a row over the head's."""
    score = score_of(
        f"""<score xmlns="{NAMESPACE}" title="Narrow">
            <music metre="4/4" counts-per-bar="2" tempo="100"/>
            <start><arms in="one front, one side" lead="left"/>
            <feet in="fifth" front="right" on="point" turned="in"/></start>
            <phrase counts="12"><bar at="3" counts="6"/><bar at="9" metre="3/4"/>
            <frame at="1" quality="c.DW4621t.wm("><tempo counts="257">uWGiZbQ“Zç,H</tempo></frame>
            </phrase>
            <phrase counts="4"><bar at="3" metre="2/4"/><frame at="1"><arms in="first"/></frame>
            </phrase></score>"""
    )
    setting = styled('<stave height="7"/>')
    assert proved(score, least_width(score, setting) + 0.001, setting) == ()
