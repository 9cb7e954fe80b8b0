"""How head, body and hips lean is rows: the table agrees with the schema and with the reader's
own rows, and another lean is a row.

The lean that is tried stands in no table. Its rows are laid over them, and it is engraved, read
back and proved like any other, without a line of Python that knows it.
"""

from __future__ import annotations

from dataclasses import replace

from stavebound.build.setting import key_in, setting_of
from stavebound.build.values import House
from stavebound.dance.features import score_features
from stavebound.diagnostics import Diagnostic
from stavebound.proof.lines import drawn_lines, prove_lines
from stavebound.readback.table import LeaningRow, LeanRead, ShapeRow, SignPart, SignRow
from stavebound.score.attitude import Lean, attitude
from stavebound.score.lexical import lean_text
from stavebound.score.model import CentreChange, CentrePart, Frame, Score
from stavebound.source.datatypes import allows
from stavebound.source.schema import load_plain_schema
from stavebound.trade.centre import Centre, Leaning, LeanRow
from stavebound.trade.tables import Sign
from tests.support.leans import all_leans
from tests.support.readers import score_with
from tests.support.staves import CATALOGUE, HOUSE, MEASURE, danced_of, outcome_of, printed_of

TABLE = CATALOGUE.centre
WIDE, THICK = 0.4, 0.3


def test_what_the_schema_lets_a_part_do_is_in_the_table() -> None:
    rules = (next(iter(load_plain_schema().named(part))) for part in CentrePart)
    known = {one.name: one.datatype for rule in rules for one in rule.attributes}
    assert list(known) == [row.name for row in TABLE.lean]
    directions = {to for row in TABLE.lean for to in row.to}
    for row in TABLE.lean:
        datatype = known[row.name]
        every = {lean_text(Lean(to, amount)) for to in directions for amount in range(1, 6)}
        said = {text for text in every if allows(datatype, text)} | datatype.values
        assert said == {lean_text(lean) for lean in all_leans(row)}


def test_the_reader_has_rows_of_its_own_for_every_lean() -> None:
    ours = {
        (row.name, to): (own.signs, own.turned == "over")
        for row in TABLE.lean
        for to, own in row.to.items()
    }
    theirs = {
        (row.name, to): (own.signs, own.turned < 0)
        for row in HOUSE.table.lean
        for to, own in row.to.items()
    }
    assert theirs == ours
    assert HOUSE.table.centre.straight == TABLE.straight


def test_parts_that_are_held_alike_are_equal() -> None:
    tilt, turn = Lean("left"), Lean("right", 2)
    one = attitude({"turn": turn, "tilt": tilt, "bend": None})
    assert one == attitude({"tilt": tilt, "turn": turn}) == (("tilt", tilt), ("turn", turn))


# ---------------------------------------------------------------- a lean that no table has


def with_lean(house: House) -> House:
    """The house with one lean more, to the left and to the front, by one amount: the rows that
    it needs, for the engraver and the reader."""
    stroke = (-WIDE / 2, 0.0, WIDE / 2, 0.0, THICK)
    high = (0.0, -WIDE / 2, 0.0, WIDE / 2, THICK)
    signs = {
        name: Sign(name=name, meaning="", description="", source="", strokes=(drawn,))
        for name, drawn in (("trial", stroke), ("high trial", high))
    }
    to = {name: Leaning(signs=(sign,), key="trial") for name, sign in TRIAL.items()}
    row = LeanRow(name="trial", to=to, start="start_bent", description="")
    theirs, own = house.catalogue, house.table
    kept = {name: getattr(theirs.centre, name) for name in Centre.model_fields}
    centre = Centre(**kept | {"lean": (*theirs.centre.lean, row)})
    read = LeanRead(name="trial", to={to: LeaningRow(signs=(sign,)) for to, sign in TRIAL.items()})
    shapes = (
        ShapeRow(name=name, kind="stroke", description="", length=WIDE, width=THICK, angle=angle)
        for name, angle in (("trial", 0.0), ("high trial", 90.0))
    )
    rows = (SignRow(name=one, description="", parts=(SignPart(shape=one),)) for one in signs)
    changed = {
        "shape": (*own.shape, *shapes),
        "sign": (*own.sign, *rows),
        "lean": (*own.lean, read),
    }
    kept = {name: getattr(own, name) for name in type(own).model_fields}
    table = type(own).model_construct(**kept | changed)
    catalogue = replace(theirs, centre=centre, signs={**theirs.signs, **signs}, digest="trial")
    return replace(house, catalogue=catalogue, table=table)


TRIAL = {"left": "trial", "front": "high trial"}


def leaning(score: Score) -> Score:
    """The score with a part that leans so at every frame, alone and beside other leans."""

    def added(number: int, frame: Frame) -> Frame:
        others = {"tilt": Lean("left", 2)} if number % 2 else {}
        own = attitude({**others, "trial": Lean(list(TRIAL)[number // 2 % 2])})
        part = list(CentrePart)[number % len(CentrePart)]
        return replace(frame, changes=(*frame.changes, CentreChange(part, own)))

    (phrase,) = score.phrases
    frames = tuple(added(number, frame) for number, frame in enumerate(phrase.frames))
    return replace(score, phrases=(replace(phrase, frames=frames),))


def proved(score: Score, drawing: House, reading: House) -> tuple[Diagnostic, ...]:
    """What the proof finds where one house engraves the score and the other reads it."""
    setting = setting_of((), drawing)
    engraved = outcome_of(score, MEASURE, setting).value
    assert engraved is not None
    lines = drawn_lines(engraved, score.title, setting)
    return prove_lines(
        lines, engraved, printed_of(score, setting), setting, key_in(setting, reading)
    )


def test_a_lean_of_which_only_rows_are_known_is_drawn_and_read_back() -> None:
    house = with_lean(HOUSE)
    score = leaning(score_with(['<arms in="second"/>', *[""] * 11]))
    found = score_features(danced_of(score, setting_of((), house)))
    assert {"trial 1", *CentrePart} < found
    assert proved(score, house, house) == ()
    assert proved(score, house, HOUSE) != (), "it was read without its rows"


def test_the_reader_s_own_rows_see_a_row_that_draws_another_lean() -> None:
    wrong = {"left": TABLE.lean[0].to["right"], "right": TABLE.lean[0].to["left"]}
    tilt = TABLE.lean[0].model_copy(update={"to": wrong})
    kept = {name: getattr(TABLE, name) for name in Centre.model_fields}
    centre = Centre(**kept | {"lean": (tilt, *TABLE.lean[1:])})
    house = replace(HOUSE, catalogue=replace(CATALOGUE, centre=centre, digest="wrong"))
    score = score_with(['<head tilt="left 2"/>'])
    assert [fault.code for fault in proved(score, house, house)] == ["R201"]
