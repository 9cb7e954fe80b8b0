"""Where the dancer faces: turns add up exactly, and rooms are numbered by school."""

from __future__ import annotations

from dataclasses import replace
from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from stavebound.dance.state import fold
from stavebound.readback.lanes import amount_in
from stavebound.readback.read import read_svg
from stavebound.readback.values import FacingRead, LaneRead, TravelRead, TurnRead
from stavebound.score.lanes import (
    DIRECTIONS,
    Front,
    TravelPath,
    TurnChange,
    TurnedOn,
    direction_of,
)
from stavebound.score.lexical import amount, amount_text
from stavebound.score.model import Side
from stavebound.svg.staves import draw_staves
from stavebound.wording.sentences import start_words
from tests.support.changes import CATALOGUE, amounts
from tests.support.readers import KEY, frames_of, proved, read_lines
from tests.support.sources import score_faults
from tests.support.staves import FACES, SETTING, engraved, school_of, small_score

ENGLISH = CATALOGUE.schools.school[0]
START = '<start><feet in="first"/><arms in="side"/><facing to="{}"/></start>'

# From memory, as the schools' tables themselves: what changes places in the mirror of the
# line to the audience; every other number stays.
MIRRORED = {
    "russian": ({2, 8}, {3, 7}, {4, 6}),
    "italian": ({1, 2}, {3, 4}, {6, 8}),
    "english": ({2, 4}, {5, 6}, {7, 8}),
}


@pytest.mark.parametrize("name", MIRRORED)
def test_numbers_of_a_room_pair_in_the_mirror(name: str) -> None:
    school = next(row for row in CATALOGUE.schools.school if row.name == name)
    assert sorted(school.room.values()) == list(range(1, 9))
    for pair in ({number} for number in range(1, 9)):
        partner = next((each - pair for each in MIRRORED[name] if pair <= each), pair)
        (number,), (other,) = pair, partner
        eighth = direction_of(str(number), school)
        assert eighth is not None
        assert direction_of(str(other), school) == -eighth % 8


@pytest.mark.parametrize(
    ("name", "clockwise"),
    [("russian", "12345678"), ("english", "16273845"), ("italian", "51847362")],
)
def test_numbers_of_a_room_run_clockwise_from_the_front(name: str, clockwise: str) -> None:
    """From memory. In the English and Italian rooms walls and corners take turns."""
    school = next(row for row in CATALOGUE.schools.school if row.name == name)
    assert "".join(str(school.room[direction]) for direction in DIRECTIONS) == clockwise
    assert DIRECTIONS[::2] == ("front", "right", "back", "left")


@given(st.sampled_from(range(8)), st.lists(st.tuples(st.sampled_from(Side), amounts())))
def test_turns_add_up_exactly(start: int, turns: list[tuple[Side, Fraction]]) -> None:
    """Against degrees of a compass, added up and taken round the circle."""
    first = small_score(
        f'{START.format(DIRECTIONS[start])}<phrase counts="1"><frame at="1"/></phrase>'
    )
    assert first.start is not None
    changes = [(TurnChange(to, by, TurnedOn.BOTH),) for to, by in turns]
    last = fold([first.start.changes, *changes], CATALOGUE, ENGLISH)[-1]
    compass = start * 45 + sum((360 if to is Side.RIGHT else -360) * by for to, by in turns)
    assert last.pose.facing * 45 == compass % 360


@given(amounts())
def test_amounts_are_written_in_one_way(by: Fraction) -> None:
    assert amount(amount_text(by)) == by


def test_the_start_is_told_in_words_whatever_numbers_it_is_written_in() -> None:
    russian = next(row for row in CATALOGUE.schools.school if row.name == "russian")
    score = small_score(f'{START.format("8")}<phrase counts="1"><frame at="1"/></phrase>')
    told = start_words(score, russian, ENGLISH, CATALOGUE, "en")
    assert told == "Feet in first; arms in second; facing front left."


def test_a_facing_that_disagrees_shows_the_sum() -> None:
    frames = """<frame at="1"><turn to="right" by="1/2" on="both"/></frame>
<frame at="2"><turn to="left" by="1 1/8" on="both"/></frame>
<frame at="3"><facing to="front"/></frame>"""
    score = small_score(f'{START.format("right")}<phrase counts="4">{frames}</phrase>')
    (fault,) = score_faults(score, CATALOGUE, school_of(score))
    assert fault.message == "the dancer faces back left here, not front"
    assert fault.hints == (
        "At the start the dancer faces right, then turns 1/2 to the right then 1 1/8 to the left: "
        "that is back left.",
        'Write the turn that leads there, such as <turn to="right" by="3/8" on="both"/>.',
    )


@pytest.mark.parametrize("written", ["", '<turn to="right" by="1" on="both"/>'])
def test_a_full_turn_is_not_no_turn(written: str) -> None:
    """The dancer faces the same way, and the ink is another."""
    frame = f'<frame at="1"><feet in="second"/><facing to="front"/>{written}</frame>'
    score = small_score(f'{START.format("front")}<phrase counts="1">{frame}</phrase>')
    assert proved(score) == ()
    kinds = [
        type(subject).__name__ for subject in frames_of(read_lines(engraved(score)))[1].subjects
    ]
    assert ("TurnRead" in kinds) == bool(written)


def test_what_stands_in_lanes_is_read_as_it_stands_there() -> None:
    """One line by hand, so that the reader is not only held against our own expectations."""
    inside = f"""{START.format("back left")}<phrase counts="8"><bar at="1" metre="6/8"/>
<frame at="1" quality="softly"><turn to="left" by="1 3/8" on="right"/><facing to="right"/></frame>
<frame at="2"><travel to="back right" of="stage" path="circling left"/><accent/></frame>
<frame at="3"><travel to="left" of="body"/><pause/><tempo counts="72">quicker</tempo></frame>
</phrase>"""
    (reading,) = read_lines(engraved(small_score(inside)))
    start, one, two, three, *_ = reading.frames
    assert FacingRead(5) in start.subjects
    assert set(one.subjects) == {
        TurnRead(Side.LEFT, Fraction(11, 8), TurnedOn.RIGHT),
        FacingRead(2),
    }
    travel, accent = two.subjects
    assert travel == TravelRead("back right", Front.STAGE, TravelPath.CIRCLING_LEFT)
    assert accent == LaneRead("accent")
    assert TravelRead("left", Front.BODY, TravelPath.STRAIGHT) in three.subjects
    assert [frame.texts for frame in (one, two, three)] == [
        (("quality", "softly"),),
        (),
        (("tempo", "quicker 1/4\u00a0=\u00a072"),),
    ]
    assert [frame.metre for frame in (one, two, three)] == ["6/8", None, None]


@pytest.mark.parametrize(
    ("text", "by"),
    [("½", "1/2"), ("1¾", "7/4"), ("2 3/8", "19/8"), ("4", "4"), ("7/8", "7/8")],
)
def test_amounts_are_read_as_printed(text: str, by: str) -> None:
    assert amount_in(text) == Fraction(by)


@pytest.mark.parametrize("text", ["", "5", "½½", "13/8", "1 ½", "2/8", "1/3", "a"])
def test_what_is_no_amount_is_none(text: str) -> None:
    assert amount_in(text) is None


EIGHTHS = ("1/8", "3/8", "5/8", "7/8", "1 1/8", "3 5/8")


@pytest.mark.parametrize("by", EIGHTHS)
def test_eighths_of_a_turn_are_set_as_small_as_halves_and_read_back(by: str) -> None:
    turn = f'<turn to="left" by="{by}" on="both"/>'
    frame = f'<frame at="1"><feet in="second"/>{turn}</frame>'
    score = small_score(f'{START.format("front")}<phrase counts="1">{frame}</phrase>')
    found = engraved(score)
    (system,) = found.systems
    widest = FACES.width("¾", SETTING.style.size("amount size"))
    above, slash, below = [text for text in system.texts if text.lane == "fraction"]
    assert (above.text, slash.text, below.text) == (by.split(" ")[-1][0], "\u2044", "8")
    assert below.x + below.width - above.x <= widest
    assert above.y > slash.y == below.y
    (reading,) = read_lines(found)
    assert amount(by) in [
        subject.by for subject in reading.frames[-1].subjects if isinstance(subject, TurnRead)
    ]


@pytest.mark.parametrize("lacking", ["fraction slash", "upper figure", "lower figure"])
def test_a_fraction_that_lacks_a_piece_is_no_amount(lacking: str) -> None:
    frame = '<frame at="1"><feet in="second"/><turn to="left" by="3/8" on="both"/></frame>'
    score = small_score(f'{START.format("front")}<phrase counts="1">{frame}</phrase>')
    (system,) = engraved(score).systems
    at = ["upper figure", "fraction slash", "lower figure"].index(lacking)
    gone = [text for text in system.texts if text.lane == "fraction"][at]
    texts = tuple(text for text in system.texts if text is not gone)
    outcome = read_svg(draw_staves(replace(system, texts=texts), FACES), "", KEY, FACES)
    assert outcome.value
    assert outcome.value.faults


def test_step_names_stand_below_what_stands_below_the_stave() -> None:
    step = '<frame at="1" step="Été"><feet in="second"/>{}</frame>'
    heights = []
    for below in ("", '<travel to="front" of="body"/>', '<turn to="left" by="3/8" on="both"/>'):
        inside = f'{START.format("front")}<phrase counts="1">{step.format(below)}</phrase>'
        if not below:
            inside = inside.replace('<facing to="front"/>', "")
        (system,) = engraved(small_score(inside)).systems
        (text,) = [text for text in system.texts if text.lane == "step"]
        inks = [sign.box.bottom for sign in system.staves[0].signs]
        assert text.y + 1.2 <= min(inks)
        heights.append(text.y)
    assert heights[0] == -2.0
    assert heights == sorted(heights, reverse=True)
    assert len(set(heights)) == len(heights)
