"""Scores as values: what is written reads back, and time adds up."""

from collections.abc import Iterator
from dataclasses import replace
from decimal import Decimal
from fractions import Fraction
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from stavebound.codes import load_codes
from stavebound.score import lexical
from stavebound.score.counts import time_line
from stavebound.score.model import At, Height, Run, Score
from stavebound.score.words import tidied
from stavebound.score.write import write_score
from stavebound.trade.catalogue import Catalogue
from tests.support.any_scores import any_scores
from tests.support.sources import BrokenSourceError, root_of, score_faults, score_of, whole
from tests.support.strategies import ANY, scores

CASES = sorted((Path(__file__).parent / "cases").rglob("*.xml"))


def sound_scores() -> Iterator[tuple[str, Score]]:
    """The scores among all cases that the schema accepts."""
    for path in CASES:
        try:
            root = root_of(path.read_text(encoding="utf-8"))
        except (BrokenSourceError, UnicodeDecodeError):
            continue
        if isinstance(root, Score):
            yield f"{path.parent.name}/{path.stem}", root


def test_every_case_written_reads_back_as_it_was(subtests: pytest.Subtests) -> None:
    found = list(sound_scores())
    assert len(found) > len(CASES) / 4
    for name, score in found:
        with subtests.test(name):
            written = write_score(score)
            read = score_of(written)
            assert read == score
            assert write_score(read) == written


@settings(max_examples=25)
@given(scores(ANY))
def test_random_scores_in_any_letters_read_back_as_they_were(score: Score) -> None:
    assert score_of(write_score(score)) == score


@settings(max_examples=60)
@given(any_scores())
def test_any_score_reads_back_and_is_judged(catalogue: Catalogue, score: Score) -> None:
    """Also where it makes no sense: every fault has a code of the table and a place."""
    read = score_of(write_score(score))
    assert read == score
    for fault in score_faults(read, catalogue, catalogue.schools.school[0]):
        assert fault.code in load_codes()
        assert fault.span is not None
        assert fault.span.path == "example.xml"
        assert fault.hints


def bars_of(example: str) -> list[tuple[float, ...]]:
    return [
        (bar.number, float(bar.start), float(bar.end))
        for bar in time_line(score_of(whole(example))).bars
    ]


def test_an_upbeat_comes_before_the_first_count() -> None:
    bars = bars_of(
        '<music metre="4/4" counts-per-bar="4"/>'
        '<upbeat counts="5"><frame at="4"/></upbeat><phrase counts="7"><frame at="1"/></phrase>'
    )
    assert bars == [(-1, -5, -4), (0, -4, 0), (1, 0, 4), (2, 4, 7)]


def test_a_count_may_have_several_bars() -> None:
    bars = bars_of(
        '<music metre="3/4" bars-per-count="2"/><phrase counts="1"><frame at="1"/></phrase>'
    )
    assert bars == [(1, 0, 0.5), (2, 0.5, 1)]


def test_an_irregular_bar_moves_those_after_it() -> None:
    bars = bars_of(
        '<music metre="4/4" counts-per-bar="4"/>'
        '<phrase counts="8"><bar at="5" counts="2"/><frame at="1"/></phrase>'
        '<phrase counts="8"><frame at="1"/></phrase>'
    )
    assert bars == [(1, 0, 4), (2, 4, 6), (3, 6, 10), (4, 10, 14), (5, 14, 16)]


def times_of(example: str) -> list[Fraction]:
    return [event.time for event in time_line(score_of(whole(example))).events]


def test_moments_are_exact() -> None:
    times = times_of(
        '<music metre="2/4" counts-per-bar="2" divide="thirds"/>'
        '<phrase counts="2"><frame at="1 and"/><frame at="1 a"/><frame at="2 5/12"/></phrase>'
        '<phrase counts="2" divide="quarters">'
        '<frame at="1 e"/><frame at="1 and"/><frame at="1 a"/></phrase>'
    )
    parts = [(0, 1, 3), (0, 2, 3), (1, 5, 12), (2, 1, 4), (2, 1, 2), (2, 3, 4)]
    assert times == [count + Fraction(above, below) for count, above, below in parts]


@pytest.mark.parametrize(
    "text", ["1", "12 and", "3 a", "4 e", "2 1/3", "99 11/12", "1 5/3", "1 3/2", "1 2/2", "1 10/2"]
)
def test_a_moment_is_written_as_it_is_read(text: str) -> None:
    written = lexical.at_text(lexical.at(text))
    assert lexical.at(written) == lexical.at(text)
    example = f'<phrase counts="99"><frame at="{written}"/></phrase>'
    assert score_of(whole(example)).phrases[0].frames[0].at == lexical.at(text)


def test_moments_without_a_part_or_with_a_whole_one() -> None:
    assert lexical.at_text(At(3)) == "3"
    assert lexical.at_text(At(3, fraction=Fraction(2))) == "3 4/2"


@given(
    st.sampled_from(["floor", "hip", "eyes"]),
    st.integers(-999, 999).map(lambda n: Decimal(n).scaleb(-2)),
)
def test_heights_are_written_as_they_are_read(line: str, offset: Decimal) -> None:
    height = Height(line, offset)
    assert lexical.height(lexical.height_text(height)) == height


def texts_of(words: str) -> list[tuple[str, str]]:
    return [(run.kind, run.text) for run in score_of(whole(f"<aim>{words}</aim>")).prose[0].words]


def test_white_space_is_folded_as_in_print() -> None:
    assert texts_of(" a\n  b <term>c  d</term>\te ") == [
        ("text", "a b "),
        ("term", "c d"),
        ("text", " e"),
    ]
    assert texts_of("a <!-- aside --> b") == [("text", "a b")]


def test_white_space_inside_a_mark_parts_words() -> None:
    assert texts_of("the<term> plié </term>of") == [
        ("text", "the "),
        ("term", "plié"),
        ("text", " of"),
    ]
    assert texts_of("<term> plié</term> <emphasis>now </emphasis>") == [
        ("term", "plié"),
        ("text", " "),
        ("emphasis", "now"),
    ]


def test_a_space_that_does_not_break_stays() -> None:
    assert texts_of("« plié »") == [("text", "« plié »")]


def test_tidied_runs_stay_as_they_are() -> None:
    words = tidied([Run("text", " a "), Run("text", " b"), Run("side", "", "left")])
    assert words == (Run("text", "a b"), Run("side", "", "left"))
    assert tidied(words) == words


def test_remarks_are_comments_whatever_stands_in_them() -> None:
    score = score_of(whole('<phrase counts="2"><frame at="1"/></phrase>'))
    (phrase,) = score.phrases
    frame = replace(phrase.frames[0], remarks=("a---b-", "<c>"))
    told = replace(score, phrases=(replace(phrase, frames=(frame,)),), remarks=("-",))
    text = write_score(told)
    for comment in ("<!-- a- - -b- -->", "<!-- <c> -->", "<!-- - -->"):
        assert comment in text
    assert score_of(text) == told == score
