"""The key: a row for every way of writing, a true picture for every row, and no row unused."""

from __future__ import annotations

import re
from collections.abc import Iterator
from fractions import Fraction
from itertools import groupby, product
from urllib.parse import quote

import pytest

from stavebound.book import key
from stavebound.book.first_uses import first_uses
from stavebound.book.grid import POINTS
from stavebound.book.key import posed_in
from stavebound.book.leaf import leaf_sheet
from stavebound.book.leaf_lines import fitting, words_of
from stavebound.book.named_arms import arms_rows
from stavebound.book.paged import paged
from stavebound.book.read_example import example_lines, example_score
from stavebound.book.reading import amounts_used, in_key, reading_sheets
from stavebound.book.scales import (
    ShownGroup,
    Strip,
    StripLine,
    pictures,
    shown_group,
    strip,
    used_scales,
)
from stavebound.dance.features import features
from stavebound.dance.placings import placings
from stavebound.dance.pose import (
    FootPose,
    Free,
    HandPose,
    Joint,
    Mention,
    Move,
    Pose,
    Posed,
    Sided,
    Standing,
    Subject,
)
from stavebound.dance.state import BOTH, apply
from stavebound.engrave.columns import AMOUNT
from stavebound.engrave.lane_signs import counts_top, written_signs
from stavebound.engrave.parts import Setting
from stavebound.engrave.system import PlacedSign, System
from stavebound.score.attitude import attitude
from stavebound.score.lanes import (
    DIRECTIONS,
    Front,
    SmallSteps,
    TravelChange,
    TravelPath,
    TurnChange,
    TurnedOn,
)
from stavebound.score.model import (
    Bend,
    Bow,
    CentreChange,
    CentrePart,
    Depth,
    LegDirection,
    PathForm,
    Rise,
    Side,
    Transfer,
    unwritten,
)
from stavebound.trade.tables import KeyRow, School
from stavebound.wording.labels import languages
from tests.support.departures import all_departing
from tests.support.leans import all_leans, leans_known_of
from tests.support.manuscripts import SECTIONS, manuscript, one_chapter
from tests.support.pages import images_of, tree_of
from tests.support.staves import CATALOGUE, FACES, PAPERS, SETTING, key_in, styled

TABLE = CATALOGUE.key
ROWS = TABLE.row
# The weight of the names.
BOLD = 600
ENGLISH = CATALOGUE.schools.school[0]
SCHOOLS = CATALOGUE.schools.school
# Marks of lines of movement, which are no signs by themselves.
IN_THE_AIR = ("legs bent behind", "legs split", "large spring", "small spring")
BOWS = {"bow front", "bow behind", "bow side", "beat", *IN_THE_AIR}
KINDS = ("hand", "elbow", "foot", "knee")
HEIGHTS = next(scale for scale in TABLE.scale if scale.name == "hand heights")


def shown(
    position: str,
    setting: Setting = SETTING,
    school: School = ENGLISH,
    before: str = "",
    phrased: bool = False,
) -> System:
    """The picture of a position written in the dialect."""
    posed = posed_in(position, setting.catalogue, school, before)
    return key.shown(posed, position, setting, phrased=phrased)


every_row = pytest.mark.parametrize("row", ROWS, ids=lambda row: row.feature)


# ---------------------------------------------------------------- completeness


def all_feet() -> Iterator[FootPose]:
    for rise in Rise:
        yield Standing(rise)
        for row in CATALOGUE.feet.position:
            yield from (Standing(rise, row.name, front) for front in (None, *Side))
    yield from (Standing(Rise.WHOLE, row.name) for row in CATALOGUE.feet.kneeling)
    for direction, place in product(LegDirection, CATALOGUE.feet.free.place):
        yield Free(direction, place.name)
    for own in all_departing("free"):
        yield Free(LegDirection.FRONT, None, 1.5, -0.1, own)
    yield from (Standing(Rise.WHOLE, "first", departures=own) for own in all_departing("standing"))


def all_poses() -> Iterator[Pose]:
    """Every pair of feet, every pair of hands by depth, every pair of knees."""
    feet = tuple(all_feet())
    for right, left in product(feet, feet):
        yield Pose(feet=Sided(right, left))
    hands = (None, *(HandPose(depth, 2.0, 0.3, 0.0) for depth in Depth))
    for right_hand, left_hand in product(hands, hands):
        yield Pose(hands=Sided(right_hand, left_hand))
    for one, other in product(JOINTS, JOINTS):
        yield Pose(knees=Sided(one, other), elbows=Sided(other, one))
    for depth, own, out in product(Depth, all_departing("hand"), (0.3, -0.1)):
        hand = HandPose(depth, 2.0, out, 0.0, None, own)
        yield Pose(hands=Sided(hand, hand))
    for row in CATALOGUE.feet.position:
        light = Standing(Rise.WHOLE, row.name, Side.RIGHT, bears=False)
        yield Pose(feet=Sided(Standing(Rise.WHOLE, row.name, Side.RIGHT), light))
    yield from all_leaning()


JOINTS = tuple(Joint(bend, depth) for bend in Bend for depth in Depth)


def all_moves() -> Iterator[Move]:
    foot = Subject("foot", Side.RIGHT)
    yield from (Move(transfer, foot) for transfer in Transfer)
    yield from (Move("way", foot, path=path, bow=bow) for path in PathForm for bow in Bow)
    yield Move("way", foot, via=Free(LegDirection.SIDE, "knee"))
    yield Move("spring", Subject("feet"), beats=BOTH, air=IN_THE_AIR)


def all_leaning() -> Iterator[Pose]:
    """Each part in every lean that it may have, and straight."""
    yield Pose()
    for part in CentrePart:
        for row in leans_known_of(part):
            for lean in all_leans(row):
                own = CentreChange(part, attitude({row.name: lean}))
                yield apply(own, Pose(), CATALOGUE, SCHOOLS[0])


EVERYTHING = (
    *(Mention(Subject(kind, side), unwritten()) for kind in KINDS for side in BOTH),
    *(Mention(Subject(part), unwritten()) for part in CentrePart),
    *(Mention(Subject(row.name), unwritten()) for row in CATALOGUE.lanes.whole),
    Mention(Subject("facing"), unwritten()),
)
POINTING = ("facing", "spotting", "travel by the body", "travel by the stage")


def all_posed() -> Iterator[Posed]:
    """Every pose with everything written; and all that stands below the stave."""
    for pose in all_poses():
        yield Posed(pose, EVERYTHING)
    below = (
        *EVERYTHING,
        Mention(Subject("turn"), unwritten()),
        Mention(Subject("travel"), unwritten()),
    )
    for eighth, of, path in product(range(8), Front, TravelPath):
        for side, on in product(Side, TurnedOn):
            turn = TurnChange(
                side, Fraction(1, 2), on, Fraction(of is Front.STAGE) or None, DIRECTIONS[eighth]
            )
            travel = TravelChange(DIRECTIONS[eighth], of, path, [None, *SmallSteps][eighth % 4])
            yield Posed(Pose(facing=eighth), below, turn=turn, travel=travel)


def without_amount(sign: str) -> str:
    """Signs of one kind that differ by how often a part is repeated, or by where they
    point, count as one."""
    pointing = next((kind for kind in POINTING if sign.startswith(kind)), None)
    return pointing or sign.rstrip(" 123")


def test_every_feature_of_every_pose_has_a_row_and_every_row_a_pose() -> None:
    found = {name for posed in all_posed() for name in features(posed, CATALOGUE)}
    found |= features(Posed(Pose(), moves=tuple(all_moves())), CATALOGUE)
    assert found | {"phrasing"} == TABLE.features
    assert {name for row in ROWS for name in row.when} <= TABLE.features


def test_every_place_that_the_key_shows_is_found_in_its_frame() -> None:
    """So that it has a page of its first use: heights, arms without a mark, places of a leg."""
    kinds = ("hand height ", "unmarked ", "free front ", "free back ")
    for row in (row for row in ROWS if row.feature.startswith(kinds)):
        posed = posed_in(row.show, CATALOGUE, ENGLISH)
        assert row.feature in placings(posed, CATALOGUE), row.feature
    for row in arms_rows(ENGLISH, CATALOGUE, "en"):
        assert row.feature in placings(posed_in(row.show, CATALOGUE, ENGLISH), CATALOGUE)
    assert {row.name for row in CATALOGUE.key.height} == {
        row.feature.removeprefix("hand height ") for row in TABLE.rows_of(HEIGHTS)
    }


def test_what_the_key_says_of_bows_is_drawn_and_read() -> None:
    """A bow of less than a third of a space is a straight way, for engraver, reader and eye."""
    third, way = 1 / 3, CATALOGUE.moves.way
    assert max(way.bows) * way.bowed["step"] < 0.7 * third
    assert all(min(way.depths) * abs(sag) > 1.3 * third for sag in way.sag.values() if sag)
    assert key_in(SETTING).table.ways.slight["most"] == pytest.approx(third, abs=0.01)
    notes = {scale.name: scale.note for scale in TABLE.scale}
    assert "bowed by less than a third of a space" in notes["ways"]
    assert "Bowed by a third of a space or more" in notes["ways by a place"]


def test_what_is_held_has_no_features() -> None:
    """A reader need not know the signs of what is not written."""
    pose = Pose(feet=Sided(Standing(Rise.WHOLE, "first"), Standing(Rise.WHOLE, "first")))
    assert features(Posed(pose), CATALOGUE) == frozenset()
    knee = (Mention(Subject("knee", Side.LEFT), unwritten()),)
    assert features(Posed(pose, knee), CATALOGUE) == {"knee none"}


def test_every_sign_that_is_ever_drawn_is_shown_by_some_row() -> None:
    drawn = {
        without_amount(ink.sign)
        for posed in all_posed()
        for cluster in written_signs(posed, counts_top(SETTING.style, FACES), CATALOGUE)
        for ink in cluster.inks
    }
    pictured = {
        without_amount(sign.sign)
        for row in ROWS
        for sign in shown(row.show, before=row.before).staves[0].signs
    } | BOWS
    assert drawn | BOWS == pictured == {without_amount(name) for name in CATALOGUE.signs}


def test_a_feature_is_explained_once_and_groups_hold_together() -> None:
    for names in ([row.feature for row in ROWS], [scale.name for scale in TABLE.scale]):
        assert len(set(names)) == len(names)
    groups = [group for group, _ in groupby(TABLE.scale, key=lambda scale: scale.group)]
    assert len(set(groups)) == len(groups)
    assert {row.scale for row in ROWS} == {scale.name for scale in TABLE.scale}
    said = [(row.scale, row.name) for row in ROWS]
    assert len(set(said)) == len(said)


# ---------------------------------------------------------------- pictures


@every_row
@pytest.mark.parametrize("height", [7, 9, 14, 18])
def test_a_row_can_be_drawn_at_every_size(row: KeyRow, height: int) -> None:
    setting = styled(f'<stave height="{height}"/>')
    system = shown(row.show, setting, before=row.before, phrased=row.phrased)
    assert system.staves[0].signs
    assert {text.lane for text in system.texts} <= {AMOUNT, "counts"}


@every_row
def test_a_row_shows_what_it_explains_in_every_school(row: KeyRow) -> None:
    for school in SCHOOLS:
        found = features(posed_in(row.show, CATALOGUE, school, row.before), CATALOGUE)
        assert row.brought_by & found or row.phrased
        told = [shown(row.show, school=one, before=row.before) for one in (school, ENGLISH)]
        assert told[0] == told[1]


@every_row
def test_the_words_of_a_row_can_be_printed(row: KeyRow) -> None:
    assert FACES.missing(row.meaning) == FACES.missing(row.name, weight=BOLD) == ()


def test_a_row_about_one_sign_has_it_in_its_frame() -> None:
    for row in (row for row in ROWS if row.sign):
        stave = shown(row.show, before=row.before, phrased=row.phrased).staves[0]
        assert row.sign in {sign.sign for sign in stave.signs}, row.feature


def test_a_sign_that_a_frame_is_about_is_shown_larger_beside_its_name() -> None:
    large = in_key(SETTING)
    rows = pictures(TABLE.rows_of(TABLE.scale[0]), large, ENGLISH, key_in(SETTING))
    group = shown_group("", [(TABLE.scale[0], rows)], PAPERS["A5"].measure, large)
    ((strip,),) = (line.strips for line in group.lines)
    assert [name for name, _ in strip.images] == [strip.name, *map(strip.sign_name, range(4))]
    stroke = next(row for row in rows if row.row.sign == "front").system.staves[0].signs[0]
    enlarged = stroke.box.height * large.style.space * large.style.distance("key sign")
    assert strip.sign_height >= enlarged > 1.9 * stroke.box.height * SETTING.style.space


def test_pictures_of_a_scale_differ() -> None:
    looks = [(row.scale, look_of(row)) for row in ROWS]
    twice = [row.feature for row, look in zip(ROWS, looks, strict=True) if looks.count(look) > 1]
    assert twice == []


def look_of(row: KeyRow, school: School = ENGLISH) -> object:
    stave = shown(row.show, school=school, before=row.before, phrased=row.phrased).staves[0]
    signs = tuple((sign.sign, sign.figures, sign.box) for sign in stave.signs)
    return signs, stave.phrasings, tuple(way.figures for way in stave.ways)


def test_a_strip_has_the_ink_of_its_pictures_and_one_stave() -> None:
    for scale in TABLE.scale:
        cell, rows = TABLE.cell[scale.cell], TABLE.rows_of(scale)
        large = in_key(SETTING)
        systems = [shown(row.show, large, before=row.before, phrased=row.phrased) for row in rows]
        width = cell.width(large.style.space)
        widths = [width] * len(systems)
        drawing = strip(systems, widths, (-1.0, 5.0), large, cell.axis)
        lines, *others = drawing.pens
        assert len({rule.bottom for rule in lines.boxes}) == len(CATALOGUE.ruling.line)
        stamps = [stamp for pen in others for stamp in pen.stamps]
        assert len(stamps) == sum(len(system.staves[0].signs) for system in systems)
        for stamp, system in zip(stamps, signs_with_systems(systems), strict=True):
            at, sign = system
            middle = sum(edge(systems[at])) / 2
            place = width * (at + 0.5) + cell.axis + sign.x - middle
            assert (stamp.x, stamp.y) == pytest.approx((place, sign.y))
            assert width * at <= place + sign.box.left - sign.x
            assert place + sign.box.right - sign.x <= width * (at + 1)


def signs_with_systems(systems: list[System]) -> Iterator[tuple[int, PlacedSign]]:
    for at, system in enumerate(systems):
        yield from ((at, sign) for sign in system.staves[0].signs)


def edge(system: System) -> tuple[float, float]:
    rule = system.staves[0].rules[0]
    return rule.x1, rule.x2


def test_what_cannot_be_drawn_is_an_error_of_ours() -> None:
    with pytest.raises(ValueError, match="not well formed"):
        posed_in("<feet", CATALOGUE, ENGLISH)
    crowded = (
        '<foot side="right" to="side" place="knee"/>'
        '<hand side="right" height="knee+0.63" out="0.40" depth="level"/>'
        '<hand side="left" height="knee+0.50" out="0.02" depth="behind"/>'
    )
    with pytest.raises(ValueError, match="cannot be drawn"):
        shown(crowded)


# ---------------------------------------------------------------- the key of a book


def test_a_key_has_what_is_used_and_what_is_easily_taken_for_it() -> None:
    scales = used_scales(frozenset({"knee half", "feet first"}), TABLE)
    assert [scale.name for scale in scales] == ["positions", "knees", "knees of free legs"]
    brought = used_scales(frozenset({"hand front"}), TABLE)
    assert [scale.name for scale in brought] == ["depth", "hand heights", "arms without a mark"]
    assert used_scales(frozenset(), TABLE) == ()


def test_a_feature_without_a_row_is_an_error_of_ours() -> None:
    with pytest.raises(KeyError, match="no row for hand sideways"):
        used_scales(frozenset({"hand front", "hand sideways"}), TABLE)


def test_the_key_of_a_book_is_that_of_all_its_scores_and_their_starts() -> None:
    start = '<start><feet in="fifth" front="left"/><arms in="bras bas"/></start>'
    one = f'{start}<phrase counts="4"><frame at="1"><knees bend="half"/></frame></phrase>'
    foot = '<foot side="right" to="back" raised="45"/><hand side="left" in="second"/>'
    two = f'{start}<phrase counts="4"><frame at="2">{foot}</frame></phrase>'
    book = manuscript(one_chapter("one.xml", "two.xml"), {"one.xml": one, "two.xml": two})
    used = {"feet fifth", "rise whole foot", "hand front", "hand level"}
    used |= {"knee half", "free back", "free 45"}
    assert first_uses(book).keys() == used
    (sheet,) = reading_sheets(SECTIONS["reading"], book, SETTING)({})
    listed = [name.text for name in tree_of(sheet.html).all("b")]
    scales = {scale.name for scale in used_scales(frozenset(used), TABLE)}
    arms = [row.name for row in arms_rows(ENGLISH, CATALOGUE, "en")]
    assert listed == [row.name for row in ROWS if row.scale in scales] + arms
    assert set(images_of(sheet.html)) == {quote(name) for name, _ in sheet.images}


def test_amounts_are_those_that_the_book_uses() -> None:
    turns = '<frame at="1"><turn to="right" by="{}" on="left"/></frame>'
    start = '<start><feet in="first"/></start>'
    book = manuscript(
        one_chapter("one.xml", "two.xml"),
        {
            name: f'{start}<phrase counts="4">{turns.format(by)}</phrase>'
            for name, by in (("one.xml", "1 1/2"), ("two.xml", "3/4"))
        },
    )
    assert amounts_used(book) == {"turn": "3/4"}
    row = next(row for row in ROWS if row.amount)
    assert 'by="3/4"' in TABLE.position(row, amounts_used(book))
    assert TABLE.position(row, {}) == row.show


def test_the_key_is_no_smaller_than_the_scores() -> None:
    for height in (8, 11, 15):
        setting = styled(f'<stave height="{height}"/>')
        assert in_key(setting).style.stave_height >= height


# ---------------------------------------------------------------- pages


def test_a_way_of_writing_is_used_first_on_its_own_line() -> None:
    start = '<start><feet in="first"/><arms in="bras bas"/></start>'
    many = "".join(f'<frame at="{at}"><arms in="second"/></frame>' for at in range(1, 64))
    late = '<frame at="64"><head tilt="right 2"/></frame>'
    other = '<frame at="1"><head tilt="left"/></frame>'
    book = manuscript(
        one_chapter("one.xml", "two.xml"),
        {
            "one.xml": f'{start}<phrase counts="64">{many}{late}</phrase>',
            "two.xml": f'{start}<phrase counts="4">{other}</phrase>',
        },
    )
    last = len(book.piece("one.xml").lines) - 1
    uses = first_uses(book)
    assert last > 0
    assert uses["feet first"] == "line.1.0", "the starting position is on the first line"
    assert uses["tilt 2"] == uses["head"] == f"line.1.{last}"
    assert uses["tilt 1"] == "line.2.0"


def test_a_page_is_told_of_what_is_used_and_a_group_goes_on_with_its_title() -> None:
    rows = ROWS[:3]
    strips = tuple(Strip(f"depth {at}", (row,), 10.0, True, "") for at, row in enumerate(rows))
    group = ShownGroup("Hands", tuple(StripLine("", (each,)) for each in strips))
    uses = {rows[0].feature: "line.1.0"}
    numbers = {"line.1.0": "12", "key.depth-0": "2", "key.depth-1": "3", "key.depth-2": "3"}
    found = paged(group, uses, numbers).lines
    frames = [frame for line in found for strip in line.strips for frame in strip.frames]
    assert [frame.page for frame in frames] == ["12", "", ""]
    assert [line.continued for line in found] == [False, True, False]
    assert not any(line.continued for line in paged(group, uses, {}).lines)


# ---------------------------------------------------------------- the phrase to be read


def test_every_frame_of_the_phrase_has_its_remark_and_says_what_is_written() -> None:
    score = example_score(TABLE.example)
    counts = [str(frame.at.count) for phrase in score.phrases for frame in phrase.frames]
    assert [remark.count for remark in TABLE.remark] == ["", *counts]
    for paper in PAPERS.values():
        assert len(example_lines(paper.measure, in_key(SETTING), ENGLISH, key_in(SETTING))) == 1


def test_a_phrase_that_cannot_be_drawn_is_an_error_of_ours() -> None:
    with pytest.raises(ValueError, match="cannot be drawn"):
        example_lines(10.0, in_key(SETTING), ENGLISH, key_in(SETTING))


def test_a_slide_into_a_crossed_position_ends_on_the_side_of_its_foot() -> None:
    """So that its end tells which foot it is."""
    for position, front, moving in product(("third", "fifth"), Side, Side):
        other = moving.other
        before = f'<foot side="{other}" on="whole foot"/>'
        before += f'<foot side="{moving}" to="side" place="pointed"/>'
        feet = f'<feet in="{position}" front="{front}" by="slide" moving="{moving}"/>'
        stave = shown(feet, before=before).staves[0]
        (slide,) = stave.ways
        (sign,) = [each for each in stave.signs if each.sign == "level long"]
        assert (slide.along[-1][0] - sign.x) * moving.sign > 0.2


# ---------------------------------------------------------------- the arms, and all on one page


def test_the_plate_of_the_arms_has_every_name_of_a_school() -> None:
    for school in SCHOOLS:
        for language in languages():
            rows = tuple(arms_rows(school, CATALOGUE, language))
            assert len(rows) == len(school.arms)
            assert len({row.name for row in rows}) == len(rows)
        for row in arms_rows(school, CATALOGUE, "en"):
            assert row.name in school.arms.values()
            assert look_of(row) == look_of(row.model_copy(update={"show": by_name(row)}), school)


def by_name(row: KeyRow) -> str:
    """The same arms by the name that the school has for them."""
    return re.sub('in="[^"]*"', f'in="{row.name}"', row.show)


@pytest.mark.parametrize(("paper", "height"), [("A5", 8), ("A4", 10)])
def test_all_signs_stand_on_one_leaf_as_large_as_there_is_room(paper: str, height: float) -> None:
    """All signs of the tables, and a fifth more, stand on the smallest paper."""
    own = PAPERS[paper]
    most = (*ROWS, *ROWS[: len(ROWS) // 5])
    rows = pictures(most, SETTING.at_height(height), ENGLISH, key_in(SETTING))
    found = fitting(rows, own, SETTING)
    assert found.rows == rows
    assert height < found.type.stave
    assert len(found.pages) == 2
    for line in found.lines:
        assert sum(line.rooms) <= own.measure + 0.01
        for each, room in zip(line.rows, line.rooms, strict=True):
            stave, half = each.system.staves[0], room / found.type.space / 2
            left, right = (sum(edge(each.system)) / 2 + side * half for side in (-1, 1))
            signs = stave.signs
            assert all(left < sign.box.left and sign.box.right < right for sign in signs)
            widths = [FACES.width(word, found.type.size) for word in words_of(each.row.name)]
            assert max(widths) / POINTS + 2 * found.type.inset <= room + 0.01
    for line in found.lines[:-1]:
        assert sum(line.rooms) == pytest.approx(own.measure)
    few = fitting(rows[:6], own, SETTING)
    assert few.type.stave == in_key(SETTING).style.stave_height
    assert (few.rows, len(few.pages)) == (rows[:6], 1)


def test_the_leaf_has_what_the_book_uses() -> None:
    start = '<start><feet in="first"/><arms in="bras bas"/></start>'
    knees = '<frame at="1"><knees bend="half"/></frame>'
    score = f'{start}<phrase counts="4">{knees}</phrase>'
    book = manuscript(one_chapter("one.xml"), {"one.xml": score})
    (sheet,) = leaf_sheet(SECTIONS["leaf"], book, SETTING, {})
    names = [cell.text for cell in tree_of(sheet.html).all("span")]
    arms = [row.name for row in arms_rows(ENGLISH, CATALOGUE, "en")]
    assert names == [row.name for row in ROWS if row.brought_by & set(first_uses(book))] + arms
