"""Another dancer: reach follows the person, and the ruling and its ink do not."""

from __future__ import annotations

import ast
from dataclasses import replace
from pathlib import Path

import pytest

import stavebound
from stavebound.body.heights import statures
from stavebound.body.skeleton import arm, leg, thigh, upper_arm
from stavebound.dance.points import hand_point
from stavebound.dance.pose import Free, HandPose, Pose
from stavebound.dance.state import apply
from stavebound.engrave.parts import Setting
from stavebound.score.model import Depth, FootChange, Height, LegDirection, Side
from stavebound.svg.staves import draw_staves
from stavebound.trade.catalogue import Catalogue
from stavebound.trade.scale import levels
from stavebound.trade.tables import Person
from tests.support.readers import SOME_SIGNS, proved
from tests.support.sources import score_faults, score_of, whole
from tests.support.staves import CATALOGUE, ENGLISH, SETTING, engraved, small_score

PACKAGE = Path(stavebound.__file__).parent
# Longer legs, shorter arms and broader shoulders than the handbook's.
OTHERS = {
    "knee": 0.315,
    "hip": 0.565,
    "waist": 0.640,
    "shoulder": 0.835,
    "eyes": 0.945,
    "upper arm": 0.165,
    "forearm": 0.130,
    "hand": 0.095,
    "half shoulder width": 0.140,
    "half hip width": 0.058,
    "hip to toes": 0.650,
}
PERSON = Person.model_validate(
    {
        "measure": [
            {**row.model_dump(), "value": OTHERS.get(row.name, row.value)}
            for row in CATALOGUE.person.measure
        ]
    }
)
OTHER = replace(CATALOGUE, person=PERSON, digest="of another dancer")

# By names, lines and places in full, on every part of the body that has a name for a height.
PLACES = small_score(
    SOME_SIGNS
    + """<phrase counts="8">
<frame at="1"><hand side="right" height="hip" out="0.25" depth="front"/></frame>
<frame at="2"><hand side="left" height="eyes+0.10" out="0.20" depth="behind"/></frame>
<frame at="3"><elbow side="left" bend="half" height="shoulder" out="0.25"/></frame>
<frame at="4"><foot side="right" to="side" height="hip+0.20" out="0.55"/></frame>
<frame at="5"><foot side="right" to="front" height="waist" out="-0.06"/></frame>
<frame at="6"><knee side="right" bend="half" height="hip" out="0.22" depth="behind"/></frame>
<frame at="7"><hand side="right" touching="shoulder"/><head tilt="left 2"/></frame>
<frame at="8"><feet in="second"/><hand side="right" height="head+0.40" out="0.10"/></frame>
</phrase>"""
)


def drawn(setting: Setting) -> list[str]:
    return [
        draw_staves(system, setting.faces) for system in engraved(PLACES, setting=setting).systems
    ]


def test_another_person_moves_no_line_of_the_stave() -> None:
    setting = replace(SETTING, catalogue=OTHER)
    assert levels(OTHER.ruling) == levels(CATALOGUE.ruling)
    assert drawn(setting) == drawn(SETTING)
    assert proved(PLACES, setting=setting) == ()


def codes(example: str, catalogue: Catalogue) -> set[str]:
    return {fault.code for fault in score_faults(score_of(whole(example)), catalogue, ENGLISH)}


@pytest.mark.parametrize(
    ("example", "code"),
    [
        ('<hand side="right" height="waist" out="0.50" depth="level"/>', "T335"),
        ('<elbow side="right" bend="half" height="shoulder" out="0.31"/>', "T372"),
        ('<hand side="right" height="shoulder" out="0.55" depth="level" arm="stretched"/>', "T335"),
    ],
)
def test_what_is_in_reach_follows_the_person(example: str, code: str) -> None:
    assert code not in codes(example, CATALOGUE)
    assert code in codes(example, OTHER)


def test_longer_legs_reach_farther() -> None:
    toes = '<foot side="right" to="side" height="hip" out="0.69" path="straight"/>'
    assert "T393" in codes(toes, CATALOGUE)
    assert "T393" not in codes(toes, OTHER)


def test_a_height_is_the_person_s_own() -> None:
    for name, at in levels(CATALOGUE.ruling):
        for catalogue in (CATALOGUE, OTHER):
            own = {"floor": 0.0, "head": 1.0}
            height = own[name] if name in own else catalogue.person.of(name)
            assert statures(catalogue.person, catalogue.ruling, at) == pytest.approx(height)
    hand = HandPose(Depth.LEVEL, 2.0, 0.2, 0.0)
    assert hand_point(hand, OTHER).height == OTHERS["waist"]


def test_limbs_are_as_long_as_the_person_s() -> None:
    assert arm(PERSON).length == pytest.approx(0.165 + 0.130 + 0.095)
    assert upper_arm(PERSON).length == 0.165
    assert thigh(PERSON).length == pytest.approx(0.565 - 0.315)
    assert leg(PERSON).length == 0.650
    assert arm(PERSON).joint == (0.140, 0.835, 0.0)
    assert leg(PERSON).joint == (0.058, 0.565, 0.0)


def test_a_number_that_is_not_written_follows_the_person() -> None:
    """Toes to the side whose out nobody wrote are where this person's leg reaches."""
    change = FootChange(Side.RIGHT, LegDirection.SIDE, height=Height("hip"))
    outs = []
    for catalogue in (CATALOGUE, OTHER):
        foot = apply(change, Pose(), catalogue, ENGLISH).feet.right
        assert isinstance(foot, Free)
        outs.append(foot.out)
    assert outs == [pytest.approx(0.052 + 0.606), pytest.approx(0.058 + 0.650)]


def test_only_the_body_reckons_lengths_in_a_body() -> None:
    """Rooms that know poses ask it; likeness counts the ink of drawings."""
    reckoning = {
        path.relative_to(PACKAGE).as_posix()
        for room in ("body", "score", "dance", "plan", "wording", "check")
        for path in (PACKAGE / room).rglob("*.py")
        if any(
            isinstance(node, ast.ImportFrom)
            and node.module == "math"
            and {name.name for name in node.names} & {"hypot", "sqrt", "dist", "cos", "sin"}
            for node in ast.parse(path.read_text(encoding="utf-8")).body
        )
    }
    assert reckoning == {"body/reach.py", "body/skeleton.py", "check/likeness.py"}
