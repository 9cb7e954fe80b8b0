"""Speed: what engraving a score costs grows with its frames and no faster.

Work is counted in calls, not in seconds, so that a slow machine changes nothing.
"""

from __future__ import annotations

import sys
from types import FrameType

import pytest

from stavebound.score.model import Score
from stavebound.svg.draw import draw
from tests.exercises import exercise, wandering
from tests.sources import faults_of
from tests.staves import CATALOGUE, FACES, engraved

SHORT, LONG = 40, 320
# Sorting, and looking for breaks, may cost a long score a little more.
MARGIN = 1.1


def engrave_and_draw(score: Score) -> None:
    for system in engraved(score).systems:
        draw(system, FACES)


def work_of(score: Score) -> int:
    """How many calls it takes to engrave and draw a score whose signs have all been seen."""
    calls = 0

    def count(frame: FrameType, event: str, argument: object) -> None:
        nonlocal calls
        calls += 1

    engrave_and_draw(score)
    sys.setprofile(count)
    try:
        engrave_and_draw(score)
    finally:
        sys.setprofile(None)
    return calls


def frames_of(score: Score) -> int:
    return sum(len(phrase.frames) for phrase in score.phrases)


@pytest.mark.parametrize("phrased", [False, True])
def test_a_frame_of_a_long_score_costs_no_more_than_one_of_a_short_score(phrased: bool) -> None:
    short, long = exercise(SHORT, phrased=phrased), exercise(LONG, phrased=phrased)
    ratio = frames_of(long) / frames_of(short)
    assert work_of(long) <= MARGIN * ratio * work_of(short)


@pytest.mark.parametrize(
    "score", [exercise(SHORT), exercise(SHORT, phrased=True), wandering(SHORT)]
)
def test_exercises_are_sound(score: Score) -> None:
    assert faults_of(score, {}, CATALOGUE) == []
