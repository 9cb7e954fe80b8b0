"""A mark is rows: the tables of departures agree with the schema, and another row is enough.

The mark that is tried stands in no table. Its rows are laid over them, and it is engraved, read
back and proved like any other, without a line of Python that knows it.
"""

from __future__ import annotations

from dataclasses import replace
from itertools import product

import pytest

from stavebound.build.setting import key_in, setting_of
from stavebound.build.values import House
from stavebound.dance.features import features
from stavebound.diagnostics import Diagnostic
from stavebound.proof.lines import drawn_lines, prove_lines
from stavebound.score.departures import departure, departures
from stavebound.score.model import Change, FeetChange, FootChange, HandChange, Score
from stavebound.score.read import PLACES
from stavebound.source.schema import load_plain_schema
from stavebound.trade.departures import LimbKind
from tests.support.departures import MARKED, TABLE, names_of, values_of, with_mark
from tests.support.readers import score_with
from tests.support.staves import CATALOGUE, HOUSE, MEASURE, danced_of, outcome_of, printed_of

RULES = {rule.name: rule for rule in load_plain_schema().rules.values()}


@pytest.mark.parametrize("element", ["hand", "feet", "foot"])
def test_what_the_schema_lets_stand_there_is_in_the_table(element: str) -> None:
    """All but places, ways and transfers; values too, but for places of the body by name."""
    known = {
        one.name: one.datatype
        for one in RULES[element].attributes
        if one.name not in PLACES[element]
    }
    assert set(known) == set(names_of(element))
    contacts = {row.name for row in CATALOGUE.shapes.contact}
    for name, datatype in known.items():
        words = {word.value for word in datatype.words}
        assert words - contacts == set(values_of(name)) - contacts


def test_the_reader_has_a_row_for_every_sign() -> None:
    """Of its own: the proof holds its signs and places against the ink."""
    drawn = {
        (row.of, row.says, limb)
        for row in TABLE.value
        for limb in next(one.of for one in TABLE.departure if one.name == row.of)
        if row.sign
    }
    read = {(row.name, row.says, limb) for row in HOUSE.table.departure for limb in row.of}
    assert read == drawn


def test_what_is_usual_is_written_and_never_drawn() -> None:
    usual = {(row.name, row.usual) for row in TABLE.departure if row.usual}
    assert usual >= {("turned", "out"), ("ankle", "stretched")}
    assert all(row.sign == "" for row in TABLE.value if (row.of, row.says) in usual)
    assert TABLE.departing("free", departures(dict(usual))) == ()


def test_a_limb_that_is_written_anew_has_only_what_is_written_with_it() -> None:
    frames = ('<feet in="first" turned="in"/>', '<feet on="point"/>', '<feet in="second"/>')
    feet = [posed.pose.feet.right for posed in danced_of(score_with(frames)).poses[1:]]
    assert [departure(foot.departures, "turned") for foot in feet if foot] == ["in", "in", None]


# ---------------------------------------------------------------- a mark that no table has

WHERE: dict[LimbKind, tuple[str, ...]] = {
    "hand": (
        '<hand side="right" in="side"/>',
        '<hand side="left" in="side" palm="up" arm="stretched"/>',
        '<hand side="right" height="waist" out="-0.12" depth="front"/>',
        '<hand side="left" touching="hip" palm="in"/>',
        '<hand side="left" touching="barre"/>',
    ),
    "free": (
        '<foot side="right" to="front" place="pointed" turned="in" ankle="flexed"/>',
        '<foot side="left" to="back" raised="90"/>',
        '<foot side="right" to="side" place="knee"/>',
    ),
    "standing": (
        *(
            f'<feet in="{row.name}" {front} on="{rise}" {weight} {turned}/>'
            for row, rise, (weight, turned) in product(
                CATALOGUE.feet.position,
                CATALOGUE.feet.rise,
                (("", ""), ('weight="right"', 'turned="in"'), ('weight="left"', "")),
            )
            for front in ['front="left"' if row.front else ""]
        ),
        '<foot side="right" on="half point" turned="in"/><foot side="left" to="side" raised="45"/>',
        '<feet in="first" by="spring"/>',
        '<foot side="left" to="front" place="pointed"/><foot side="right" on="point" by="step"/>',
    ),
}


def marked(score: Score, limb: LimbKind) -> Score:
    """The score with the mark at every limb of that kind."""

    def with_it(change: Change) -> Change:
        if not isinstance(change, HandChange | FeetChange | FootChange):
            return change
        kinds: dict[type, LimbKind] = {HandChange: "hand", FeetChange: "standing"}
        kind = kinds.get(type(change), "free" if getattr(change, "direction", None) else "standing")
        if kind != limb:
            return change
        return replace(change, departures=departures({**dict(change.departures), **dict(MARKED)}))

    phrases = (
        replace(
            phrase,
            frames=tuple(
                replace(frame, changes=tuple(map(with_it, frame.changes)))
                for frame in phrase.frames
            ),
        )
        for phrase in score.phrases
    )
    return replace(score, phrases=tuple(phrases))


def proved(score: Score, marked: House, reading: House) -> tuple[Diagnostic, ...]:
    """What the proof finds where one house engraves the score and the other reads it."""
    setting = setting_of((), marked)
    engraved = outcome_of(score, MEASURE, setting).value
    assert engraved is not None
    lines = drawn_lines(engraved, score.title, setting)
    key = key_in(setting, reading)
    return prove_lines(lines, engraved, printed_of(score, setting), setting, key)


@pytest.mark.parametrize("limb", WHERE)
def test_a_mark_of_which_only_rows_are_known_is_drawn_and_read_back(limb: LimbKind) -> None:
    house = with_mark(HOUSE, limb)
    score = marked(score_with(WHERE[limb]), limb)
    poses = danced_of(score, setting_of((), house)).poses
    assert sum("trial marked" in features(posed, CATALOGUE) for posed in poses) == len(WHERE[limb])
    assert proved(score, house, house) == ()
    assert proved(score, house, HOUSE) != (), "it was read without its rows"
