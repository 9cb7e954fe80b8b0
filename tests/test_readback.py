"""Reading back: every case, both books and random scores say in ink what was written.

The reader has a table of its own, so that a sign whose drawing is changed by
mistake can no longer be read: see the mutations.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import replace
from itertools import pairwise
from pathlib import Path
from typing import Any

import pytest
from typer.testing import CliRunner

from stavebound.build.loading import load_project
from stavebound.build.starting import start_book
from stavebound.dance.printed import with_signs
from stavebound.proof.written import written_lines
from stavebound.readback.joining import joined_score
from stavebound.readback.prove import prove
from stavebound.readback.subjects import readings
from stavebound.readback.values import (
    FeetRead,
    FootRead,
    FreeRead,
    HandRead,
    JointRead,
    MarkRead,
    SignRead,
)
from stavebound.score.lexical import height_text
from stavebound.score.measures import Height
from stavebound.score.model import (
    Depth,
    LegDirection,
    Rise,
    Side,
)
from stavebound.score.write import write_score
from stavebound.svg.staves import draw_staves
from stavebound.trade.naming import nearest_line
from tests.support.engraved_cases import CASES, page_of, printed_in, setting_in
from tests.support.readers import (
    KEY,
    faults_in,
    frames_of,
    limb_text,
    proved,
    read_lines,
    score_with,
)
from tests.support.sources import score_of, whole
from tests.support.staves import (
    CATALOGUE,
    FACES,
    SETTING,
    danced_of,
    engraved,
    least_width,
    moments_of,
    printed_of,
    setting_of,
    small_score,
    styled,
)

RUNNER = CliRunner()
BOOK = Path(__file__).parents[1] / "books" / "syllabus" / "book.xml"


# ---------------------------------------------------------------- as written


@pytest.mark.parametrize("case", CASES)
def test_a_case_reads_back_as_written(case: str) -> None:
    for narrow in (False, True):
        page = page_of(case, narrow)
        printed = printed_in(case)
        assert faults_in(page.result, printed.score, setting_in(case), printed) == ()


def test_the_books_read_back_as_written(tmp_path: Path) -> None:
    start_book(tmp_path / "new")
    for path in (BOOK, tmp_path / "new" / "book.xml"):
        project = load_project(path, path.name)
        assert project.scores
        for _, score in project.scores:
            assert proved(score, setting=setting_of(*project.sheets)) == ()


def test_what_is_read_is_what_stands_there() -> None:
    """One line by hand, so that the reader is not only held against our own expectations."""
    inside = """<start><feet in="fifth" front="left" on="half point"/><arms in="second"/></start>
<phrase counts="4">
<frame at="1"><foot side="right" to="front" place="pointed"/></frame>
<frame at="2 and" step="plié"><hand side="left" height="waist+0.30" out="0.20" depth="behind"/>
<cue>Now</cue></frame>
<frame at="4"><knee side="left" bend="full"/></frame>
</phrase>"""
    (reading,) = read_lines(engraved(small_score(inside)))
    assert [frame.count for frame in reading.frames] == [None, "1", "2", "&", "3", "4"]
    assert [frame.bar for frame in reading.frames] == [0, 1, 1, 1, 1, 1]
    assert (reading.bars, reading.final) == (2, True)
    start, one, _, two, _, four = reading.frames
    feet, right, left = start.subjects
    assert feet == FeetRead("fifth", Side.LEFT, Rise.HALF)
    assert isinstance(right, HandRead)
    assert isinstance(left, HandRead)
    assert (right.side, left.side) == (Side.RIGHT, Side.LEFT)
    assert (right.height, right.out) == pytest.approx((2.75, 0.50), abs=0.01)
    assert [
        replace(subject, at=(0, 0)) for subject in one.subjects if isinstance(subject, FreeRead)
    ] == [FreeRead(Side.RIGHT, LegDirection.FRONT, "pointed", (0, 0))]
    assert dict(two.texts) == {"step": "plié", "cue": "Now"}
    (hand,) = two.subjects
    assert isinstance(hand, HandRead)
    assert (hand.depth, read_height(hand.height)) == ("behind", "waist+0.30")
    assert [str(subject.bend) for subject in four.subjects if isinstance(subject, JointRead)] == [
        "full"
    ]


# ---------------------------------------------------------------- XML


@pytest.mark.parametrize("case", CASES)
def test_what_was_read_is_a_score_that_looks_the_same(case: str) -> None:
    read = read_lines(page_of(case, False).result)
    told = joined_score(read, "Read & back", KEY)
    score = score_of(write_score(told.score, told.parts))
    if told.parts == told.score.phrases:
        assert score == told.score
    printed = with_signs(danced_of(score))
    again = read_lines(engraved(printed.score, 400.0, SETTING, printed))
    assert [limbs_told(frame.subjects) for frame in frames_of(read) if frame.subjects] == [
        limbs_told(frame.subjects) for frame in frames_of(again) if frame.subjects
    ]
    counts = [frame.count for frame in frames_of(read) if frame.count]
    assert counts[-1] == [frame.count for frame in frames_of(again)][-1]


def limbs_told(subjects: tuple[Any, ...]) -> list[str]:
    """Without places, as the second engraving may move signs a little further."""
    return [
        re.sub(r' (height|out|raised|place)="[^"]*"', "", limb_text(subject))
        for subject in subjects
    ]


def test_heights_are_told_from_the_nearest_line() -> None:
    told = [read_height(height) for height in (2.0, 2.28, 1.6, 4.6, -0.2, 1.999)]
    assert told == ["waist", "waist+0.28", "waist-0.40", "head+0.60", "floor-0.20", "waist"]
    assert read_height(0.5 - 1e-9) == read_height(0.5 + 1e-9)


def read_height(height: float) -> str:
    return height_text(Height(*nearest_line(CATALOGUE.ruling, height)))


def test_what_was_moved_further_out_than_limbs_reach_is_told_as_far_as_a_score_can_say() -> None:
    hand = HandRead(Side.LEFT, Depth.LEVEL, 2.7, 0.71)
    foot = FreeRead(Side.RIGHT, LegDirection.SIDE, None, (2.6, 2.77))
    assert 'out="0.70"' in limb_text(hand)
    assert 'out="-0.70"' in limb_text(replace(hand, out=-0.71))
    assert 'out="0.70"' in limb_text(foot)
    assert score_of(whole(f'<phrase counts="1"><frame at="1">{limb_text(foot)}</frame></phrase>'))


# ---------------------------------------------------------------- two readings


def test_a_place_that_looks_like_another_has_two_readings() -> None:
    """Were hands looked for as low as feet go, a foot off the floor could be one."""
    low = KEY.table.hand.model_copy(update={"lowest": 0.3})
    doubting = replace(KEY, table=KEY.table.model_copy(update={"hand": low}))
    score = score_with(['<foot side="right" to="side" place="off the floor"/>'])
    page = engraved(score)
    (line,) = written_lines(page, printed_of(score))
    faults = prove(draw_staves(page.systems[0], FACES), line, doubting, FACES)
    assert [fault.code for fault in faults] == ["R106"]
    assert [fault.span.line for fault in faults if fault.span] == [4]


@pytest.mark.parametrize(
    ("signs", "ways"),
    [
        ((SignRead("level", 0.23, -0.3), SignRead("level", -0.23, -0.3)), 1),
        ((SignRead("level", 0.23, -0.3),), 1),
        ((SignRead("level", 0.5, -0.3),), 0),
        ((SignRead("level", 1.2, 2.75), SignRead("front", 0.3, 2.2)), 0),
        ((SignRead("level", 1.0, 0.3, (MarkRead("hook", 1),)),), 1),
        ((SignRead("level", 1.0, 0.3, (MarkRead("hook", -1),)),), 0),
        ((SignRead("level", 1.5, 1.75, (MarkRead("hook", 1),)),), 0),
        ((SignRead("half bend", 0.55, 0.69), SignRead("straight again", -0.48, 1.0)), 1),
        ((), 1),
    ],
)
def test_signs_are_read_in_so_many_ways(signs: tuple[SignRead, ...], ways: int) -> None:
    assert len(readings(signs, KEY)) == ways


def test_every_free_place_is_read_as_itself_wherever_a_small_shift_puts_it() -> None:
    limit = KEY.table.foot
    inside = "".join(
        f'<frame at="{count}"><foot side="right" on="whole foot"/>'
        f'<foot side="left" to="{way}" {kind}="{place}"/></frame>'
        for count, (way, kind, place) in enumerate(free_places(), 1)
    )
    start = '<start><feet in="first"/><arms in="side"/></start>'
    score = small_score(f'{start}<phrase counts="33">{inside}</phrase>')
    for height in (7, 8, 9, 12, 18):
        setting = styled(f'<stave height="{height}"/>')
        assert proved(score, 180.0, setting) == ()
        for system in engraved(score, 180.0, setting).systems:
            for sign in system.staves[0].signs:
                if sign.subjects[0].kind == "foot":
                    assert abs(sign.dx) <= limit.out + 1e-9
                    assert abs(sign.dy) <= limit.up + 1e-9


def free_places() -> Iterator[tuple[str, str, str]]:
    for direction in LegDirection:
        for row in CATALOGUE.feet.free.place:
            yield direction, "raised" if row.name.isdecimal() else "place", row.name


def test_feet_that_rise_differently_are_drawn_each_at_its_height() -> None:
    """Written one by one in a position, they must not be drawn as rising alike."""
    inside = """<start><feet in="fifth" front="left"/><arms in="second"/></start>
<phrase counts="4">
<frame at="1"><foot side="right" on="half point"/><foot side="left" on="point"/></frame>
<frame at="2"><foot side="right" on="point"/><foot side="left" on="point"/></frame>
</phrase>"""
    score = small_score(inside)
    assert proved(score) == ()
    (reading,) = read_lines(engraved(score))
    assert reading.frames[1].subjects == (
        FootRead(Side.RIGHT, Rise.HALF),
        FootRead(Side.LEFT, Rise.POINT),
    )
    assert reading.frames[2].subjects == (FeetRead("fifth", Side.LEFT, Rise.POINT),)


def test_a_line_is_broken_round_what_is_hardly_off_it() -> None:
    foot = '<foot side="left" to="side" height="floor+0.90" ankle="stretched"/>'
    start = '<start><feet in="fifth" front="right"/></start>'
    score = small_score(f'{start}<phrase counts="4"><frame at="1">{foot}</frame></phrase>')
    assert proved(score) == ()


def test_a_starting_position_on_one_foot_has_one_axis() -> None:
    """Seen as the other foot, on another axis, it would leave a sign to the count after it."""
    upbeat = '<frame at="12 5/9"><foot side="left" to="side" place="knee" bow="front"/></frame>'
    phrase = '<phrase counts="12"><frame at="8"/></phrase>'
    inside = f"""<start><hand side="left" in="side"/><hand side="right" in="side"/>
<foot side="right" to="side" raised="45"/><foot side="left" on="point"/></start>
<upbeat counts="1"><phrasing from="12" to="12 5/9"/>{upbeat}</upbeat>{phrase}"""
    score, setting = small_score(inside), styled('<stave height="14"/>')
    assert proved(score, least_width(score, setting) + 0.001, setting) == ()


@pytest.mark.parametrize("case", CASES)
def test_signs_stand_nearest_to_their_own_axis(case: str) -> None:
    """Where no bar line parts two frames, their signs do not cross the middle."""
    for narrow in (False, True):
        page = page_of(case, narrow)
        for line, system in zip(page.result.lines, page.result.systems, strict=True):
            lines = {rule.x1 for rule in system.staves[0].rules if rule.pen == "bar"}
            moments = moments_of(line, system, page.bars)
            for a, b in pairwise(moments):
                middle = (a.axis + b.axis) / 2
                if not any(a.axis < x < b.axis for x in lines):
                    assert all(sign.box.right <= middle + 1e-6 for sign in a.signs)
                    assert all(sign.box.left >= middle - 1e-6 for sign in b.signs)
