"""The stave and the shapes held against a table of body proportions.

Source: R. Drillis and R. Contini, *Body Segment Parameters*, Technical Report
1166.03, New York University, 1966, as reproduced in D. A. Winter,
*Biomechanics and Motor Control of Human Movement* (the figure of segment
lengths as fractions of body height H). Two lengths are not in that figure and
are marked: they are the trade's own, from memory.
"""

from __future__ import annotations

from math import cos, hypot, radians

import pytest
from hypothesis import given
from hypothesis import strategies as st

from stavebound.body.heights import spaces, statures
from stavebound.body.skeleton import arm, shoulder
from stavebound.dance.points import hand_point
from stavebound.dance.pose import HandPose
from stavebound.readback.anchors import load_anchors
from stavebound.score.model import Depth
from stavebound.trade.catalogue import load_catalogue
from stavebound.trade.scale import levels, line_height
from stavebound.trade.tables import HandShape

CATALOGUE = load_catalogue()
PERSON, RULING = CATALOGUE.person, CATALOGUE.ruling
BODY = PERSON, RULING

# Heights above the floor and lengths, in fractions of H, as the figure gives them.
HANDBOOK = {
    "ankle": 0.039,
    "knee": 0.285,
    "hip": 0.530,
    "shoulder": 0.818,
    "eyes": 0.936,
    "upper arm": 0.186,
    "forearm": 0.146,
    "hand": 0.108,
    "half shoulder width": 0.129,
}
# Not in the figure.
WAIST = 0.605
HALF_HIP_WIDTH = 0.052
HIP_TO_POINTED_TOE = 0.606

ARM = 0.186 + 0.146 + 0.108
# How much of the arm's length each shape reaches out, worked out by hand from its
# place: a rounded arm reaches to .91 at most, a stretched one from .95 (from memory).
SHARES = {
    "hanging": 0.92,
    "low rounded": 0.87,
    "low and open in front": 0.88,
    "half-open side": 0.88,
    "front rounded": 0.86,
    "side": 0.87,
    "overhead rounded": 0.87,
    "overhead open": 0.87,
    "arabesque front, high": 0.96,
    "arabesque front, low": 0.95,
    "arabesque side": 0.95,
    "arabesque back": 0.95,
    "stretched up": 0.96,
}
STRETCHED = {name for name in SHARES if name.startswith(("arabesque", "stretched"))}

heights = st.floats(-1, 6)


def test_the_measures_are_the_handbook_s() -> None:
    assert {row.name: row.value for row in PERSON.measure} == HANDBOOK | {
        "waist": WAIST,
        "half hip width": HALF_HIP_WIDTH,
        "hip to toes": HIP_TO_POINTED_TOE,
    }
    for row in PERSON.measure:
        assert ("Drillis" in row.source) == (row.name in HANDBOOK)


def test_the_reader_s_anchors_go_by_the_same_measures() -> None:
    """A table of places and its anchor cannot be wrong together where both go by the body."""
    figure, memory = load_anchors().measures
    assert "Drillis" in figure.source
    assert figure.of == HANDBOOK | {"foot": 0.152}
    assert memory.of == {
        "waist": WAIST,
        "half hip width": HALF_HIP_WIDTH,
        "hip to toes": HIP_TO_POINTED_TOE,
        "a space above": 0.40,
    }


def test_the_stave_is_ruled_on_the_body() -> None:
    """Five lines, and hip and eyes between them where a straight scale has them."""
    lines = {
        "floor": 0.0,
        "knee": HANDBOOK["knee"],
        "waist": WAIST,
        "shoulder": HANDBOOK["shoulder"],
        "head": 1.0,
    }
    assert [row.name for row in RULING.line] == list(lines)
    parts = lines | {name: HANDBOOK[name] for name in ("hip", "eyes")}
    assert [name for name, _ in levels(RULING)] == sorted(parts, key=lambda name: parts[name])
    up = list(lines.values())
    for name, at in levels(RULING):
        below = min(int(at), 3)
        straight = up[below] + (at - below) * (up[below + 1] - up[below])
        assert straight == pytest.approx(parts[name])
        assert statures(*BODY, at) == pytest.approx(parts[name])


@pytest.mark.parametrize(
    ("name", "height"),
    [("floor", 0), ("knee", 1), ("hip", 1.77), ("waist", 2), ("shoulder", 3), ("eyes", 3.65)],
)
def test_a_part_of_the_body_stands_at_its_height_on_the_stave(name: str, height: float) -> None:
    assert line_height(RULING, name) == pytest.approx(height, abs=0.005)


def test_spaces_are_as_tall_as_the_body_between_its_lines() -> None:
    tall = [statures(*BODY, index + 1) - statures(*BODY, index) for index in range(4)]
    assert tall == pytest.approx([0.285, 0.320, 0.213, 0.182])
    assert statures(*BODY, 5) - statures(*BODY, 4) == pytest.approx(0.40)
    assert statures(*BODY, 0) - statures(*BODY, -1) == pytest.approx(0.285)


@given(heights)
def test_spaces_and_statures_undo_each_other(height: float) -> None:
    assert spaces(*BODY, statures(*BODY, height)) == pytest.approx(height, abs=1e-9)


@given(st.floats(-0.285, 1.6))
def test_statures_and_spaces_undo_each_other(stature: float) -> None:
    assert statures(*BODY, spaces(*BODY, stature)) == pytest.approx(stature, abs=1e-9)


@given(heights, heights)
def test_what_is_higher_on_the_body_is_higher_on_the_stave(a: float, b: float) -> None:
    low, high = sorted((a, b))
    if high - low > 1e-6:
        assert statures(*BODY, low) < statures(*BODY, high)
        assert spaces(*BODY, low) < spaces(*BODY, high)


# ---------------------------------------------------------------- arms


def test_an_arm_is_three_segments_long() -> None:
    assert arm(PERSON).length == pytest.approx(ARM)
    assert pytest.approx(0.440) == ARM
    assert shoulder(PERSON) == (HANDBOOK["half shoulder width"], HANDBOOK["shoulder"], 0)


def reach_of(row: HandShape) -> float:
    """From the shoulder's joint to the finger tips, straight through space, in H."""
    up = statures(*BODY, row.height) - HANDBOOK["shoulder"]
    return hypot(row.out - HANDBOOK["half shoulder width"], up, row.forward)


@pytest.mark.parametrize("row", CATALOGUE.shapes.hand, ids=lambda row: row.name)
def test_a_shape_is_in_reach_and_takes_its_share_of_it(row: HandShape) -> None:
    share = reach_of(row) / ARM
    assert share <= 1
    assert share == pytest.approx(SHARES[row.name], abs=0.01)
    pose = HandPose(Depth(row.depth), row.height, row.out, row.forward)
    assert arm(PERSON).distance(hand_point(pose, CATALOGUE)) == pytest.approx(reach_of(row))


def test_the_shares_are_of_the_shapes_there_are() -> None:
    assert {row.name for row in CATALOGUE.shapes.hand} == set(SHARES)


def test_stretched_arms_reach_farther_than_rounded_ones() -> None:
    shares = {row.name: reach_of(row) / ARM for row in CATALOGUE.shapes.hand}
    stretched = [shares[name] for name in STRETCHED]
    rounded = [share for name, share in shares.items() if name not in STRETCHED | {"hanging"}]
    assert min(stretched) > 0.94
    assert max(rounded) < 0.92


def test_hanging_fingers_end_between_knee_and_hip() -> None:
    """Straight down from the shoulder the tips are at .818 − .440 H; a relaxed arm ends higher."""
    (hanging,) = (row for row in CATALOGUE.shapes.hand if row.name == "hanging")
    lowest = spaces(*BODY, HANDBOOK["shoulder"] - ARM)
    assert lowest == pytest.approx(1.3, abs=0.02)
    assert lowest <= hanging.height <= 1.4


# ---------------------------------------------------------------- legs


@pytest.mark.parametrize("angle", [65, 90, 105, 120, 135, 180])
def test_a_straight_leg_is_as_high_as_geometry_has_it(angle: int) -> None:
    """From the hip, the toe of a straight leg is .606·cos of its angle from the vertical lower.

    Drawn within a tenth of a space of that: at 120° it is set right on the shoulder line.
    """
    (row,) = (row for row in CATALOGUE.feet.free.place if row.name == str(angle))
    toe = HANDBOOK["hip"] - HIP_TO_POINTED_TOE * cos(radians(angle))
    assert row.level == row.front
    assert row.level == pytest.approx(spaces(*BODY, toe), abs=0.1)


def test_a_low_leg_is_drawn_higher_than_geometry_has_it() -> None:
    """On purpose: at 45° the bare geometry gives .36, too near "off the floor" to be told apart."""
    places = {row.name: row for row in CATALOGUE.feet.free.place}
    toe = spaces(*BODY, HANDBOOK["hip"] - HIP_TO_POINTED_TOE * cos(radians(45)))
    assert toe == pytest.approx(0.36, abs=0.01)
    assert places["45"].level > toe
    assert places["off the floor"].front + 0.2 < places["45"].front
    assert places["45"].level + 0.2 < places["65"].level


def test_the_toe_of_a_straight_leg_is_on_the_floor_at_29_degrees() -> None:
    assert HIP_TO_POINTED_TOE * cos(radians(29)) == pytest.approx(HANDBOOK["hip"], abs=0.001)


def test_a_higher_leg_is_drawn_higher() -> None:
    order = ["pointed", "off the floor", "45", "65", "90", "105", "120", "135", "180"]
    rows = {row.name: row for row in CATALOGUE.feet.free.place}
    for depth in ("level", "front"):
        drawn = [getattr(rows[name], depth) for name in order]
        assert drawn == sorted(set(drawn))
