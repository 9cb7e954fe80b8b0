"""Speed: what engraving a score costs grows with its frames and no faster.

Work is counted in calls, not in seconds, so that a slow machine changes nothing.
"""

from __future__ import annotations

import sys
from collections.abc import Callable
from functools import partial
from types import FrameType

import pytest

from stavebound.score.model import Score
from stavebound.score.unfolding.definitions import definitions, uses_faults
from stavebound.source.document import Element
from stavebound.source.rules import NAMESPACE
from stavebound.svg.staves import draw_staves
from tests.support.exercises import exercise, wandering
from tests.support.sources import faults_of, source_of
from tests.support.staves import CATALOGUE, FACES, engraved

SHORT, LONG = 40, 320
# Sorting, and looking for breaks, may cost a long score a little more.
MARGIN = 1.1


def engrave_and_draw(score: Score) -> None:
    for system in engraved(score).systems:
        draw_staves(system, FACES)


def work_of(score: Score) -> int:
    """How many calls it takes to engrave and draw a score whose signs have all been seen."""
    engrave_and_draw(score)
    return calls_of(lambda: engrave_and_draw(score))


def calls_of(work: Callable[[], object]) -> int:
    calls = 0

    def count(frame: FrameType, event: str, argument: object) -> None:
        nonlocal calls
        calls += 1

    sys.setprofile(count)
    try:
        work()
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


def test_steps_made_of_steps_cost_no_more_for_being_many() -> None:
    """Each is made of the one before, far too deep; and all of them in a circle."""

    def chain(many: int, first: str) -> Element:
        names = [f"step {number}" for number in range(many)]
        inner = [first.format(names[-1]), *(f'<do step="{name}"/>' for name in names)]
        steps = zip(names, inner, strict=False)
        return source_of(
            f'<steps xmlns="{NAMESPACE}">'
            + "".join(f'<define step="{name}" counts="1">{one}</define>' for name, one in steps)
            + "</steps>"
        ).root

    for first, code in (('<frame at="1"/>', "U112"), ('<do step="{}"/>', "U105")):
        roots = [chain(many, first) for many in (SHORT, LONG)]
        steps = [definitions((root,)).value or {} for root in roots]
        pairs = list(zip(roots, steps, strict=True))
        assert [{fault.code for fault in uses_faults(*pair)} for pair in pairs] == [{code}] * 2
        short, long = (calls_of(partial(uses_faults, *pair)) for pair in pairs)
        assert long <= MARGIN * LONG / SHORT * short
