"""Turns that last: lines under them, read back whole however the lines of a score break."""

from __future__ import annotations

from fractions import Fraction

import pytest

from stavebound.score.lanes import TurnChange
from stavebound.score.model import Score
from tests.support.readers import faults_in, read_lines, written
from tests.support.sources import score_of
from tests.support.staves import SETTING, engraved, small_score

START = '<start><feet in="first"/><arms in="bras bas"/></start>'
FRAMES = (
    '<frame at="3"><turn to="right" by="1/2" on="both" lasts="2"/></frame>'
    '<frame at="8"><turn to="left" by="1" on="both" lasts="5"/></frame>'
)
TURNS = small_score(
    f'{START}<phrase counts="8">{FRAMES}</phrase><phrase counts="8"><frame at="4">'
    '<turn to="left" by="1/4" on="both" lasts="4"/></frame></phrase>'
)


def lasting(score: Score) -> list[Fraction | None]:
    changes = [one for phrase in score.phrases for frame in phrase.frames for one in frame.changes]
    return [one.lasts for one in changes if isinstance(one, TurnChange)]


@pytest.mark.parametrize("width", [60.0, 90.0, 240.0])
def test_turns_that_last_are_read_back_however_the_lines_break(width: float) -> None:
    page = engraved(TURNS, width)
    assert faults_in(page, TURNS, SETTING) == ()
    assert lasting(score_of(written(read_lines(page), "Read"))) == lasting(TURNS) == [2, 5, 4]


def test_a_line_that_is_broken_has_a_hook_where_it_begins_and_one_where_it_ends() -> None:
    drawn = [one for system in engraved(TURNS, 60.0).systems for one in system.staves[0].lasting]
    hooks = [len(one.figures) - 1 for one in drawn]
    assert sum(hooks) == 2 * len(lasting(TURNS))
    assert len(drawn) > len(lasting(TURNS))


def test_another_length_is_told() -> None:
    other = small_score(f'{START}<phrase counts="8">{FRAMES.replace("5", "4")}</phrase>')
    own = small_score(f'{START}<phrase counts="8">{FRAMES}</phrase>')
    faults = faults_in(engraved(other, 240.0), own, SETTING)
    assert [fault.code for fault in faults] == ["R201", "R201"]
