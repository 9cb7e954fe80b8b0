"""What one sign says of the whole dancer is rows: the table agrees with the schema, and another
row is enough, above the counts, below the stave or on it.

The sign that is tried stands in no table. Its rows are laid over them, and it is engraved, read
back and proved like any other, without a line of Python that knows it.
"""

from __future__ import annotations

from dataclasses import replace
from typing import Literal

import pytest

from stavebound.build.setting import key_in, setting_of
from stavebound.build.values import House
from stavebound.dance.features import score_features
from stavebound.proof.lines import drawn_lines, prove_lines
from stavebound.readback.table import ShapeRow, SignPart, SignRow
from stavebound.score.model import Score, WholeChange
from stavebound.score.read import whole_names
from stavebound.source.schema import load_plain_schema
from stavebound.trade.lanes import Lanes, WholeSign
from stavebound.trade.tables import Sign
from tests.support.readers import score_with
from tests.support.staves import CATALOGUE, HOUSE, MEASURE, danced_of, outcome_of, printed_of

Lane = Literal["stave", "above", "below"]
# A name with an attribute, as that of a hold has; where it stands, clear of all others.
NAME = "trial as marked"
WHERE: dict[Lane, float] = {"stave": 2.75, "above": 1.5, "below": -4.6}
WIDE, THICK = 0.4, 0.3


def test_what_the_schema_lets_be_said_is_in_the_table() -> None:
    """With every word of it; without the attribute too where that may be left out."""
    said = set()
    for name in whole_names():
        (rule,) = load_plain_schema().named(name)
        said |= {
            f"{name} {one.name} {word.value}"
            for one in rule.attributes
            for word in one.datatype.words
        }
        if not any(one.required for one in rule.attributes):
            said.add(name)
    assert said == {row.name for row in CATALOGUE.lanes.whole}


def test_a_name_tells_element_attribute_and_value() -> None:
    for row in CATALOGUE.lanes.whole:
        assert WholeChange.named(row.name).name == row.name
    assert WholeChange.named("hold of arms") == WholeChange("hold", ("of", "arms"))
    assert WholeChange.named("pause") == WholeChange("pause")


def with_sign(house: House, lane: Lane) -> House:
    """The house with one sign more: the rows that it needs, for the engraver and the reader."""
    row = WholeSign(name=NAME, sign="trial", lane=lane, y=WHERE[lane], description="")
    stroke = (-WIDE / 2, 0.0, WIDE / 2, 0.0, THICK)
    sign = Sign(name="trial", meaning="", description="", source="", strokes=(stroke,))
    theirs, own = house.catalogue, house.table
    kept = {name: getattr(theirs.lanes, name) for name in Lanes.model_fields}
    lanes = Lanes(**kept | {"whole": (*theirs.lanes.whole, row)})
    shape = ShapeRow(name="trial", kind="stroke", description="", length=WIDE, width=THICK)
    read = SignRow(name="trial", description="", parts=(SignPart(shape="trial"),))
    return replace(
        house,
        catalogue=replace(
            theirs, lanes=lanes, signs={**theirs.signs, "trial": sign}, digest=f"trial {lane}"
        ),
        table=own.model_copy(update={"shape": (*own.shape, shape), "sign": (*own.sign, read)}),
    )


def marked(score: Score) -> Score:
    """The score with the sign at every frame."""
    trial = WholeChange.named(NAME)
    phrases = (
        replace(
            phrase,
            frames=tuple(
                replace(frame, changes=(*frame.changes, trial)) for frame in phrase.frames
            ),
        )
        for phrase in score.phrases
    )
    return replace(score, phrases=tuple(phrases))


@pytest.mark.parametrize("lane", WHERE)
def test_a_sign_of_which_only_rows_are_known_is_drawn_and_read_back(lane: Lane) -> None:
    house = with_sign(HOUSE, lane)
    frames = (
        "",
        "<accent/><pause/>",
        '<arms in="second"/>',
        '<turn to="left" by="1/2" on="right"/>',
    )
    score, setting = marked(score_with(frames)), setting_of((), house)
    assert NAME in score_features(danced_of(score, setting))
    engraved = outcome_of(score, MEASURE, setting).value
    assert engraved is not None
    lines = drawn_lines(engraved, score.title, setting)
    printed = printed_of(score, setting)
    for reading, sound in ((house, True), (HOUSE, False)):
        faults = prove_lines(lines, engraved, printed, setting, key_in(setting, reading))
        assert (faults == ()) is sound, faults
