"""Sides, turns and directions as ink: what engraver and reader could both have the wrong way.

Source: common practice, and from memory where it says so. The dancer is seen from behind, so
that the dancer's right is the reader's right; on paper the audience is at the top, so that
clockwise there is a turn to the right. Everything is looked at as figures of ink, from the
dancer's axis and the floor line; nothing of the reader is used.
"""

from __future__ import annotations

from math import atan2, degrees

import pytest

from stavebound.book.key import posed_in
from stavebound.drawing.figures import Figure
from stavebound.engrave.picture import picture
from stavebound.engrave.system import PlacedSign
from stavebound.score.model import Side
from tests.support.staves import CATALOGUE, ENGLISH, SETTING

# In degrees, clockwise from the top of the paper.
COMPASS = {
    "front": 0,
    "front right": 45,
    "right": 90,
    "back right": 135,
    "back": 180,
    "back left": 225,
    "left": 270,
    "front left": 315,
}
BARBS = 2
SIDES = pytest.mark.parametrize("side", list(Side))
RIGHT_SIGN = {Side.RIGHT: 1, Side.LEFT: -1}
directions = pytest.mark.parametrize("to", COMPASS)


def drawn(position: str) -> tuple[PlacedSign, ...]:
    system = picture(posed_in(position, CATALOGUE, ENGLISH), SETTING).value
    assert system is not None
    return system.staves[0].signs


def one(position: str, kind: str) -> PlacedSign:
    """The sign whose name begins so."""
    (found,) = [sign for sign in drawn(position) if sign.sign.startswith(kind)]
    return found


def middle(*figures: Figure) -> tuple[float, float]:
    """Of the figures' middles."""
    middles = [
        tuple((min(axis) + max(axis)) / 2 for axis in zip(*figure.points, strict=True))
        for figure in figures
    ]
    x, y = (sum(axis) / len(middles) for axis in zip(*middles, strict=True))
    return x, y


def bearing(start: tuple[float, float], end: tuple[float, float]) -> int:
    """Clockwise from the top of the paper, in whole degrees."""
    return round(degrees(atan2(end[0] - start[0], end[1] - start[1]))) % 360


def out(sign: PlacedSign) -> float:
    """How far the middle of its ink is right of the axis."""
    return (sign.box.left + sign.box.right) / 2 - SETTING.style.distance("half picture")


@directions
def test_a_pin_points_from_its_ring_to_where_the_dancer_faces(to: str) -> None:
    figures = one(f'<facing to="{to}"/>', "facing").figures
    ring = [figure for figure in figures if figure.curved]
    (stem,) = [figure for figure in figures if not figure.curved]
    assert bearing(middle(*ring), middle(stem)) == COMPASS[to]


@directions
@pytest.mark.parametrize(("of", "heads"), [("body", 1), ("stage", 2)])
def test_an_arrow_points_with_one_head_by_the_body_and_two_by_the_stage(
    to: str, of: str, heads: int
) -> None:
    figures = one(f'<travel to="{to}" of="{of}"/>', "travel").figures
    shaft, *barbs = figures
    assert len(barbs) == BARBS * heads
    assert bearing(middle(shaft), middle(*barbs)) == COMPASS[to]


@SIDES
def test_the_arc_of_a_turn_ends_in_its_head_on_the_side_turned_to(side: Side) -> None:
    figures = one(f'<turn to="{side}" by="1/2" on="both"/>', "turning").figures
    *barbs, arc = sorted(figures, key=lambda figure: len(figure.points))
    assert len(barbs) == BARBS
    assert RIGHT_SIGN[side] * (middle(*barbs)[0] - middle(arc)[0]) > 0.2
    # Bulging upwards: clockwise on paper, to the right.
    assert middle(arc)[1] > middle(*barbs)[1]


@pytest.mark.parametrize("on", ["right", "left", "both", "neither"])
def test_dots_stand_on_the_sides_of_the_feet_turned_on(on: str) -> None:
    signs = drawn(f'<turn to="right" by="1" on="{on}"/>')
    dots = [sign for sign in signs if sign.sign == "weight"]
    sides = {"right" if out(dot) > 0 else "left" for dot in dots}
    wanted = {"both": {"right", "left"}, "neither": set()}.get(on, {on})
    assert sides == wanted


@SIDES
@pytest.mark.parametrize("path", ["curved", "circling"])
def test_a_path_stands_on_the_side_that_it_goes_by(path: str, side: Side) -> None:
    signs = drawn(f'<travel to="front" of="body" path="{path} {side}"/>')
    (found,) = [sign for sign in signs if sign.sign in ("curving", "circling")]
    assert RIGHT_SIGN[side] * out(found) > 0.3


@SIDES
def test_the_weight_s_dot_is_under_the_foot_that_bears_it(side: Side) -> None:
    """From memory. In every position, with either foot in front."""
    for position in ("first", "second", "third", "fourth", "open fourth", "fifth"):
        fronts = ("",) if position in ("first", "second") else Side
        for front in fronts:
            crossed = f' front="{front}"' if front else ""
            feet = drawn(f'<feet in="{position}"{crossed} weight="{side}"/>')
            (dot,) = [sign for sign in feet if sign.sign == "weight"]
            own = RIGHT_SIGN[side]
            assert own * out(dot) > 0.1
            assert all(dot.box.top < sign.box.bottom for sign in feet if sign is not dot)


@SIDES
def test_the_mark_of_touch_lies_between_a_limb_and_what_it_touches(side: Side) -> None:
    """From memory: it begins on the inner side of the sign."""
    for position, name in (
        (f'<foot side="{side}" to="side" place="knee"/>', "level"),
        (f'<hand side="{side}" touching="hip"/>', "level"),
    ):
        signs = drawn(position)
        (touch,) = [sign for sign in signs if sign.sign == "touch"]
        subject = next(sign for sign in signs if sign.sign == name)
        assert RIGHT_SIGN[side] * (out(subject) - out(touch)) > 0.1


@SIDES
def test_marks_beside_a_hand_or_a_foot_are_on_its_outer_side(side: Side) -> None:
    """From memory. The bracket of the barre, palms, lines of the arm, turned and flexed."""
    for position, names in (
        (f'<hand side="{side}" touching="barre"/>', ("barre",)),
        (f'<hand side="{side}" in="second" arm="stretched" palm="up"/>', ("arm", "palm")),
        (
            f'<foot side="{side}" to="side" raised="45" turned="parallel" ankle="flexed"/>',
            ("parallel", "flexed"),
        ),
    ):
        subject, *beside = drawn(position)
        assert [sign.sign.split(" ")[0] for sign in beside] == list(names)
        last = out(subject) * RIGHT_SIGN[side] + subject.box.width / 2
        for sign in beside:
            assert out(sign) * RIGHT_SIGN[side] > last
            last = out(sign) * RIGHT_SIGN[side]


@SIDES
def test_a_limb_across_the_centre_has_its_tick_and_stands_on_the_other_side(side: Side) -> None:
    for position in (
        f'<hand side="{side}" height="waist" out="-0.12" depth="front"/>',
        f'<foot side="{side}" to="front" height="knee" out="-0.10"/>',
    ):
        signs = drawn(position)
        (tick,) = [sign for sign in signs if sign.sign == "across"]
        subject = next(sign for sign in signs if sign.sign == "front")
        own = RIGHT_SIGN[side]
        assert own * out(subject) < 0
        # It says whose the sign is: it stands on the limb's own side of it.
        assert own * (out(tick) - out(subject)) > 0.1


@SIDES
@pytest.mark.parametrize("part", ["head", "body", "hips"])
def test_a_tilt_leans_the_way_the_body_leans_and_a_turn_s_ticks_are_where_it_turns(
    part: str, side: Side
) -> None:
    own = RIGHT_SIGN[side]
    bar, *obliques = sorted(
        one(f'<{part} tilt="{side} 2"/>', "tilt").figures, key=lambda figure: middle(figure)[1]
    )
    assert len(obliques) == 2
    for oblique in obliques:
        top, bottom = max(oblique.points, key=by_height), min(oblique.points, key=by_height)
        assert own * (top.x - bottom.x) > 0.1
    turn = one(f'<{part} turn="{side} 2"/>', "turn").figures
    bar, *ticks = sorted(turn, key=height_of, reverse=True)
    assert len(ticks) == 2
    assert own * (middle(*ticks)[0] - middle(bar)[0]) > 0.1


def by_height(point: tuple[float, float]) -> float:
    return point[1]


def height_of(figure: Figure) -> float:
    heights = [point.y for point in figure.points]
    return max(heights) - min(heights)
