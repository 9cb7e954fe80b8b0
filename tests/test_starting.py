"""The starting position in words: all that is written is said, in plain words."""

from __future__ import annotations

import pytest

from stavebound.score.model import (
    Score,
)
from stavebound.wording.sentences import start_words
from tests.support.staves import CATALOGUE, school_of, small_score

STILL = '<phrase counts="1"><frame at="1"><still/></frame></phrase>'
SAID = {
    '<feet in="fifth" front="right"/>': "Feet in fifth, right foot in front.",
    '<feet in="fourth" front="left" weight="left" on="half point"/>': (
        "Feet in fourth on half point, left foot in front, the weight on the left foot."
    ),
    '<feet in="first" turned="parallel"/>': "Feet in first, parallel.",
    '<foot side="left" on="half point"/><foot side="right" to="side" place="knee"/>': (
        "Standing on the left foot on half point; right foot at the knee to the side."
    ),
    '<foot side="left" on="whole foot"/>': "Standing on the left foot.",
    '<foot side="right" to="front" raised="90" ankle="flexed"/>': (
        "Right foot raised to 90° to the front, the ankle flexed."
    ),
    '<foot side="right" to="front" height="knee+0.30" out="0.10" turned="in"/>': (
        "Right foot above the knee to the front, turned in."
    ),
    '<knees bend="half"/>': "Knees half bent.",
    '<knee side="left" bend="full" depth="front"/>': ("Left knee fully bent in front of the body."),
    '<elbow side="right" bend="half"/>': "Right elbow half bent.",
    '<hand side="right" touching="hip"/>': "Right hand on the hip.",
    '<hand side="left" touching="other shoulder" palm="in"/>': (
        "Left hand on the other shoulder, palm in."
    ),
    '<hand side="right" in="second" palm="down" arm="stretched"/>': (
        "Right arm in second, the arm stretched, palm down."
    ),
    '<hand side="right" height="waist" out="-0.10" depth="front" touching="body"/>': (
        "Right hand at the height of the waist in front of the body, across to the other side, "
        "the hand on the body."
    ),
    '<arms in="fifth" hands="joined"/>': "Arms in fifth, hands joined.",
    '<arms in="third" lead="left"/>': "Arms in third, left arm leading.",
    '<head turn="left 2" tilt="right"/>': (
        "Head tilted a little to the right and turned a quarter to the left."
    ),
    '<body bend="front 3"/>': "Body bent fully to the front.",
    '<hips tilt="left 2"/>': "Hips tilted to the left.",
}


def told(score: Score) -> str:
    school = school_of(score)
    return start_words(score, school, school, CATALOGUE, "en")


@pytest.mark.parametrize(("start", "words"), SAID.items())
def test_what_is_written_at_the_start_is_said(start: str, words: str) -> None:
    assert told(small_score(f"<start>{start}</start>{STILL}")) == words


def test_the_hand_on_the_barre_is_said_once() -> None:
    start = '<barre hand="left"/><start><hand side="left" touching="barre"/>{}</start>'
    one, two = (
        told(small_score(f"{start.format(more)}{STILL}"))
        for more in ("", '<hand side="right" touching="barre"/>')
    )
    assert one == "The left hand on the barre."
    assert two == "Right hand on the barre; the left hand on the barre."
