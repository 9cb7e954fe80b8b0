"""Names by school: another school is a row of a table, and its names mean places."""

from __future__ import annotations

from dataclasses import replace

from stavebound.dance.pose import HandPose
from stavebound.dance.state import fold
from stavebound.trade.tables import School
from tests.support.sources import score_faults
from tests.support.staves import CATALOGUE, small_score

# Invented for this test.
HOUSE = School(name="house", label="House", arms={"side": "wide", "overhead rounded": "crown"})
WITH_HOUSE = replace(
    CATALOGUE,
    schools=CATALOGUE.schools.model_copy(update={"school": (*CATALOGUE.schools.school, HOUSE)}),
)
SCORE = """<start><feet in="first"/><arms in="wide"/></start>
<phrase counts="4"><frame at="1"><arms in="crown"/></frame>
<frame at="2"><hand side="right" in="wide"{place}/></frame></phrase>"""


def faults(place: str = "") -> list[str]:
    score = replace(small_score(SCORE.format(place=place)), school="house")
    return [fault.code for fault in score_faults(score, WITH_HOUSE, HOUSE)]


def test_another_school_is_a_row() -> None:
    assert faults() == []
    score = small_score(SCORE.format(place=""))
    hands = fold([score.phrases[0].frames[0].changes], WITH_HOUSE, HOUSE)[0].pose.hands
    crown = {row.name: row for row in CATALOGUE.shapes.hand}["overhead rounded"]
    assert isinstance(hands.right, HandPose)
    assert (hands.right.height, hands.right.out) == (crown.height, crown.out)


def test_its_names_are_held_against_places() -> None:
    assert faults(' height="shoulder"') == ["T333"]
    assert faults(' height="shoulder-0.20"') == []


def test_a_name_of_another_school_is_not_one_of_its_own() -> None:
    score = small_score(
        '<start><feet in="first"/><arms in="bras bas"/></start>'
        '<phrase counts="1"><frame at="1"><feet in="second"/></frame></phrase>'
    )
    found = score_faults(replace(score, school="house"), WITH_HOUSE, HOUSE)
    assert "T322" in [fault.code for fault in found]
