"""The class of the demonstration book: as large and as varied as its preface says, and
every way of writing that the trade's key knows is met in it."""

from __future__ import annotations

from collections.abc import Iterator
from itertools import combinations, pairwise, permutations, product
from math import atan2, dist, remainder, tau
from pathlib import Path

import pytest

from stavebound.book.key import posed_in
from stavebound.build.checking import check_files
from stavebound.build.loading import Project, load_project
from stavebound.build.setting import school_of, setting_of
from stavebound.build.values import House, open_house
from stavebound.dance.danced import Danced, dance
from stavebound.dance.features import score_features
from stavebound.dance.pose import Free, HandPose, Move, Posed
from stavebound.dance.printed import written_out
from stavebound.drawing.courses import Spot
from stavebound.engrave.engraving import engrave
from stavebound.engrave.ways import PlacedWay, limb_ink, via_ink
from stavebound.geometry import bounds
from stavebound.readback.places import foot_spot
from stavebound.score.departures import departure
from stavebound.score.model import Depth, LegDirection, PathForm, Side
from stavebound.trade.naming import named_arms
from stavebound.trade.scale import across
from stavebound.trade.tables import KeyRow
from tests.support.crossings import crossed_signs, runs_into
from tests.support.evenness import lines_of_bars
from tests.support.staves import CATALOGUE, PAPERS, SETTING, styled

BOOK = Path(__file__).parents[1] / "books" / "syllabus" / "book.xml"
# Ways of writing that no exercise of a sound class asks for: those that go farthest, and what is
# heard in character dances alone.
NOT_DANCED = {
    *("bend back 3", "bend side 3", "tilt 2", "tilt 3", "turn 3"),
    *("free 135", "free 180", "elbow full behind"),
    *("snap", "stamp", "heel beat"),
}


@pytest.fixture(scope="module")
def house() -> House:
    return open_house()


@pytest.fixture(scope="module")
def project() -> Project:
    return load_project(BOOK, str(BOOK))


@pytest.fixture(scope="module")
def scores(project: Project, house: House) -> dict[str, Danced]:
    return {path: _danced(path, project, house) for path, _ in project.scores}


@pytest.fixture(scope="module")
def poses(scores: dict[str, Danced]) -> dict[str, tuple[Posed, ...]]:
    """The poses of every score, the start first."""
    return {path: danced.poses for path, danced in scores.items()}


def _danced(path: str, project: Project, house: House) -> Danced:
    assert project.plan is not None
    score = dict(project.scores)[path]
    setting = setting_of(project.sheets, house)
    school = school_of(score.school, project.plan.school, setting.catalogue)
    assert school is not None
    return dance(score, house.catalogue, school)


def test_the_book_has_neither_errors_nor_warnings(house: House) -> None:
    assert check_files([BOOK], house).diagnostics == ()


def test_it_is_a_class_of_its_size(poses: dict[str, tuple[Posed, ...]]) -> None:
    frames = [posed for each in poses.values() for posed in each[1:]]
    assert len(poses) >= 24
    assert len(frames) >= 500
    assert len({repr(posed.pose) for posed in frames}) >= 300


def test_exercises_are_not_made_of_one_another(poses: dict[str, tuple[Posed, ...]]) -> None:
    """No two share more than half of the moments of the shorter one."""
    moments = {path: {repr(posed) for posed in each} for path, each in poses.items()}
    paths = sorted(moments)
    for at, one in enumerate(paths):
        for other in paths[at + 1 :]:
            shared = moments[one] & moments[other]
            fewer = min(len(moments[one]), len(moments[other]))
            assert len(shared) <= fewer / 2, (one, other)


def test_every_way_of_writing_is_met(scores: dict[str, Danced], house: House) -> None:
    met = {feature for danced in scores.values() for feature in score_features(danced)}
    assert house.catalogue.key.features - met == NOT_DANCED


def test_every_exercise_says_what_a_teacher_needs(project: Project) -> None:
    for path, score in project.scores:
        assert score.music is not None, path
        assert score.music.tempo, path
        assert score.music.introduction, path
        assert score.music.words, path
        assert score.level, path
        for kind in ("aim", "preparation", "finish", "times", "quality", "fault"):
            assert score.texts(kind), (path, kind)


def test_arms_without_a_mark_are_stretched_where_the_key_says(scores: dict[str, Danced]) -> None:
    """A hand to the side at the shoulder is read by the other, since a stretched arm is but a
    little longer there than a rounded one."""
    for path, danced in scores.items():
        for posed in danced.poses:
            for side in unmarked_sides(posed):
                other = posed.pose.hands.of(side.other)
                reaching = other and other.depth is Depth.FRONT and 2.55 <= other.height < 4.0
                own = posed.pose.hands.of(side)
                assert own is not None
                assert (own.shape == "arabesque side") is bool(reaching), path


def unmarked_sides(posed: Posed) -> Iterator[Side]:
    """Of hands that are written to the side at the shoulder, and no line of the arm with them."""
    for subject, _ in posed.written:
        hand = posed.pose.hands.of(subject.side) if subject.side else None
        if subject.kind == "hand" and subject.side and hand:
            plain = departure(hand.departures, "arm") is None
            if plain and hand.shape in {"side", "arabesque side"}:
                yield subject.side


def test_ways_pass_the_places_that_the_key_names(
    scores: dict[str, Danced], project: Project, house: House
) -> None:
    """The arms by their names; ankle, knee, the side, and beside the other foot."""
    assert project.plan is not None
    school = school_of("", project.plan.school, house.catalogue)
    assert school is not None
    arms = {hand for shape, _ in named_arms(house.catalogue, school) for hand in shape.hands}
    hands = {(row.height, row.out) for row in house.catalogue.shapes.hand if row.name in arms}
    moves = [move for each in scores.values() for posed in each.poses for move in posed.moves]
    assert any(move.via for move in moves)
    for via in (move.via for move in moves):
        if isinstance(via, HandPose):
            assert (via.height, via.out) in hands
        elif isinstance(via, Free):
            assert via.place in {"ankle", "knee"} or via.direction is LegDirection.SIDE


@pytest.mark.parametrize("width", [80.0, 115.0, 170.0])
def test_lines_of_limbs_run_through_no_sign(scores: dict[str, Danced], width: float) -> None:
    for path, danced in scores.items():
        found = engrave(written_out(danced), width, SETTING).value
        assert found is not None
        for system in found.systems:
            assert not [*crossed_signs(system)], path


# A line waves that turns by so much, in radians, to either side; so few do on A5 paper.
WAVE, WAVES = 0.3, 1


@pytest.fixture(scope="module")
def lines_of_a5(scores: dict[str, Danced]) -> list[tuple[str, tuple[PlacedWay, ...]]]:
    """The lines of movement of each stave, with the score that it belongs to."""
    pages = [(path, engrave(written_out(danced), *A5).value) for path, danced in scores.items()]
    assert all(page for _, page in pages)
    systems = [(path, each) for path, page in pages if page for each in page.systems]
    return [(path, stave.ways) for path, system in systems for stave in system.staves]


def test_lines_of_limbs_bow_to_one_side(
    lines_of_a5: list[tuple[str, tuple[PlacedWay, ...]]],
) -> None:
    limbs = [(path, way) for path, ways in lines_of_a5 for way in ways if way.kind == "way"]
    waves = [(path, way.subject) for path, way in limbs if min(turns_of(way.along)) > WAVE]
    assert len(waves) <= WAVES, waves


def test_lines_are_told_by_eye_as_the_key_says(
    scores: dict[str, Danced],
) -> None:
    """A place that is passed is a third of a space or more off the straight way; where none is
    passed, some bow has its middle as far off all that have no mark."""
    way = CATALOGUE.moves.way
    for path, danced in scores.items():
        for posed in danced.poses:
            for one, middle, via in middles_of(posed):
                if via:
                    assert dist(middle, via) > 0.32, (path, one)
                elif one.path in (PathForm.OVER, PathForm.UNDER):
                    sags = [depth * way.sag[one.path] for depth in way.depths]
                    least = [least_off((middle[0], middle[1] + sag), one) for sag in sags]
                    assert max(least) >= way.off, (path, one)


def middles_of(posed: Posed) -> Iterator[tuple[Move, Spot, Spot | None]]:
    """Of each way of one limb its move, the middle of the straight one and the place it passes."""
    for move in posed.moves:
        ends = [limb_ink(move.subject, pose, CATALOGUE) for pose in (posed.before, posed.pose)]
        if move.kind == "way" and all(ends):
            first, last = (ink for ink in ends if ink)
            via = via_ink(move, posed.pose, CATALOGUE)
            middle = (first.x + last.x) / 2, (first.y + last.y) / 2
            yield move, middle, (via.x, via.y) if via else None


def least_off(spot: Spot, move: Move) -> float:
    """How far a spot is off the places that a hand passes with the same mark, or with none."""
    rows = (row for row in CATALOGUE.shapes.hand if row.depth == (move.bow or Depth.LEVEL))
    side, scale = move.subject.side or Side.RIGHT, CATALOGUE.ruling.across.hand
    places = [(side.sign * across(row.out, scale), row.height) for row in rows]
    return min(dist(spot, place) for place in places)


def test_heights_of_free_feet_are_the_keys_or_near_them(
    poses: dict[str, tuple[Posed, ...]],
) -> None:
    """So that a reader finds each of them, or two that it is between."""
    ladder = {
        direction: [height for row in CATALOGUE.key.row for height in heights_in(row, direction)]
        for direction in LegDirection
    }
    feet = {foot for each in poses.values() for posed in each for foot in posed.pose.feet}
    own = {foot for foot in feet if isinstance(foot, Free) and foot.height is not None}
    assert own
    for foot in own:
        _, y = foot_spot(foot, Side.RIGHT, CATALOGUE)
        assert min(abs(y - height) for height in ladder[foot.direction]) <= 0.20, foot


def heights_in(row: KeyRow, direction: LegDirection) -> Iterator[float]:
    if row.scale.startswith("leg heights"):
        foot = posed_in(row.show, CATALOGUE, CATALOGUE.schools.school[0]).pose.feet.right
        if isinstance(foot, Free) and foot.direction is direction:
            yield foot_spot(foot, Side.RIGHT, CATALOGUE)[1]


def test_marks_of_bows_stand_on_no_line_of_another_limb(
    lines_of_a5: list[tuple[str, tuple[PlacedWay, ...]]],
) -> None:
    pairs = [
        (path, one, other)
        for path, ways in lines_of_a5
        for one, other in permutations(ways, 2)
        if one.bowed
    ]
    assert pairs
    for path, one, other in pairs:
        mark = bounds(one.figures[-1].points)
        assert not runs_into(other.along, mark), (path, one.subject, other.subject)


# How much white the mark of a bow has at least to the lines of the stave, in spaces.
WHITE = 0.05


def test_marks_of_bows_touch_no_line_of_the_stave_and_not_each_other(
    lines_of_a5: list[tuple[str, tuple[PlacedWay, ...]]],
) -> None:
    for path, ways in lines_of_a5:
        marks = [bounds(one.figures[-1].points) for one in ways if one.bowed]
        for mark, line in product(marks, range(len(CATALOGUE.ruling.line))):
            assert max(mark.bottom - line, line - mark.top) >= WHITE, (path, mark)
        assert not any(one.overlaps(other) for one, other in combinations(marks, 2)), path


def turns_of(along: tuple[Spot, ...]) -> tuple[float, float]:
    """By how much a line turns to the left and to the right, in radians."""
    headings = [atan2(y2 - y, x2 - x) for (x, y), (x2, y2) in pairwise(along)]
    turns = [remainder(b - a, tau) for a, b in pairwise(headings)]
    return sum(max(turn, 0.0) for turn in turns), -sum(min(turn, 0.0) for turn in turns)


# On A5 paper: how many times as wide as another of its line a bar is at most that lasts as long,
# where outstretched arms or words ask for it, and how many lines are beyond what one would see.
MOST, SEEN, FEW = 1.7, 1.3, 8
A5 = PAPERS["A5"].music, styled('<stave height="11.5" centre-line="yes" line-names="first"/>')


def test_equal_bars_look_equal(scores: dict[str, Danced]) -> None:
    lines = []
    for path, danced in scores.items():
        found = engrave(written_out(danced), *A5).value
        assert found is not None
        lines += [(path, line) for line in lines_of_bars(found)]
    assert len(lines) > 100
    assert not [(path, line) for path, line in lines if line.alone]
    unlike = [(path, line.first, line.unlikeness) for path, line in lines]
    assert max(unlikeness for *_, unlikeness in unlike) < MOST
    seen = [each for each in unlike if each[-1] > SEEN]
    assert len(seen) <= FEW, seen
