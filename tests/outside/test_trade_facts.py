"""Facts of the trade held against what is engraved.

Source: common practice. Notators and teachers do it so, and no single text is
the authority. What a test calls "from memory" is one way of doing it, which a
book says in its key. Everything is looked at as ink, in spaces from the
dancer's axis and the floor line.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from itertools import pairwise, product

import pytest

from stavebound.book.key import posed_in
from stavebound.engrave.picture import picture
from stavebound.engrave.system import System
from stavebound.geometry import Box
from stavebound.score.model import Rise, Score, Side
from tests.support.ink import bar_lines, glyph_boxes, stave_lines, texts_in, white
from tests.support.staves import (
    CATALOGUE,
    ENGLISH,
    MEASURE,
    SETTING,
    engraved,
    school_of,
    small_score,
)

# A pixel of a page at 300 dots an inch, in spaces of a stave 8 mm high.
PIXEL = 25.4 / 300 / 2
TOUCH = 1e-9
START = '<start><feet in="first"/><arms in="bras bas"/></start>'
FRONTS = pytest.mark.parametrize("front", list(Side))
POSITIONS = ["first", "second", "third", "fourth", "open fourth", "fifth"]


@dataclass(frozen=True, slots=True)
class Seen:
    """A sign as the reader sees it, its box measured from the axis."""

    sign: str
    box: Box

    @property
    def middle(self) -> float:
        return (self.box.left + self.box.right) / 2


def seen(position: str) -> tuple[Seen, ...]:
    system = picture(posed_in(position, CATALOGUE, ENGLISH), SETTING).value
    assert system is not None
    signs = system.staves[0].signs
    return tuple(
        Seen(sign.sign, sign.box.moved(-SETTING.style.distance("half picture"), 0))
        for sign in signs
    )


def feet(position: str, front: Side = Side.RIGHT, rise: Rise = Rise.WHOLE) -> tuple[Seen, ...]:
    crossed = position not in ("first", "second")
    before = f' front="{front}"' if crossed else ""
    return seen(f'<feet in="{position}"{before} on="{rise}"/>')


def is_dash(box: Box) -> bool:
    return box.width > 2 * box.height


def is_stroke(box: Box) -> bool:
    return box.height > 2 * box.width


def is_dot(box: Box) -> bool:
    return abs(box.width - box.height) < TOUCH


def line_of(score: Score) -> System:
    (system,) = engraved(score, MEASURE).systems
    return system


# ---------------------------------------------------------------- the stave


def test_five_lines_stand_equally_apart_from_the_floor_to_the_top_of_the_head() -> None:
    system = picture(posed_in('<feet in="first"/>', CATALOGUE, ENGLISH), SETTING, named=True).value
    assert system is not None
    assert [rule.y1 for rule in stave_lines(system)] == [0, 1, 2, 3, 4]
    names = sorted(texts_in(system, "line"), key=lambda text: text.y)
    wanted = ["floor", "knee", "waist", "shoulder", "top of head"]
    assert [text.text for text in names] == wanted


def test_the_dancer_is_seen_from_behind() -> None:
    """The dancer's right is the reader's right."""
    for side, rightward in ((Side.RIGHT, 1), (Side.LEFT, -1)):
        for what in (
            f'<hand side="{side}" in="second"/>',
            f'<foot side="{side}" to="side" raised="90"/>',
            f'<foot side="{side}" on="whole foot"/>',
            f'<knee side="{side}" bend="half"/>',
        ):
            assert all(sign.middle * rightward > 0 for sign in seen(what)), what


def test_depth_is_told_by_a_dash_a_stroke_or_a_dot() -> None:
    place = '<hand side="right" height="waist+0.5" out="0.30" depth="{}"/>'
    shapes = {"level": is_dash, "front": is_stroke, "behind": is_dot}
    for depth, looks in shapes.items():
        (sign,) = seen(place.format(depth))
        assert [name for name, other in shapes.items() if other(sign.box)] == [depth]
        assert looks(sign.box)


def test_heights_are_on_the_body_s_own_lines() -> None:
    """A hand at the shoulder is written at the shoulder line in a plié and on point too."""
    hand = '<hand side="right" height="shoulder" out="0.40" depth="front"/>'
    tall = '<feet in="first" on="point"/>'
    low = '<feet in="first"/><knees bend="full"/>'
    standing = [sign.box for sign in seen(hand)]
    for change in (tall, low):
        assert [sign.box for sign in seen(hand + change)][-1:] == standing


# ---------------------------------------------------------------- feet with weight


@pytest.mark.parametrize(("position", "front"), list(product(POSITIONS, Side)))
def test_the_rise_is_told_by_where_the_feet_lie_to_the_floor_line(
    position: str, front: Side
) -> None:
    """From memory: whole foot under it, half point across it, full point on top of it."""
    half = SETTING.style.stave_line / 2
    clear = half + SETTING.style.distance("line clearance")
    assert all(sign.box.top <= -clear for sign in feet(position, front, Rise.WHOLE))
    assert all(sign.box.bottom >= clear for sign in feet(position, front, Rise.POINT))
    for sign in feet(position, front, Rise.HALF):
        assert sign.box.bottom < -half < half < sign.box.top


def test_first_is_two_dashes_that_meet_at_the_centre() -> None:
    right, left = (sign.box for sign in feet("first"))
    assert is_dash(right)
    assert is_dash(left)
    assert abs(right.left) < TOUCH
    assert abs(left.right) < TOUCH


def test_second_is_two_dashes_apart_and_hands_in_second_stand_outside_them() -> None:
    right, left = (sign.box for sign in feet("second"))
    assert is_dash(right)
    assert is_dash(left)
    assert white(right, left) > right.width
    hands = [sign.box for sign in seen('<arms in="second"/>')]
    assert hands[0].right > right.right
    assert hands[1].left < left.left


@FRONTS
def test_third_is_a_dash_with_the_other_foot_s_dot_over_it(front: Side) -> None:
    """The dash shows on both sides of the dot, which is off centre towards the foot behind."""
    dash, dot = feet("third", front)
    assert is_dash(dash.box)
    assert is_dot(dot.box)
    assert dash.box.left + 2 * PIXEL < dot.box.left
    assert dot.box.right < dash.box.right - 2 * PIXEL
    assert dot.middle * front.other.sign > PIXEL


@FRONTS
def test_fifth_is_a_dash_with_the_other_foot_s_dot_at_its_end(front: Side) -> None:
    """They touch at the end on the side of the foot behind, and the dot reaches beyond it."""
    dash, dot = feet("fifth", front)
    assert is_dash(dash.box)
    assert is_dot(dot.box)
    behind = front.other.sign
    end = max(dash.box.left * behind, dash.box.right * behind)
    inner, outer = sorted((dot.box.left * behind, dot.box.right * behind))
    assert inner < end - 0.04 + TOUCH
    assert end - inner <= 0.06 + TOUCH
    assert outer > end + dot.box.width / 2


@FRONTS
@pytest.mark.parametrize("position", ["fourth", "open fourth"])
def test_fourth_is_a_stroke_and_a_dot_that_do_not_touch(position: str, front: Side) -> None:
    stroke, dot = feet(position, front)
    assert is_stroke(stroke.box)
    assert is_dot(dot.box)
    assert white(stroke.box, dot.box) >= 0.12
    assert stroke.middle * front.sign > 0
    assert dot.middle * front.other.sign > 0


@FRONTS
def test_third_and_fifth_are_told_apart_at_a_glance(front: Side) -> None:
    """At 8 mm and 300 dots an inch, their dots are at least four pixels from each other."""
    third, fifth = (feet(position, front)[1].middle for position in ("third", "fifth"))
    assert abs(fifth - third) >= 4 * PIXEL


def test_one_foot_is_half_as_wide_as_first() -> None:
    (alone,) = seen('<foot side="right" on="whole foot"/>')
    assert alone.box.width == pytest.approx(span(feet("first")) / 2)


def test_no_two_ways_to_stand_look_the_same() -> None:
    every = [
        feet(position, front, rise) for position in POSITIONS for front in Side for rise in Rise
    ]
    every += [seen(f'<foot side="{side}" on="{rise}"/>') for side in Side for rise in Rise]
    looks = {tuple(sorted(map(rounded, signs))) for signs in every}
    # First and second have no front foot.
    assert len(looks) == len(POSITIONS) * 2 * 3 - 2 * 3 + 6


def rounded(sign: Seen) -> tuple[int, int, int, int]:
    """A sign's box in pixels."""
    box = sign.box
    left, bottom, right, top = (
        round(side / PIXEL) for side in (box.left, box.bottom, box.right, box.top)
    )
    return left, bottom, right, top


def span(signs: Iterable[Seen]) -> float:
    boxes = [sign.box for sign in signs]
    return max(box.right for box in boxes) - min(box.left for box in boxes)


# ---------------------------------------------------------------- the free leg


def test_a_pointed_foot_without_weight_is_not_full_point() -> None:
    """From memory: it has a hook besides its own sign."""
    (standing,) = seen('<foot side="right" on="point"/>')
    pointed = seen('<foot side="right" to="side" place="pointed"/>')
    assert len(pointed) == 2
    assert {sign.sign for sign in pointed} != {standing.sign}


@pytest.mark.parametrize("side", list(Side))
@pytest.mark.parametrize("way", ["front", "side", "back"])
def test_hook_and_tail_hang_on_the_outer_side_of_the_foot(way: str, side: Side) -> None:
    """From memory: the hook goes round the toes, the tail hangs from the end of a dash."""
    foot, hook = seen(f'<foot side="{side}" to="{way}" place="pointed"/>')
    outer = side.sign
    assert max(hook.box.left * outer, hook.box.right * outer) > max(
        foot.box.left * outer, foot.box.right * outer
    )
    raised, tail = seen(f'<foot side="{side}" to="{way}" raised="90"/>')
    assert raised.box.overlaps(tail.box)
    past = (tail.middle - raised.middle) * outer
    assert past > raised.box.width / 3 if way == "side" else past == pytest.approx(0)


@pytest.mark.parametrize("angle", [65, 90, 105, 120, 135, 180])
@pytest.mark.parametrize("way", ["front", "side", "back"])
def test_a_raised_foot_is_not_a_hand(way: str, angle: int) -> None:
    """From memory: it carries a tail that shows beyond the sign, which a hand never does."""
    foot, tail = seen(f'<foot side="right" to="{way}" raised="{angle}"/>')
    assert tail.sign == "tail"
    assert tail.box.bottom < foot.box.bottom - 2 * PIXEL
    every = [seen(f'<arms in="{row.name}"/>') for row in CATALOGUE.shapes.arms]
    assert {sign.sign for signs in every for sign in signs} == {"level", "front"}


def test_half_and_full_bends_are_told_apart() -> None:
    """From memory: one cross-bar and two, which make the dash longer."""
    (half,), (full,) = (seen(f'<knee side="right" bend="{bend}"/>') for bend in ("half", "full"))
    assert half.sign != full.sign
    assert abs(half.box.width - full.box.width) + abs(half.middle - full.middle) > 4 * PIXEL


# ---------------------------------------------------------------- movement and time


def test_a_frame_writes_what_has_changed_and_a_return_too() -> None:
    frames = (
        '<frame at="1"><knees bend="half"/></frame><frame at="2"/>'
        '<frame at="3"><knees bend="none"/></frame>'
    )
    system = line_of(small_score(f'{START}<phrase counts="4">{frames}</phrase>'))
    (stave,) = system.staves
    start, one, two, three = (axis.x for axis in stave.axes)
    found = {
        axis: {
            subject.kind
            for sign in stave.signs
            if abs(sign.x - axis) < 1
            for subject in sign.subjects
        }
        for axis in (start, one, two, three)
    }
    assert found == {start: {"foot", "hand"}, one: {"knee"}, two: set(), three: {"knee"}}
    names = [sign.sign for sign in stave.signs if abs(sign.x - three) < 1]
    assert names == ["straight again", "straight again"]


def test_counts_stand_above_the_stave_and_step_names_below() -> None:
    frame = '<frame at="1" step="plié"><knees bend="half"/><cue>horn</cue></frame>'
    system = line_of(small_score(f'{START}<phrase counts="4">{frame}</phrase>'))
    for text in texts_in(system, "counts", "cue"):
        assert min(box.bottom for box in glyph_boxes(text)) > 4
    (step,) = texts_in(system, "step")
    lowest = min(sign.box.bottom for sign in system.staves[0].signs)
    assert max(box.top for box in glyph_boxes(step)) < min(lowest, 0)


@pytest.mark.parametrize(
    ("division", "said"),
    [("halves", "1 & 2"), ("thirds", "1 & a 2"), ("quarters", "1 e & a 2")],
)
def test_a_divided_count_is_said_in_its_syllables(division: str, said: str) -> None:
    spoken = {"&": "1 and", "a": "1 a", "e": "1 e"}
    frames = "".join(f'<frame at="{spoken.get(word, word)}"/>' for word in said.split())
    inside = f'<phrase counts="2" divide="{division}">{frames}</phrase>'
    system = line_of(small_score(START + inside))
    assert " ".join(text.text for text in texts_in(system, "counts")) == said


def test_every_phrase_is_counted_from_one() -> None:
    inside = '<phrase counts="4"><frame at="1"/></phrase>' * 2
    system = line_of(small_score(START + inside))
    assert "".join(text.text for text in texts_in(system, "counts")) == "12341234"


def test_the_upbeat_stands_before_the_first_bar_line() -> None:
    """Its last count is the one before 1."""
    inside = (
        '<upbeat counts="2"><frame at="3"/></upbeat><phrase counts="4"><frame at="1"/></phrase>'
    )
    system = line_of(small_score(START + inside))
    first = bar_lines(system)[0].x1
    before = [text.text for text in texts_in(system, "counts") if text.x < first]
    assert before == ["3", "4"]
    assert system.bars[0] == 1


def test_bar_lines_run_from_the_floor_to_the_head_and_divide_the_counts() -> None:
    inside = '<phrase counts="8"><frame at="1"/></phrase>'
    system = line_of(small_score(START + inside, '<music metre="2/4" counts-per-bar="2"/>'))
    lines = bar_lines(system)
    assert all((rule.y1, rule.y2) == (0, 4) for rule in lines)
    edges = [rule.x1 for rule in lines[:4]] + [lines[-2].x1]
    counts = texts_in(system, "counts")
    bars = [
        "".join(text.text for text in counts if left < text.x < right)
        for left, right in pairwise(edges)
    ]
    assert bars == ["12", "34", "56", "78"]


def test_all_staves_of_a_score_are_of_one_size() -> None:
    inside = '<phrase counts="8"><frame at="1"/></phrase>' * 6
    score = small_score(START + inside, '<music metre="3/4" counts-per-bar="1"/>')
    systems = engraved(score, MEASURE).systems
    assert school_of(score).name == "english"
    assert len(systems) > 2
    assert len({system.space for system in systems}) == 1
