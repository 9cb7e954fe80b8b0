"""Lines of movement: what parts two movements with the same ends, and what a broken table costs."""

from __future__ import annotations

from dataclasses import replace
from itertools import pairwise, product

import pytest

from stavebound.drawing.courses import along
from stavebound.engrave.engraving import Engraved
from stavebound.engrave.system import System
from stavebound.engrave.way_costs import crossings
from stavebound.engrave.ways import PlacedWay
from stavebound.engrave.weight import Part, weight_course
from stavebound.geometry import Box, bounds
from stavebound.readback.values import Reading, WayRead
from stavebound.score.model import Score
from stavebound.trade.movement import Moves
from tests.support.crossings import crossed_signs, runs_into
from tests.support.engraved_cases import CASES, page_of
from tests.support.ink import bar_lines, glyph_boxes, texts_in
from tests.support.laws import lines_of_weight_cross_nothing
from tests.support.readers import faults_in, proved, read_lines, score_with, written
from tests.support.sources import score_of
from tests.support.staves import (
    CATALOGUE,
    SETTING,
    engraved,
    least_width,
    outcome_of,
    small_score,
    styled,
    view,
)

BEATEN = '<foot side="right" to="front" raised="90" path="straight"/>'
UNFOLDED = '<foot side="right" to="front" raised="90" via="knee"/>'
MOVING = (
    '<foot side="right" to="side" place="pointed" by="slide"/>',
    '<foot side="right" on="whole foot" by="step"/><foot side="left" to="back" raised="45"/>',
    '<feet in="fifth" front="right" by="spring"/><arms in="second" via="first"/>',
    '<hand side="right" in="fifth" path="over"/><hand side="left" in="fifth" bow="behind"/>',
)
SCORE = score_with(MOVING)
LONG = score_with(MOVING * 3)


def lines_of(*frames: str) -> list[WayRead]:
    return [
        way
        for line in read_lines(engraved(score_with(frames)))
        for frame in line.frames
        for way in frame.ways
    ]


WAY = CATALOGUE.moves.way


def with_moves(**changed: object) -> Moves:
    return CATALOGUE.moves.model_copy(update=changed)


def formed(name: str, **changed: float | tuple[float, float, float]) -> Moves:
    row = CATALOGUE.moves.transfer[name].model_copy(update=changed)
    return with_moves(transfer={**CATALOGUE.moves.transfer, name: row})


def ways_with(**changed: object) -> Moves:
    return with_moves(way=WAY.model_copy(update=changed))


BROKEN = {
    "thinner": with_moves(width=0.06),
    "untrimmed": with_moves(weight=CATALOGUE.moves.weight.model_copy(update={"trim": 0.0})),
    "a slide in a lane of its own": formed("slide", lane=-1.2),
    "a slide as thin as a way": formed("slide", widths=(0.08, 0.08, 0.08)),
    "a step as even as a way": formed("step", widths=(0.08, 0.08, 0.08)),
    "a step that swells the other way": formed("step", widths=(0.18, 0.12, 0.06)),
    "a step with a point": with_moves(
        transfer={
            **CATALOGUE.moves.transfer,
            "step": CATALOGUE.moves.transfer["spring"],
        }
    ),
    "a spring that hangs": formed("spring", begin=-1.06, lane=-1.62),
    "a spring without a point": formed("spring", lane=-1.62),
    "a way that stands off": ways_with(white={**WAY.white, "end": 0.32}),
    "a way that begins off its sign": ways_with(white={**WAY.white, "start": 0.28}),
    "a way that begins at no bar": ways_with(held=0.5),
    "over as flat as straight": ways_with(sag={**WAY.sag, "over": 0.0}),
}


def test_a_beaten_and_an_unfolding_leg_are_told_apart() -> None:
    (beaten,), (unfolded,) = lines_of(BEATEN), lines_of(UNFOLDED)
    assert beaten.sag == pytest.approx((0, 0), abs=0.01)
    assert unfolded.sag != pytest.approx((0, 0), abs=0.1)


def test_a_step_a_slide_and_a_spring_are_told_apart() -> None:
    kinds = [way.kind for way in lines_of(*MOVING)]
    assert sorted(kinds) == ["slide", "spring", "step", "way", "way", "way", "way"]


def test_of_two_lines_of_weight_the_one_that_turns_up_first_is_over_the_other() -> None:
    """Whichever foot slides and whichever steps, neither runs through the other."""
    feet = [
        f'<foot side="right" on="whole foot" by="{right}"/>{left}'
        for right, by in product(("slide", "step"), repeat=2)
        for left in (
            f'<foot side="left" on="whole foot" by="{by}"/>',
            f'<foot side="left" to="side" place="pointed" by="{by}"/>',
        )
    ]
    frames = [f'<frame at="{at}">{each}</frame>' for at, each in enumerate(feet, start=1)]
    score = small_score(
        f'<start><feet in="first"/></start><phrase counts="8">{"".join(frames)}</phrase>'
    )
    page = view(score)
    assert len([way for system in page.result.systems for way in system.staves[0].ways]) >= 16
    lines_of_weight_cross_nothing(page)


@pytest.mark.parametrize("table", BROKEN.values(), ids=BROKEN)
def test_the_proof_fails_where_the_lines_are_drawn_otherwise(table: Moves) -> None:
    assert proved(SCORE) == ()
    broken = replace(SETTING, catalogue=replace(CATALOGUE, moves=table))
    assert proved(SCORE, setting=broken)


def test_a_line_that_is_not_drawn_is_missed() -> None:
    still = score_with([frame.replace(' by="slide"', "") for frame in MOVING])
    page = outcome_of(still, 180.0).value
    moving = outcome_of(SCORE, 180.0).value
    assert page
    assert moving
    assert _ways(page.systems[0].staves[0].ways) != _ways(moving.systems[0].staves[0].ways)


def _ways(ways: tuple[PlacedWay, ...]) -> list[str]:
    return [way.kind for way in ways]


def test_the_cheapest_of_its_ways_is_drawn_and_tells_its_costs() -> None:
    (line,) = engraved(SCORE).systems
    for way in line.staves[0].ways:
        assert {name for name, _ in way.costs} == set(CATALOGUE.moves.way.cost)
        assert all(cost >= 0 for _, cost in way.costs)


def test_a_way_from_the_line_before_begins_at_the_edge() -> None:
    readings = read_lines(engraved(LONG, 90.0))
    assert len(readings) > 1
    firsts = [line.frames[0].ways for line in readings[1:] if line.frames[0].ways]
    assert firsts
    assert all(way.at_edge for ways in firsts for way in ways)
    assert proved(LONG, 90.0) == ()


def test_what_was_read_is_written_so_that_the_same_lines_are_drawn() -> None:
    read = read_lines(engraved(SCORE, 180.0))
    again = read_lines(engraved(score_of(written(read, "Again")), 400.0))
    assert [_told(line) for line in again] == [_told(line) for line in read]
    assert "by" in written(read, "Again")


def _told(line: Reading) -> list[str]:
    ways = [way for frame in line.frames for way in frame.ways]
    return sorted(f"{way.kind} {way.subject} {way.bow}" for way in ways)


def test_a_leg_by_the_front_and_by_the_back_are_told_apart() -> None:
    """At the height of both the place that is passed would look the same."""
    front, back = (
        lines_of(
            '<foot side="right" to="side" raised="45"/><foot side="left" on="whole foot"/>',
            f'<foot side="right" to="side" raised="90" via="{via}"/>',
        )
        for via in ("front", "back")
    )
    assert [way.bow for way in (*front, *back)] == ["front", "behind"]


def test_a_place_without_a_name_is_told_in_a_comment() -> None:
    (line,) = read_lines(engraved(score_with([UNFOLDED])))
    frames = tuple(
        replace(frame, ways=tuple(replace(way, middle=(9.0, 9.0)) for way in frame.ways))
        for frame in line.frames
    )
    text = written((replace(line, frames=frames),), "Unnamed")
    assert "<!-- right foot: by a place without a name -->" in text
    assert "<!--" not in written((line,), "Named")


HIGH = (
    '<arms in="overhead rounded" path="over"/>',
    '<arms in="side" via="overhead rounded"/>',
)


def score_over_a_break(move: str) -> Score:
    """Bars of one count, of which the ninth begins a line with a movement."""
    frames = [f'<arms in="{("side", "front rounded")[at % 2]}"/>' for at in range(8)]
    inside = "".join(f'<frame at="{at}">{each}</frame>' for at, each in enumerate(frames, 1))
    last = f'<phrase counts="4"><frame at="1">{move}</frame></phrase>'
    start = '<start><feet in="fifth" front="right"/><arms in="low rounded"/></start>'
    music = '<music metre="3/4" counts-per-bar="1"/>'
    return small_score(f'{start}<phrase counts="8">{inside}</phrase>{last}', music)


def over_a_break(move: str) -> Engraved:
    score = score_over_a_break(move)
    found = engraved(score, 98.0)
    assert [system.bars[0] for system in found.systems] == [1, 9]
    assert faults_in(found, score, SETTING) == ()
    return found


def test_what_goes_straight_over_a_break_is_straight_on_both_lines() -> None:
    above, below = (system.staves[0].ways for system in over_a_break(BEATEN).systems)
    for way in (above[-1], below[0]):
        assert (way.kind, way.subject.kind) == ("way", "foot")
        assert dict(way.costs)["turned"] == pytest.approx(0)


@pytest.mark.parametrize("move", MOVING[:3])
def test_halves_of_a_line_of_weight_are_as_thick_and_as_deep_at_the_edge(move: str) -> None:
    halves = [system.staves[0].ways for system in over_a_break(move).systems]
    (left,), (right,) = ([way for way in ways if way.kind != "way"] for ways in halves)
    assert left.kind == right.kind
    assert left.widths[2] == right.widths[0]
    assert left.along[-1][1] == pytest.approx(right.along[0][1])


@pytest.mark.parametrize("move", [*HIGH, BEATEN])
def test_a_movement_over_a_break_leaves_one_line_and_runs_into_the_next(move: str) -> None:
    above, below = over_a_break(move).systems
    run = CATALOGUE.moves.way.edge["run"]
    (right,) = {rule.x2 for rule in above.staves[0].rules if rule.pen == "stave"}
    lefts, goals = above.staves[0].ways, below.staves[0].ways
    assert len(lefts) == len(goals) > 0
    assert all(right - 0.5 < way.along[-1][0] < right for way in lefts)
    assert all(way.along[-1][0] - way.along[0][0] >= run - 1e-9 for way in (*lefts, *goals))


@pytest.mark.parametrize("move", HIGH)
def test_a_movement_that_begins_a_line_keeps_off_the_bar_number(move: str) -> None:
    _, below = over_a_break(move).systems
    (number,) = (box for text in texts_in(below, "bar") for box in glyph_boxes(text))
    for way in below.staves[0].ways:
        for x, y in way.along:
            assert not number.grown(0.1).overlaps(Box(x, y, x, y).grown(0.04))


def test_a_movement_that_does_not_leave_its_line_is_missed() -> None:
    """The line before is drawn as if nothing went on, and the proof tells."""
    found = over_a_break(BEATEN)
    above, below = found.systems
    bare = replace(above, staves=(replace(above.staves[0], ways=()),))
    assert faults_in(replace(found, systems=(bare, below)), score_over_a_break(BEATEN), SETTING)


RONDS = (
    '<foot side="right" to="side" raised="65"/>',
    '<foot side="right" to="side" place="knee" bow="behind"/>',
    '<foot side="right" to="side" raised="65" bow="front"/>',
    '<foot side="right" to="side" place="knee" bow="front"/>',
    '<foot side="right" to="side" raised="65" bow="behind"/>',
)


def ronds(width: float) -> tuple[System, ...]:
    """A foot to the knee and out again, with a bar line at every third count."""
    frames = [RONDS[0], *RONDS[1:] * 4][:12]
    inside = "".join(f'<frame at="{at}">{each}</frame>' for at, each in enumerate(frames, 1))
    start = '<start><feet in="fifth" front="right"/></start>'
    music = '<music metre="3/4" counts-per-bar="3"/>'
    score = small_score(f'{start}<phrase counts="12">{inside}</phrase>', music)
    found = engraved(score, width)
    assert faults_in(found, score, SETTING) == ()
    return found.systems


@pytest.mark.parametrize("width", [115.0, 130.0, 150.0])
def test_bar_lines_keep_off_the_marks_of_bows(width: float) -> None:
    for system in ronds(width):
        marks = [
            bounds(figure.points)
            for way in system.staves[0].ways
            if way.bowed
            for figure in way.figures[1:]
        ]
        assert marks
        for bar in bar_lines(system):
            for mark in marks:
                assert max(mark.left - bar.box.right, bar.box.left - mark.right) > 0.2


def test_a_way_from_a_raised_foot_does_not_cross_its_tail() -> None:
    out = next(row.level for row in CATALOGUE.feet.free.place if row.name == "65")
    for system in ronds(150.0):
        (stave,) = system.staves
        raised = [sign for sign in stave.signs if sign.sign == "level" and abs(sign.y - out) < 0.01]
        tails = [sign.box for sign in stave.signs if sign.sign == "tail"]
        assert raised
        assert tails
        for way in stave.ways:
            begins_out = any(abs(way.along[0][0] - sign.x) < 0.01 for sign in raised)
            for (x, y), (x2, y2) in pairwise(way.along if begins_out else ()):
                piece = Box(min(x, x2), min(y, y2), max(x, x2), max(y, y2))
                assert not any(piece.overlaps(tail) for tail in tails)


OPENING = '<arms in="second" via="first"/>'


@pytest.mark.parametrize("width", [41.0, 60.0])
def test_arms_that_open_alike_are_drawn_alike_in_every_width(width: float) -> None:
    """Both lines bow up and end at the inner side of their signs, at whatever distance."""
    score = small_score(
        f'<start><feet in="fifth" front="right"/><arms in="low rounded"/></start>'
        f'<phrase counts="2"><frame at="1"><feet in="second" by="spring"/></frame>'
        f'<frame at="2">{OPENING}</frame></phrase>'
    )
    (system,) = engraved(score, width).systems
    (stave,) = system.staves
    arms = [way for way in stave.ways if way.subject.kind == "hand"]
    assert len(arms) == 2
    for way in arms:
        (x, y), (to, up), (mx, my) = way.along[0], way.along[-1], way.along[len(way.along) // 2]
        (sign,) = (each for each in stave.signs[-2:] if way.subject in each.subjects)
        assert to < sign.box.left
        assert sign.box.bottom < up < sign.box.top
        assert my > y + (up - y) * (mx - x) / (to - x)


@pytest.mark.parametrize("side", ["left", "right"])
@pytest.mark.parametrize("to", ["front", "side", "back"])
def test_a_way_stops_before_the_hook_of_a_pointed_foot(side: str, to: str) -> None:
    pointed = f'<foot side="{side}" to="{to}" place="pointed" path="straight"/>'
    raised = f'<foot side="{side}" to="side" raised="90"/>'
    (line,) = engraved(score_with([raised, pointed])).systems
    (stave,) = line.staves
    (way,) = stave.ways
    hooks = [sign.box for sign in stave.signs if sign.sign == "hook"]
    assert hooks
    for (x, y), (x2, y2) in pairwise(way.along):
        piece = Box(min(x, x2), min(y, y2), max(x, x2), max(y, y2))
        assert not any(piece.overlaps(hook) for hook in hooks)


HIGHEST = (
    '<hand side="{}" height="head+0.6" out="{}" depth="front"/>',
    '<hand side="{}" height="head+0.67" out="{}" depth="level" path="over"/>',
)


@pytest.mark.parametrize("narrow", [False, True])
def test_ways_over_the_highest_hands_stay_under_the_counts(narrow: bool) -> None:
    """Between two frames, and over breaks, with a bar in a line."""
    hands = [
        "".join(one.format(side, 0.02 if at % 2 else 0.1) for side in ("right", "left"))
        for at, one in enumerate((*HIGHEST, HIGHEST[1], HIGHEST[1]))
    ]
    frames = "".join(f'<frame at="{at}">{each}</frame>' for at, each in enumerate(hands, 1))
    music = '<music metre="3/4" counts-per-bar="1"/>'
    start = '<start><feet in="fifth" front="right"/><arms in="low rounded"/></start>'
    score = small_score(f'{start}<phrase counts="{len(hands)}">{frames}</phrase>', music)
    found = engraved(score, least_width(score) + 0.001 if narrow else 115.0)
    assert narrow == (len(found.systems) > 1)
    assert faults_in(found, score, SETTING) == ()
    for system in found.systems:
        counts = [box.bottom for text in texts_in(system, "counts") for box in glyph_boxes(text)]
        tops = [way.box.top for way in system.staves[0].ways]
        assert max(tops) < min(counts)


# A line by a place at its own height, between two hands that are side by side: no end of it has
# room to come from above.
THROUGH = {"enchainement-port-de-bras": 1}


@pytest.mark.parametrize("case", CASES)
def test_lines_of_limbs_run_through_no_other_sign(case: str) -> None:
    found = [
        each for system in page_of(case, False).result.systems for each in crossed_signs(system)
    ]
    assert len(found) <= THROUGH.get(case, 0), found


# Two hands in front of the body stand between the frame before and the third hand's place.
IN_THE_WAY = (
    '<hand side="right" height="waist" out="0.05" depth="front"/>'
    '<hand side="left" height="waist" out="0.05" depth="front"/>',
    '<hand side="right" height="waist" out="0.3" depth="level" path="straight"/>'
    '<hand side="left" height="waist" out="0.3" depth="level" path="straight"/>',
)


def test_a_straight_line_bends_round_a_sign_and_is_read_as_straight() -> None:
    (system,) = engraved(score_with(IN_THE_WAY)).systems
    assert not [*crossed_signs(system)]
    bent = [way for way in system.staves[0].ways if dict(way.costs)["bend"]]
    assert bent
    assert faults_in(engraved(score_with(IN_THE_WAY)), score_with(IN_THE_WAY), SETTING) == ()


# Two feet that stand side by side are so far apart.
TWO_FEET = 0.46


@pytest.mark.parametrize("run", [1.5, 3.0, 8.0, 24.0])
@pytest.mark.parametrize("part", [Part.WHOLE, Part.COMING])
@pytest.mark.parametrize("over", ["slide", "step"])
def test_a_step_in_the_deeper_lane_turns_up_behind_the_line_over_it(
    run: float, part: Part, over: str
) -> None:
    moves = CATALOGUE.moves
    deep = moves.transfer["step"].lowered(moves.weight.deeper)
    step = weight_course("step", deep, 0.0, (run, -0.5), part)
    other = weight_course(over, moves.transfer[over], 0.0, (run - TWO_FEET, -0.5), part)
    spots = [[spot for half in one.halves for spot in along(half)] for one in (step, other)]
    assert crossings(*spots) == 0


FLOORED = (
    '<foot side="left" on="whole foot"/><foot side="right" to="side" place="pointed" by="slide"/>',
    '<foot side="right" on="whole foot"/>'
    '<foot side="left" to="front" place="pointed" via="first"/>',
)


def test_what_turns_up_where_a_way_passes_through_the_floor_stops_under_it() -> None:
    score = score_with(FLOORED)
    page = engraved(score)
    (stave,) = (stave for system in page.systems for stave in system.staves)
    (slide,) = (way for way in stave.ways if way.kind == "slide")
    (way,) = (way for way in stave.ways if way.kind == "way")
    lowest = min(y for _, y in way.along)
    assert lowest < -0.5
    assert max(y for _, y in slide.along) <= lowest - CATALOGUE.moves.weight.clear
    assert faults_in(page, score, SETTING) == ()


IN_THE_AIR = (
    '<foot side="{}" to="side" place="knee" bow="behind"/>',
    '<foot side="{}" to="side" raised="65" bow="front"/>',
)


@pytest.mark.parametrize("side", ["right", "left"])
@pytest.mark.parametrize("width", [0.0, 60.0, 115.0])
def test_ways_from_a_foot_at_the_knee_go_under_the_knee(side: str, width: float) -> None:
    score = score_with(tuple(each.format(side) for each in IN_THE_AIR * 2))
    found = engraved(score, max(width, least_width(score) + 0.001))
    for system in found.systems:
        (stave,) = system.staves
        knees = [sign for sign in stave.signs if sign.sign == "half bend"]
        tails = [
            sign
            for sign in stave.signs
            if sign.sign == "tail" and any(sign.box.touches(knee.box) for knee in knees)
        ]
        lines = [way.along for way in stave.ways]
        assert not [1 for line in lines for sign in knees + tails if runs_into(line, sign.box)]
    assert faults_in(found, score, SETTING) == ()


JOINED = """<start><foot side="right" on="whole foot"/><foot side="left" to="back"
height="floor+3.50" turned="parallel"/><arms in="half-open side"/></start>
<phrase counts="21" divide="thirds"><bar at="1" counts="3"/><bar at="8" counts="6"/>
<frame at="3 7/8" quality="small"/></phrase>
<phrase counts="4"><bar at="1" metre="6/8"/><frame at="2 5/6" quality="slowly"><arms
in="front rounded" hands="joined" via="fourth"/></frame>
<frame at="3 and"><elbow side="left" bend="none"/></frame>
<frame at="4" step="Kick" quality="quick"><hips tilt="right" turn="left"/><foot side="right"
to="side" raised="135" path="straight" bow="front"/></frame></phrase>"""
PASSED_AT_ITS_END = """<start><feet in="fifth" front="right"/><arms in="side"/></start>
<phrase counts="4">
<frame at="1"><hand side="right" height="waist-0.32" out="-0.04" depth="front"/></frame>
<frame at="2"><hand side="right" height="shoulder+0.16" out="0.10" depth="front" via="second"/>
</frame></phrase>"""


@pytest.mark.parametrize("inside", [JOINED, PASSED_AT_ITS_END])
@pytest.mark.parametrize("height", [8, 9])
def test_a_line_is_read_as_that_of_its_own_limb(inside: str, height: int) -> None:
    """Where two hands touch, and where the place that is passed is next to the sign."""
    score, setting = small_score(inside), styled(f'<stave height="{height}"/>')
    for width in (least_width(score, setting) + 0.001, 70.0):
        assert proved(score, width, setting) == ()


@pytest.mark.parametrize("by", ["step", "slide"])
@pytest.mark.parametrize("side", ["left", "right"])
@pytest.mark.parametrize("position", ["first", "fifth", "open fourth"])
def test_a_line_of_weight_comes_under_a_foot_of_a_position_that_is_written_alone(
    position: str, side: str, by: str
) -> None:
    front = "" if position == "first" else ' front="right"'
    score = small_score(
        f'<start><feet in="{position}"{front}/></start><phrase counts="2">'
        f'<frame at="1"><foot side="{side}" on="whole foot" by="{by}"/></frame></phrase>'
    )
    assert proved(score) == ()
