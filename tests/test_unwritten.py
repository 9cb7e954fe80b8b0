"""What is not written of a place is the usual number, or the nearest to it within reach.

Reach is reckoned here once more, by trying every distance that can be written, with the
lengths of the body from the handbook (Drillis & Contini, 1966, as reproduced in Winter).
"""

from decimal import Decimal
from math import hypot

import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from stavebound.dance.pose import Free, HandPose, Pose
from stavebound.dance.state import BOTH, apply, fold
from stavebound.score.model import (
    Bend,
    Depth,
    ElbowChange,
    FootChange,
    HandChange,
    Height,
    KneesChange,
    LegDirection,
    Side,
)
from stavebound.trade.catalogue import load_catalogue
from tests.support.sources import score_faults, score_of, whole

CATALOGUE = load_catalogue()
SCHOOL = CATALOGUE.schools.school[0]
ARM, SHOULDER = 0.440, (0.129, 0.818)
UPPER_ARM, THIGH, HIP = 0.186, 0.245, (0.052, 0.530)
LINES = {"floor": 0.0, "knee": 0.285, "waist": 0.605, "shoulder": 0.818, "head": 1.0}
USUAL = {Depth.LEVEL: 0, Depth.FRONT: 30, Depth.BEHIND: -26}
HUNDREDTHS = {
    Depth.LEVEL: range(-10, 11),
    Depth.FRONT: range(1, 71),
    Depth.BEHIND: range(-70, 0),
}

heights = st.builds(
    Height,
    st.sampled_from(tuple(LINES)),
    st.integers(-99, 99).map(lambda number: Decimal(number).scaleb(-2)),
)
outs = st.integers(-30, 70).map(lambda number: Decimal(number).scaleb(-2))

ROUNDED, STRETCHED = ((("arm", line),) for line in ("rounded", "stretched"))


def in_statures(height: Height) -> float:
    """By the stave's four spaces, each as high as the body is between its lines."""
    up, at = sorted(LINES.values()), list(LINES).index(height.line) + float(height.offset)
    if at > 4:
        return 1.0 + (at - 4) * 0.40
    below = min(max(int(at // 1), 0), 3)
    return up[below] + (at - below) * (up[below + 1] - up[below])


def reached(height: Height, out: Decimal, depth: Depth, most: float = ARM) -> list[int]:
    """The distances forward, in hundredths, of hands within reach."""
    up, across = in_statures(height) - SHOULDER[1], float(out) - SHOULDER[0]
    return [f for f in HUNDREDTHS[depth] if hypot(up, across, f / 100) <= most + 1e-9]


def placed(change: HandChange, pose: Pose = Pose()) -> HandPose:  # noqa: B008
    hand = apply(change, pose, CATALOGUE, SCHOOL).hands.of(change.side)
    assert hand is not None
    return hand


@given(heights, outs, st.sampled_from(Depth), st.sampled_from(Side))
def test_a_hand_is_refused_only_where_no_distance_forward_is_within_reach(
    height: Height, out: Decimal, depth: Depth, side: Side
) -> None:
    place = f'height="{height.line}{height.offset:+.2f}" out="{out:.2f}" depth="{depth}"'
    score = score_of(whole(f'<hand side="{side}" {place}/>'))
    codes = {fault.code for fault in score_faults(score, CATALOGUE, SCHOOL)}
    found = reached(height, out, depth)
    assert ("T335" in codes) is (not found)
    assert "T334" not in codes
    hand = placed(HandChange(side, height=height, out=out, depth=depth))
    nearest = min(found, key=lambda forward: abs(forward - USUAL[depth]), default=None)
    if nearest is not None:
        # Between two hundredths, what is nearest may lie.
        assert abs(hand.forward * 100 - nearest) < 1
        assert nearest != USUAL[depth] or hand.forward == nearest / 100


@given(heights, outs, st.sampled_from([Depth.FRONT, Depth.BEHIND]))
def test_a_bent_or_rounded_arm_is_not_taken_to_its_full_reach(
    height: Height, out: Decimal, depth: Depth
) -> None:
    """.91 of an arm is rounded, from .95 it is stretched."""
    change = HandChange(Side.RIGHT, height=height, out=out, depth=depth)
    assume(reached(height, out, depth, 0.90 * ARM))
    elbows = Pose().elbows.changed(Side.RIGHT, Pose().elbows.right._replace(bend=Bend.HALF))
    bent = placed(change, Pose(elbows=elbows))
    rounded = placed(HandChange(change.side, None, height, out, depth, departures=ROUNDED))
    up, across = in_statures(height) - SHOULDER[1], float(out) - SHOULDER[0]
    assert hypot(up, across, bent.forward) < 0.945 * ARM
    assert hypot(up, across, rounded.forward) < 0.915 * ARM
    stretched = placed(HandChange(change.side, None, height, out, depth, departures=STRETCHED))
    assert 0.945 * ARM <= hypot(up, across, stretched.forward) <= ARM + 1e-9


def test_what_is_written_and_what_a_name_says_is_held_to_the_letter() -> None:
    low = HandChange(Side.RIGHT, height=Height("waist", Decimal("-0.5")), out=Decimal("0.25"))
    written = HandChange(low.side, None, low.height, low.out, Depth.BEHIND, Decimal("-0.26"))
    assert placed(written).forward == -0.26
    named = HandChange(Side.RIGHT, "fifth")
    held = apply(named, Pose(), CATALOGUE, SCHOOL)
    marked = placed(HandChange(Side.RIGHT, departures=STRETCHED), held)
    assert marked.forward == placed(named).forward


def test_a_hand_that_goes_on_keeps_its_depth_within_reach() -> None:
    """The distance held from before would be out of reach at the new height."""
    first = HandChange(Side.RIGHT, None, Height("waist", Decimal(0)), Decimal("0.25"), Depth.BEHIND)
    then = HandChange(Side.RIGHT, height=Height("waist", Decimal("-0.5")))
    _, before, after = fold(((), (first,), (then,)), CATALOGUE, SCHOOL)
    assert before.pose.hands.right is not None
    assert after.pose.hands.right is not None
    assert before.pose.hands.right.forward == -0.26
    assert -0.21 < after.pose.hands.right.forward < -0.19


def test_a_hand_on_the_body_is_no_farther_forward_than_the_body() -> None:
    on_it = '<hand side="right" height="waist" out="0.10" depth="front" touching="body"/>'
    assert score_faults(score_of(whole(on_it)), CATALOGUE, SCHOOL) == ()


@given(heights, st.sampled_from([Bend.HALF, Bend.FULL]), st.sampled_from(Side), st.booleans())
def test_a_joint_is_refused_only_where_nothing_is_within_reach(
    height: Height, bend: Bend, side: Side, is_knee: bool
) -> None:
    """A joint whose height alone is written; a knee's leg is free, said before it or after."""
    place = f'side="{side}" bend="{bend}" height="{height.line}{height.offset:+.2f}"'
    leg = f'<foot side="{side}" to="front" raised="90" path="straight"/>'
    example = f"<knee {place}/>{leg}" if is_knee else f"<elbow {place}/>"
    codes = {f.code for f in score_faults(score_of(whole(example)), CATALOGUE, SCHOOL)}
    (_, up), length = (HIP, THIGH) if is_knee else (SHOULDER, UPPER_ARM)
    is_far = abs(in_statures(height) - up) > length + 1e-6
    assert bool(codes & {"T372", "T373"}) is is_far


@pytest.mark.parametrize("side", BOTH)
@given(st.integers(0, 70).map(lambda number: Decimal(number).scaleb(-2)))
def test_an_elbow_goes_to_the_height_that_it_reaches(side: Side, out: Decimal) -> None:
    score = score_of(whole(f'<elbow side="{side}" bend="half" out="{out:.2f}"/>'))
    codes = {fault.code for fault in score_faults(score, CATALOGUE, SCHOOL)}
    assert ("T372" in codes) is (abs(float(out) - SHOULDER[0]) > UPPER_ARM + 1e-6)


@given(heights, st.sampled_from(LegDirection))
def test_toes_without_an_out_are_where_the_leg_reaches(
    height: Height, direction: LegDirection
) -> None:
    up = in_statures(height) - HIP[1]
    assume(height.line != "floor" and abs(up) <= 0.606)
    feet = apply(FootChange(Side.RIGHT, direction, height=height), Pose(), CATALOGUE, SCHOOL).feet
    foot = feet.right
    assert isinstance(foot, Free)
    assert foot.out is not None
    assert hypot(foot.out - HIP[0], up) <= 0.606 + 1e-9


def test_a_joint_without_a_place_is_where_it_usually_is() -> None:
    for change in (ElbowChange(Bend.FULL, Side.RIGHT), KneesChange(Bend.FULL, Side.RIGHT)):
        after = apply(change, Pose(), CATALOGUE, SCHOOL)
        assert {after.elbows.right.height, after.knees.right.height} == {None}
