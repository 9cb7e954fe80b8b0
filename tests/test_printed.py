"""Repeats printed as signs: what is printed once, in which order it is danced, what stays
written out, and a proof that fails where a mark is wrong."""

from __future__ import annotations

import re
from dataclasses import replace
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from typer.testing import CliRunner

from stavebound.book.layouts import Asked
from stavebound.book.repeats import repeat_rows
from stavebound.build.loading import Project, load, load_project
from stavebound.build.manuscripts import manuscript_of
from stavebound.build.on_paper import score_on_paper
from stavebound.build.values import House
from stavebound.cli import app
from stavebound.dance.printed import Printed, with_signs
from stavebound.diagnostics import has_errors
from stavebound.engrave.engraving import Engraved, engrave
from stavebound.readback.read import read_svg
from stavebound.readback.repeats import joined
from stavebound.readback.values import Reading
from stavebound.score.counts import time_line
from stavebound.score.form import BarForm, FormError, Leap, expanded, form_features
from stavebound.score.lanes import FacingChange
from stavebound.score.model import Frame, Phrase, Score
from stavebound.score.unfolding.unfold import unfold
from stavebound.score.write import write_score
from stavebound.source.rules import NAMESPACE
from stavebound.svg.staves import draw_staves
from tests.support.any_shorthand import tame_shorthand
from tests.support.engraved_cases import CASES, FOLDER, page_of, printed_in, score_in
from tests.support.forms import Form, forms, text_of
from tests.support.laws import LAWS
from tests.support.made import usable
from tests.support.readers import KEY, faults_in, written
from tests.support.sources import faults_of, score_of, source_of
from tests.support.staves import (
    CATALOGUE,
    FACES,
    MEASURE,
    PAPERS,
    SETTING,
    danced_of,
    engraved,
    least_width,
    printed_of,
    styled,
    view,
    viewed,
)
from tests.support.strategies import scores

MARKED = [case for case in CASES if case.startswith("repeats")]
START = '<start><feet in="first"/><arms in="bras bas"/></start>'


def signs_of(score: Score) -> Printed:
    return with_signs(danced_of(score))


def of_text_as_written(inside: str) -> str:
    music = '<music metre="4/4" counts-per-bar="4"/>'
    return f'<score xmlns="{NAMESPACE}" title="R">{music}{START}{inside}</score>'


def of_text(inside: str) -> Score:
    return score_of(of_text_as_written(inside))


def phrase(step: str, counts: int = 4, frame: str = "") -> str:
    return (
        f'<phrase counts="{counts}"><frame at="1" step="{step}">'
        f'<knees bend="half"/>{frame}</frame><frame at="3"><knees bend="none"/></frame></phrase>'
    )


A, B, C, D = (phrase(step) for step in "ABCD")


# ---------------------------------------------------------------- the order


@settings(max_examples=100)
@given(forms())
def test_what_is_printed_is_danced_as_the_written_out_score(form: Form) -> None:
    """Every bar is a phrase of its own, named by its number."""
    score = score_of(text_of(form))
    printed = signs_of(score)
    steps = [one.frames[0].step for one in printed.score.phrases]
    assert expanded(printed.bars) == printed.order
    assert [steps[at] for at in printed.order] == [one.frames[0].step for one in score.phrases]
    assert len(set(steps)) == len(steps)


PLAIN, OPENS, CLOSES = BarForm(), BarForm(opens=True), BarForm(closes=2)
ALONE = BarForm(opens=True, closes=2)
FINE = BarForm(after=("fine",))
FIRST, LAST = BarForm(ending=(1,), closes=2, closed=True), BarForm(ending=(2,))
TWO_OF_THREE, THIRD = BarForm(ending=(1, 2), closes=2, closed=True), BarForm(ending=(3,))
AL_FINE = BarForm(leap=Leap("da-capo", "fine"))
IN_FULL = BarForm(leap=Leap("da-capo", "fine", repeats=True))
AL_CODA = BarForm(leap=Leap("dal-segno", "coda"))
SEGNO, CODA = BarForm(before=("segno",)), BarForm(before=("coda",))
TO_CODA = BarForm(after=("to-coda",))


@pytest.mark.parametrize(
    ("bars", "order"),
    [
        ((OPENS, CLOSES, PLAIN), (1, 2, 1, 2, 3)),
        ((BarForm(opens=True, closes=3), ALONE, PLAIN), (1, 1, 1, 2, 2, 3)),
        ((OPENS, TWO_OF_THREE, THIRD, PLAIN), (1, 2, 1, 2, 1, 3, 4)),
        ((PLAIN, FINE, AL_FINE), (1, 2, 3, 1, 2)),
        ((PLAIN, SEGNO, TO_CODA, AL_CODA, CODA), (1, 2, 3, 4, 2, 3, 5)),
        ((OPENS, FIRST, LAST, FINE, AL_FINE), (1, 2, 1, 3, 4, 5, 1, 3, 4)),
        ((ALONE, FINE, IN_FULL), (1, 1, 2, 3, 1, 1, 2)),
        ((PLAIN, BarForm(leap=Leap("da-capo"))), (1, 2, 1, 2)),
    ],
)
def test_the_order_is_that_of_every_musician(
    bars: tuple[BarForm, ...], order: tuple[int, ...]
) -> None:
    """Worked out by hand."""
    assert tuple(at + 1 for at in expanded(bars)) == order


@pytest.mark.parametrize(
    "bars",
    [
        (OPENS, PLAIN),
        (PLAIN, CLOSES),
        (OPENS, OPENS, CLOSES),
        (PLAIN, LAST),
        (PLAIN, AL_FINE),
        (FINE, FINE, AL_FINE),
        (FINE, AL_FINE, AL_FINE),
        (OPENS, FIRST, THIRD),
        (PLAIN, TO_CODA, AL_CODA, CODA),
    ],
)
def test_signs_that_tell_no_order_are_refused(bars: tuple[BarForm, ...]) -> None:
    with pytest.raises(FormError):
        expanded(bars)


# ---------------------------------------------------------------- what stays written out


ENDED = "<ending>{}</ending><ending>{}</ending>"
TURNED = phrase("A", frame='<feet in="second" by="spring"/>')
TWO_MORE = "<da-capo/><da-capo/>"
BREATH = A.replace("<frame", '<phrasing from="3" to="1"/><frame', 1)


@pytest.mark.parametrize(
    ("text", "printed"),
    [
        (f"<repeat>{A}{B}</repeat>{C}", "A B C"),
        (f'<repeat times="4">{A}</repeat>', "A"),
        (f"<repeat>{A}{ENDED.format(B, C)}</repeat>{D}", "A B C D"),
        (f"{A}<fine/>{B}<da-capo to='fine'/>", "A B"),
        (f"{A}<segno/>{B}<to-coda/>{C}<dal-segno to='coda'/><coda/>{D}", "A B C D"),
        # A repeat in a repeat is written out, and the outer one is not.
        (f"<repeat>{A}<repeat>{B}</repeat></repeat>{C}", "A B B C"),
        # After the jump a repeat that is written out is danced once, and signs do not say so.
        (f"<repeat>{A}<repeat>{B}</repeat></repeat><da-capo/>", "A B B A B"),
        # Several jumps.
        (f"{A}{TWO_MORE}", "A A A"),
        # The second time begins in another position, and the spring looks otherwise.
        (f"<repeat>{TURNED}</repeat>", "A A"),
        # Nothing says the last time where it has no ending of its own.
        (f'<repeat times="2">{A}<ending>{B}</ending></repeat>{C}', "A B A C"),
        # Endings that do not come in the order of their times.
        (f'<repeat times="3">{A}<ending of="1 3">{B}</ending><ending of="2">{C}</ending></repeat>',
         "A B A C A B"),
        # No bar line at the end of six counts.
        (f"<repeat>{phrase('A', 6)}</repeat>", "A A"),
        # A breath from the first time into the second.
        (f"<repeat>{BREATH}</repeat>", "A A"),
        # An upbeat is not danced again.
        (f'<upbeat counts="1"><frame at="4"/></upbeat>{A}<da-capo/>', "A A"),
        # One repeat stays, the other is printed.
        (f"<repeat>{phrase('A', 6)}{phrase('B', 2)}</repeat><repeat>{phrase('C', 6)}</repeat>{D}",
         "A B C C D"),
    ],
)  # fmt: skip
def test_what_signs_would_not_tell_stays_written_out(text: str, printed: str) -> None:
    found = signs_of(of_text(text))
    steps = (frame.step for one in found.score.phrases for frame in one.frames)
    assert " ".join(filter(None, steps)) == printed


@settings(max_examples=30)
@given(tame_shorthand())
def test_any_score_is_printed_as_it_is_danced(text: str) -> None:
    """Whatever makes sense or not: the printed phrases in their order are those danced."""
    unfolded = unfold(source_of(text).root)
    usable(unfolded.diagnostics)
    assert unfolded.value is not None
    score = unfolded.value.score
    printed = signs_of(score)
    assert expanded(printed.bars) == printed.order
    assert len(printed.order) == sum(bar.number >= 1 for bar in time_line(score).bars)
    frames = sum(len(one.frames) for one in (*printed.score.phrases, score.upbeat) if one)
    assert len(printed.danced.poses) == 1 + frames


def test_what_stays_written_out_is_told_at_its_line(tmp_path: Path) -> None:
    score = tmp_path / "six.xml"
    text = of_text_as_written(f"{A}\n<repeat>{phrase('B', 6)}</repeat>")
    score.write_text(text, encoding="utf-8")
    loaded = load(score, "six.xml").content
    assert isinstance(loaded, Score)
    told = score_on_paper(loaded, None, PAPERS["A5"], SETTING, KEY, "signs").diagnostics
    (one,) = (fault for fault in told if fault.code == "E408")
    assert one.span is not None
    assert one.span.line == 2
    assert "bar lines" in one.message
    assert not has_errors(told)
    plain = score_on_paper(loaded, None, PAPERS["A5"], SETTING, KEY).diagnostics
    assert "E408" not in {fault.code for fault in plain}


def test_a_score_without_repeats_is_printed_as_it_is() -> None:
    score = of_text(A + B)
    assert signs_of(score) == printed_of(score)


# ---------------------------------------------------------------- printed, and read back


def repeated(score: Score, first: int, times: int, ended: bool) -> Score:
    """The score with its phrases from `first` on in a repeat, the last of them as an ending for
    every time if it is `ended`. What follows an upbeat has a last bar that is not full, and no
    facing may be written where each time ends in another."""
    bare = replace(score, phrases=tuple(map(without_facing, score.phrases)))
    parts = re.split(r"(<phrase .*?</phrase>)", write_score(bare), flags=re.DOTALL)
    places = [at for at, part in enumerate(parts) if part.startswith("<phrase")]
    places = places[: -1 if score.upbeat else None]
    places = places[min(first, len(places) - 1) :]
    own = [parts[at] for at in places]
    body, last = own[:-1], own[-1]
    if ended and body:
        again = re.sub(r' id="[^"]*"', "", last)
        own = [*body, f"<ending>{last}</ending>", *[f"<ending>{again}</ending>"] * (times - 1)]
    for at in places:
        parts[at] = ""
    parts[places[0]] = f'<repeat times="{times}">{"".join(own)}</repeat>'
    return score_of("".join(parts))


def without_facing(phrase: Phrase) -> Phrase:
    def kept(frame: Frame) -> Frame:
        changes = (one for one in frame.changes if not isinstance(one, FacingChange))
        return replace(frame, changes=tuple(changes))

    return replace(phrase, frames=tuple(map(kept, phrase.frames)))


@settings(max_examples=20)
@given(
    scores(least_phrases=2),
    st.integers(0, 2),
    st.integers(2, 4),
    st.booleans(),
    st.sampled_from([7, 9, 14]),
)
def test_random_scores_with_repeats_are_read_back_and_danced_as_written(
    score: Score, first: int, times: int, ended: bool, height: int
) -> None:
    """Whether all of it, some or none is printed as signs; a phrase danced from another
    position may be against the rules."""
    setting = styled(f'<stave height="{height}"/>')
    score = repeated(score, first, times, ended)
    if errors := [fault for fault in faults_of(score, {}, CATALOGUE) if has_errors([fault])]:
        usable(errors)
    printed = signs_of(score)
    narrow = least_width(printed.score, setting, printed) + 0.001
    outcome = engrave(printed, narrow, setting)
    usable(outcome.diagnostics)
    assert outcome.value is not None
    pages = [viewed(outcome.value, printed.score, narrow, setting, printed)]
    if narrow < MEASURE:
        pages.append(view(printed.score, MEASURE, setting, printed))
    for page in pages:
        assert faults_in(page.result, printed.score, setting, printed) == ()
        for law in LAWS:
            law(page)


def test_what_comes_from_a_repeat_sign_does_not_leave_its_line() -> None:
    """Between the start and the sign nothing is written, and what moves stands in the next line:
    there its movement begins, as the second time it does not come from the start."""
    moved = '<frame at="7"><arms in="second" via="first"/></frame>'
    moved += '<frame at="8"><arms in="bras bas"/></frame>'
    score = of_text(f'<repeat><phrase counts="8">{moved}</phrase></repeat>')
    printed = signs_of(score)
    narrow = least_width(printed.score, SETTING, printed) + 0.001
    page = view(printed.score, narrow, SETTING, printed)
    ways = [len(system.staves[0].ways) for system in page.result.systems]
    assert ways == [0, 2]
    assert faults_in(page.result, printed.score, SETTING, printed) == ()


def lines_of(engraved_: Engraved) -> list[Reading]:
    """What the ink of every line says."""
    readings = [
        read_svg(draw_staves(system, FACES), "line.svg", KEY, FACES).value
        for system in engraved_.systems
    ]
    return [reading for reading in readings if reading]


def bars_read(readings: list[Reading], upbeat: int) -> list[list[object]]:
    """The frames of every bar as they were read: count, limbs and words; those of an upbeat
    left out, which has so many bar lines."""
    found: dict[int, list[object]] = {}
    before = -upbeat
    for reading in readings:
        for frame in reading.frames:
            subjects = [(type(read).__name__, read.subjects) for read in frame.subjects]
            said = (
                frame.count,
                subjects,
                frame.text("step"),
                sorted(f"{way.kind} {way.subject}" for way in frame.ways),
            )
            found.setdefault(before + frame.bar, []).append(said)
        before += reading.bars
    return [found.get(at, []) for at in range(max(found) + 1)]


@pytest.mark.parametrize("case", MARKED)
def test_what_is_read_is_danced_as_the_written_out_score_reads(case: str) -> None:
    """The bars of the ink, put one after the other as its signs say, are the bars of the ink of
    the written-out score."""
    score, printed = score_in(case), printed_in(case)
    upbeat = 1
    marked = lines_of(page_of(case, False).result)
    plain = bars_read(lines_of(engraved(score)), upbeat)
    forms_read = joined(reading.form for reading in marked)[upbeat:]
    once = bars_read(marked, upbeat)
    assert printed.parts
    assert len(plain) > len(once)
    assert [once[at] for at in expanded(forms_read)] == plain


@pytest.mark.parametrize("case", MARKED)
def test_what_is_read_unfolds_to_the_written_out_score(case: str) -> None:
    """As XML in the notator's shorthand: the same phrases, with frames at the same counts."""
    score = score_in(case)
    for narrow in (False, True):
        read = score_of(written(lines_of(page_of(case, narrow).result), "Read"))
        assert [one.counts for one in read.phrases] == [one.counts for one in score.phrases]
        frames = [[str(frame.at) for frame in one.frames if frame.changes] for one in read.phrases]
        assert frames == [
            [str(frame.at) for frame in one.frames if frame.changes] for one in score.phrases
        ]
        assert signs_of(read).bars == printed_in(case).bars


def test_a_line_alone_tells_no_repeats_but_says_so() -> None:
    first, *_ = lines_of(page_of("repeats-and-endings", False).result)
    assert "<!-- repeats: a repeat begins that does not end -->" in written([first], "Read")


# ---------------------------------------------------------------- editions


def book_of(folder: Path, attributes: str, exercises: str) -> Project:
    """A book of the cases, with their scores in its folder."""
    for case in MARKED:
        text = (FOLDER / f"{case}.xml").read_text(encoding="utf-8")
        (folder / f"{case}.xml").write_text(text, encoding="utf-8")
    cautions = "".join(f'<caution about="{one}"/>' for one in ("warm-up", "supervision", "pain"))
    book = folder / "book.xml"
    book.write_text(
        f'<book xmlns="{NAMESPACE}" title="R" date="2026-03-02" {attributes}>{cautions}'
        f'<chapter title="C">{exercises}</chapter></book>',
        encoding="utf-8",
    )
    return load_project(book, "book.xml")


@pytest.mark.parametrize("asked", ["", 'repeats="signs"', 'repeats="written out"'])
def test_an_edition_prints_repeats_as_the_book_or_the_exercise_asks(
    tmp_path: Path, asked: str
) -> None:
    own = ["", "signs", "written out"]
    exercises = "".join(
        f'<exercise score="{case}.xml"{f" repeats={chr(34)}{way}{chr(34)}" if way else ""}/>'
        for case, way in zip(MARKED, own, strict=False)
    )
    project = book_of(tmp_path, asked, exercises)
    edition = manuscript_of(project, Asked(), House(CATALOGUE, FACES)).value
    assert edition is not None
    for (_, piece), case, way in zip(edition.pieces, MARKED, own, strict=False):
        signs = (way or ("signs" if "signs" in asked else "")) == "signs"
        printed = printed_in(case).score.phrases if signs else score_in(case).phrases
        line = time_line(replace(piece.score, phrases=printed))
        assert piece.lines[-1].bars[1] == line.bars[-1].number
        assert bool(form_features(piece.form)) is signs


def test_the_key_has_the_signs_of_repeats_that_the_book_uses_and_no_others(tmp_path: Path) -> None:
    exercise = '<exercise score="repeats-dal-segno.xml"/>'
    for way, wanted in (
        ("signs", {"repeat", "segno", "dal-segno", "to-coda", "coda"}),
        ("written out", set()),
    ):
        project = book_of(tmp_path, f'repeats="{way}"', exercise)
        edition = manuscript_of(project, Asked(), House(CATALOGUE, FACES)).value
        assert edition is not None
        assert {row.feature for row in repeat_rows(edition, CATALOGUE)} == wanted


def test_the_command_engraves_repeats_in_both_ways(tmp_path: Path) -> None:
    score = str(FOLDER / "repeats-and-endings.xml")
    told = {}
    for way in ("signs", "written-out"):
        asked = ["engrave", score, "--out", str(tmp_path / way), "--repeats", way]
        outcome = CliRunner().invoke(app, asked)
        assert outcome.exit_code == 0
        files = sorted((tmp_path / way).glob("*.svg"))
        told[way] = "".join(file.read_text(encoding="utf-8") for file in files)
    assert ">1. 2.<" in told["signs"]
    assert ">1. 2.<" not in told["written-out"]
    assert len(told["signs"]) < len(told["written-out"])
