"""Beats in a spring: which foot is in front, as it is written, unfolded and drawn."""

from __future__ import annotations

import pytest

from stavebound.dance.beats import beaten
from stavebound.dance.pose import Free, Sided, Standing
from stavebound.score.model import Beat, LegDirection, Rise, Side
from stavebound.source.rules import NAMESPACE
from tests.support.readers import frames_of, read_lines, score_with
from tests.support.sources import score_of
from tests.support.staves import engraved

FIFTH = Standing(Rise.WHOLE, "fifth", Side.RIGHT)
SECOND = Standing(Rise.WHOLE, "second")
ALONE = Standing(Rise.WHOLE)
OTHER_SAME = (Beat.OTHER, Beat.SAME)


@pytest.mark.parametrize(
    ("feet", "beats", "fronts"),
    [
        (Sided(FIFTH, FIFTH), OTHER_SAME, (Side.LEFT, Side.RIGHT)),
        (Sided(FIFTH, FIFTH), (Beat.LEFT,), (Side.LEFT,)),
        (Sided(SECOND, SECOND), (Beat.SAME,), ()),
        (Sided(SECOND, SECOND), (Beat.RIGHT,), (Side.RIGHT,)),
        (Sided(ALONE, Free(LegDirection.FRONT, "45")), (Beat.SAME,), (Side.LEFT,)),
        (Sided(ALONE, Free(LegDirection.BACK, "45")), (Beat.SAME,), (Side.RIGHT,)),
        (Sided(ALONE, Free(LegDirection.SIDE, "45")), (Beat.SAME,), ()),
    ],
)
def test_a_beat_goes_by_the_foot_in_front_at_the_take_off(
    feet: Sided[Standing | Free | None], beats: tuple[Beat, ...], fronts: tuple[Side, ...]
) -> None:
    assert beaten(beats, feet) == fronts


def unfolded(beats: str, more: str) -> list[str]:
    """The beats of all springs of a phrase that is danced again."""
    score = score_of(
        f'<score xmlns="{NAMESPACE}" title="Beats" working="right">'
        '<phrase counts="1"><frame at="1">'
        f'<feet in="fifth" front="supporting" by="spring" beats="{beats}"/></frame></phrase>'
        f"<again {more}/></score>"
    )
    return [
        " ".join(change.flight.beats)
        for phrase in score.phrases
        for frame in phrase.frames
        for change in frame.changes
        if hasattr(change, "flight")
    ]


def test_beats_are_exchanged_with_the_legs() -> None:
    assert unfolded("working supporting", 'working="left"') == ["right left", "left right"]
    assert unfolded("working supporting", 'reverse="yes"') == ["right left", "left right"]
    assert unfolded("same other", 'working="left"') == ["same other", "same other"]


@pytest.mark.parametrize("front", ["right", "left"])
def test_springs_with_and_without_a_beat_are_two_inks(front: str) -> None:
    """Royale and changement, entrechat quatre and soubresaut."""
    before = '<feet in="fifth" front="right"/>'
    found = []
    for beats in ("", ' beats="right"' if front == "left" else ' beats="left"'):
        spring = f'<feet in="fifth" front="{front}" by="spring"{beats}/>'
        readings = read_lines(engraved(score_with((before, spring))))
        ways = [way for frame in frames_of(readings) for way in frame.ways]
        found.append([way.beats for way in ways])
    assert found[0] == [()]
    assert found[1] in ([(Side.RIGHT,)], [(Side.LEFT,)])
