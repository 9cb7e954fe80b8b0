"""Reading back: every case, both books and random scores say in ink what was written.

The reader has a table of its own, so that a sign whose drawing is changed by
mistake can no longer be read: see the mutations.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Iterator
from dataclasses import replace
from itertools import pairwise
from pathlib import Path
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from stavebound.build.loading import load_project
from stavebound.build.proving import prove_score, written_lines
from stavebound.build.starting import start_book
from stavebound.engrave.engraving import engrave
from stavebound.engrave.parts import Setting
from stavebound.readback.limbs import readings
from stavebound.readback.prove import prove
from stavebound.readback.read import read_svg
from stavebound.readback.values import FreeRead, HandRead, KneeRead, Mark, Sign
from stavebound.readback.xml import height_text, limb_xml, score_xml
from stavebound.score.model import (
    ArmsChange,
    Change,
    FeetChange,
    FootChange,
    HandChange,
    KneesChange,
    Phrase,
    Position,
    Score,
    Side,
    Way,
)
from stavebound.svg.draw import draw
from stavebound.trade.tables import Sign as Drawing
from tests.readers import KEY, frames_of, proved, read_lines
from tests.sources import score_of
from tests.staves import (
    CATALOGUE,
    FACES,
    SETTING,
    bars_of,
    engraved,
    moments_of,
    school_of,
    setting_of,
    small_score,
    styled,
)
from tests.strategies import scores
from tests.test_engrave import CASES, page_of, score_in, setting_in

BOOK = Path(__file__).parents[1] / "books" / "syllabus" / "book.xml"


# ---------------------------------------------------------------- as written


@pytest.mark.parametrize("case", CASES)
def test_a_case_reads_back_as_written(case: str) -> None:
    for narrow in (False, True):
        page = page_of(case, narrow)
        assert prove_score(page.result, score_in(case), setting_in(case)) == ()


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
    feet, right, left = start.limbs
    assert str(feet) == str(feet).replace("first", "fifth")
    assert isinstance(right, HandRead)
    assert isinstance(left, HandRead)
    assert (right.side, left.side) == (Side.RIGHT, Side.LEFT)
    assert (right.height, right.out) == pytest.approx((2.75, 0.50), abs=0.01)
    assert [replace(limb, at=(0, 0)) for limb in one.limbs if isinstance(limb, FreeRead)] == [
        FreeRead(Side.RIGHT, Way.FRONT, "pointed", (0, 0))
    ]
    assert (two.step, two.cue) == ("plié", "Now")
    (hand,) = two.limbs
    assert isinstance(hand, HandRead)
    assert (hand.depth, height_text(hand.height)) == ("behind", "waist+0.30")
    assert [str(limb.bend) for limb in four.limbs if isinstance(limb, KneeRead)] == ["full"]


SETTINGS = {
    (height, line, names): styled(
        f'<stave height="{height}" centre-line="{line}" line-names="{names}"/>'
    )
    for height in (7, 9, 14)
    for line in ("yes", "no")
    for names in ("first", "every", "none")
}


@settings(max_examples=120)
@given(scores(), st.sampled_from(sorted(SETTINGS)), st.sampled_from([80.0, 115.0, 180.0]))
def test_random_scores_read_back_as_written(
    score: Score, style: tuple[int, str, str], width: float
) -> None:
    """About two thousand frames: none misread, none with two readings; mirrored too."""
    setting = SETTINGS[style]
    for one in (score, mirrored(score)):
        outcome = engrave(one, school_of(one), width, setting)
        if outcome.value and not outcome.diagnostics:
            assert prove_score(outcome.value, one, setting) == ()


def mirrored(score: Score) -> Score:
    """The other side: right and left exchanged."""

    def turned(phrase: Phrase) -> Phrase:
        frames = (
            replace(frame, changes=tuple(map(other_side, frame.changes))) for frame in phrase.frames
        )
        return replace(phrase, frames=tuple(frames))

    start = score.start
    return replace(
        score,
        start=Position(tuple(map(other_side, start.changes))) if start else None,
        upbeat=turned(score.upbeat) if score.upbeat else None,
        phrases=tuple(map(turned, score.phrases)),
    )


def other_side(change: Change) -> Change:
    if isinstance(change, ArmsChange):
        return replace(change, lead=change.lead and change.lead.other)
    if isinstance(change, FeetChange):
        return replace(change, front=change.front and change.front.other)
    if isinstance(change, KneesChange):
        return replace(change, side=change.side and change.side.other)
    assert isinstance(change, HandChange | FootChange)
    return replace(change, side=change.side.other)


# ---------------------------------------------------------------- XML


@pytest.mark.parametrize("case", CASES)
def test_what_was_read_is_a_score_that_looks_the_same(case: str) -> None:
    read = read_lines(page_of(case, False).result)
    text = score_xml(read, "Read & back")
    again = read_lines(engraved(score_of(text), 400.0))
    assert [limbs_told(frame.limbs) for frame in frames_of(read) if frame.limbs] == [
        limbs_told(frame.limbs) for frame in frames_of(again) if frame.limbs
    ]
    counts = [frame.count for frame in frames_of(read) if frame.count]
    assert counts[-1] == [frame.count for frame in frames_of(again)][-1]


def limbs_told(limbs: tuple[Any, ...]) -> list[str]:
    """Without places, as the second engraving may move signs a little further."""
    return [
        f"hand {limb.side} {limb.depth}" if isinstance(limb, HandRead) else limb_xml(limb)
        for limb in limbs
    ]


def test_heights_are_told_from_the_nearest_line() -> None:
    told = [height_text(height) for height in (2.0, 2.28, 1.6, 4.6, -0.2, 1.999)]
    assert told == ["waist", "waist+0.28", "waist-0.40", "head+0.60", "floor-0.20", "waist"]


# ---------------------------------------------------------------- broken tables

EVERY_SIGN = """<start><feet in="fifth" front="right"/><arms in="side"/></start>
<phrase counts="12">
<frame at="1"><feet in="fourth" front="left"/><arms in="front rounded"/></frame>
<frame at="2"><feet in="first"/><hand side="left" in="arabesque back"/></frame>
<frame at="3"><knees bend="half"/></frame>
<frame at="4"><knee side="left" bend="full"/></frame>
<frame at="5"><knees bend="none"/></frame>
<frame at="6"><foot side="right" to="front" place="pointed"/></frame>
<frame at="7"><foot side="right" to="back" place="ankle"/></frame>
<frame at="8"><foot side="right" to="side" raised="90"/></frame>
<frame at="9"><foot side="right" to="back" raised="90"/></frame>
<frame at="10"><foot side="right" to="side" place="knee"/></frame>
<frame at="11"><feet in="third" front="left"/></frame>
</phrase>"""
NAMES = sorted(CATALOGUE.signs)
KINDS = ("strokes", "discs", "rings", "curves")


def with_signs(**drawings: Drawing) -> Setting:
    signs = {**CATALOGUE.signs, **{name.replace("_", " "): row for name, row in drawings.items()}}
    return replace(SETTING, catalogue=replace(CATALOGUE, signs=signs))


def changed(
    drawing: Drawing, change: Callable[[str, tuple[float, ...]], tuple[float, ...]]
) -> Drawing:
    """A drawing with each of its parts changed."""
    parts = {kind: tuple(change(kind, part) for part in getattr(drawing, kind)) for kind in KINDS}
    return drawing.model_copy(update=parts)


def scaled(kind: str, part: tuple[float, ...]) -> tuple[float, ...]:
    return tuple(1.12 * number for number in part)


def moved(dx: float, dy: float) -> Callable[[str, tuple[float, ...]], tuple[float, ...]]:
    places = {"strokes": 4, "discs": 2, "rings": 2, "curves": 8}

    def change(kind: str, part: tuple[float, ...]) -> tuple[float, ...]:
        many = places[kind]
        shifted = [number + (dy if index % 2 else dx) for index, number in enumerate(part[:many])]
        return (*shifted, *part[many:])

    return change


def thinner(kind: str, part: tuple[float, ...]) -> tuple[float, ...]:
    return (*part[:-1], part[-1] * 0.8)


def without_last(drawing: Drawing) -> Drawing:
    kind = next(kind for kind in reversed(KINDS) if getattr(drawing, kind))
    return drawing.model_copy(update={kind: getattr(drawing, kind)[:-1]})


CHANGES: dict[str, Callable[[Drawing], Drawing]] = {
    "scaled": lambda drawing: changed(drawing, scaled),
    "moved across": lambda drawing: changed(drawing, moved(0.05, 0.0)),
    "moved up": lambda drawing: changed(drawing, moved(0.0, 0.05)),
    "thinner": lambda drawing: changed(drawing, thinner),
    "lacking a part": without_last,
    "doubled": lambda drawing: drawing.model_copy(
        update={
            kind: (*getattr(drawing, kind), *getattr(changed(drawing, moved(0.5, 0)), kind))
            for kind in KINDS
        }
    ),
}


def test_every_sign_of_the_table_is_used_and_read() -> None:
    score = small_score(EVERY_SIGN)
    used = {sign.sign for system in engraved(score).systems for sign in system.staves[0].signs}
    assert used == set(NAMES)
    assert proved(score) == ()


def parts_of(drawing: Drawing) -> int:
    return sum(len(getattr(drawing, kind)) for kind in KINDS)


@pytest.mark.parametrize(
    ("name", "change"),
    [
        (name, change)
        for name in NAMES
        for change in CHANGES
        if change != "lacking a part" or parts_of(CATALOGUE.signs[name]) > 1
    ],
)
def test_the_proof_fails_where_a_drawing_is_broken(name: str, change: str) -> None:
    score = small_score(EVERY_SIGN)
    broken = with_signs(**{name: CHANGES[change](CATALOGUE.signs[name])})
    faults = proved(score, setting=broken)
    assert faults
    assert {fault.code for fault in faults} <= {"R103", "R104", "R105", "R106", "R201"}
    assert all(fault.span and fault.span.line > 1 for fault in faults)


@pytest.mark.parametrize(("one", "other"), [(a, b) for a in NAMES for b in NAMES if a < b])
def test_the_proof_fails_where_two_drawings_are_exchanged(one: str, other: str) -> None:
    drawings = CATALOGUE.signs
    swapped = with_signs(**{one: drawings[other], other: drawings[one]})
    assert proved(small_score(EVERY_SIGN), setting=swapped)


def test_a_hook_turned_over_fails() -> None:
    hook = CATALOGUE.signs["hook"]
    turned = changed(
        hook,
        lambda _, part: (*(-n if i % 2 == 0 else n for i, n in enumerate(part[:8])), part[8]),
    )
    assert proved(small_score(EVERY_SIGN), setting=with_signs(hook=turned))


def test_the_fault_stands_at_the_frame_whose_ink_it_is() -> None:
    drawings = CATALOGUE.signs
    wrong = with_signs(**{"straight again": drawings["half bend"]})
    faults = proved(small_score(EVERY_SIGN), setting=wrong)
    assert {fault.code for fault in faults} == {"R201"}
    assert {fault.span.line for fault in faults if fault.span} == {8}
    assert 'the ink says <knee side="right" bend="half"/>' in faults[0].message
    assert 'the source <knee side="right" bend="none"/>' in faults[0].message


# ---------------------------------------------------------------- two readings


def test_a_place_that_looks_like_another_has_two_readings() -> None:
    """Without the mark of touch, the ankle would look like a foot just off the floor."""
    feet = CATALOGUE.feet
    rows = tuple(row.model_copy(update={"touch": False}) for row in feet.free.place)
    free = feet.free.model_copy(update={"place": rows})
    alike = replace(CATALOGUE, feet=feet.model_copy(update={"free": free}))
    faults = proved(small_score(EVERY_SIGN), setting=replace(SETTING, catalogue=alike))
    assert {fault.code for fault in faults} == {"R106"}
    assert {fault.span.line for fault in faults if fault.span} == {10}


@pytest.mark.parametrize(
    ("signs", "ways"),
    [
        ((Sign("level", 0.2, -0.26), Sign("level", -0.2, -0.26)), 1),
        ((Sign("level", 0.2, -0.26),), 1),
        ((Sign("level", 0.5, -0.26),), 0),
        ((Sign("level", 1.2, 2.75), Sign("front", 0.3, 2.2)), 0),
        ((Sign("level", 1.0, 0.26, (Mark("hook", 1),)),), 1),
        ((Sign("level", 1.0, 0.26, (Mark("hook", -1),)),), 0),
        ((Sign("level", 1.5, 1.75, (Mark("hook", 1),)),), 0),
        ((Sign("half bend", 0.45, 0.85), Sign("straight again", -0.45, 0.85)), 1),
        ((), 1),
    ],
)
def test_signs_are_read_in_so_many_ways(signs: tuple[Sign, ...], ways: int) -> None:
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
                if sign.limbs[0].kind == "foot":
                    assert abs(sign.dx) <= limit.out + 1e-9
                    assert abs(sign.dy) <= limit.up + 1e-9


def free_places() -> Iterator[tuple[str, str, str]]:
    for way in Way:
        for row in CATALOGUE.feet.free.place:
            yield way, "raised" if row.name.isdecimal() else "place", row.name


@pytest.mark.parametrize("case", CASES)
def test_signs_stand_nearest_to_their_own_axis(case: str) -> None:
    """Where no bar line parts two frames, their signs do not cross the middle."""
    for narrow in (False, True):
        page = page_of(case, narrow)
        for line, system in zip(page.result.lines, page.result.systems, strict=True):
            lines = {rule.x1 for rule in system.staves[0].rules if rule.pen == "bar"}
            moments = moments_of(line, system, bars_of(score_in(case), setting_in(case)))
            for a, b in pairwise(moments):
                middle = (a.axis + b.axis) / 2
                if not any(a.axis < x < b.axis for x in lines):
                    assert all(sign.box.right <= middle + 1e-6 for sign in a.signs)
                    assert all(sign.box.left >= middle - 1e-6 for sign in b.signs)


# ---------------------------------------------------------------- drawings that cannot be read


@pytest.fixture(scope="module")
def svg() -> str:
    (system,) = engraved(small_score(EVERY_SIGN), 300.0).systems
    return draw(system, FACES, "A line")


def codes_in(text: str) -> set[str]:
    outcome = read_svg(text, "line.svg", KEY, FACES)
    if outcome.value is None:
        (fault,) = outcome.diagnostics
        assert fault.span is not None
        assert fault.span.path == "line.svg"
        return {fault.code}
    kinds = {"shape": "R103", "unread": "R104", "text": "R105", "twofold": "R106"}
    return {kinds[fault.kind] for fault in outcome.value.faults}


@pytest.mark.parametrize(
    ("before", "after"),
    [
        ("<title>", "<g/><title>"),
        ("<path ", '<path fill="red" '),
        ("</svg>", "words</svg>"),
        ("</svg>", "</svg"),
        ('xmlns="http://www.w3.org/2000/svg"', ""),
        ("mm", "cm"),
        ('viewBox="0 0 ', 'viewBox="1 0 '),
        ("<svg ", "<!DOCTYPE svg><svg "),
        ("Z", "z"),
        ("L", "L1e3,"),
        ("L", "l"),
        ("M", "Mnan,1L"),
        (' x="', ' x="1 '),
        (' y="', ' y="1-'),
        (' font-size="', ' font-size="inf" rotate="'),
        ("<title>", "<title><title/>"),
    ],
)
def test_what_is_not_in_the_grammar_is_refused(svg: str, before: str, after: str) -> None:
    assert before in svg
    assert codes_in(svg.replace(before, after, 1)) == {"R101"}


def test_a_line_too_few_is_no_stave(svg: str) -> None:
    assert codes_in(re.sub(r'(<path d=")M[^Z]*Z', r"\1", svg, count=1)) == {"R102"}
    empty = '<svg xmlns="http://www.w3.org/2000/svg" width="9mm" height="9mm" viewBox="0 0 9 9"/>'
    assert codes_in(empty) == {"R102"}


def test_ink_that_is_no_sign_is_told(svg: str) -> None:
    assert codes_in(svg.replace('"/>\n<text', 'M9,9L9,10L12,10L12,9Z"/>\n<text', 1)) >= {"R103"}
    assert "R103" in codes_in(svg.replace('"/>\n<text', 'M9,9L9,10L12,11Z"/>\n<text', 1))


def test_texts_out_of_place_are_told(svg: str) -> None:
    assert ">123456789101112<" in svg
    assert codes_in(svg.replace(">123456789101112<", ">x23456789101112<")) >= {"R105"}
    assert codes_in(svg.replace(">123456789101112<", ">\u266923456789101112<")) >= {"R105"}
    stray = '<text x="20" y="14" font-family="Crimson Text, serif" font-size="3">word</text></svg>'
    assert codes_in(svg.replace("</svg>", stray)) == {"R105"}


def test_signs_that_are_no_position_are_told(svg: str) -> None:
    """A count that is not there leaves its signs to its neighbours."""
    short = re.sub(r'<text x="([^" ]+ )[^"]*" (y="[^"]*" [^>]*)>123456789101112<', _one_count, svg)
    assert codes_in(short) >= {"R104"}


def _one_count(match: re.Match[str]) -> str:
    return f'<text x="{match[1].strip()}" {match[2]}>1<'


def test_the_proof_finds_what_was_not_drawn() -> None:
    score = small_score(EVERY_SIGN)
    page = engraved(score)
    other = small_score(EVERY_SIGN.replace('bend="full"', 'bend="half"').replace("fourth", "fifth"))
    told = [
        fault
        for system, written in zip(page.systems, written_lines(engraved(other), other), strict=True)
        for fault in prove(draw(system, FACES), written, KEY, FACES)
    ]
    assert {fault.code for fault in told} == {"R201"}
    assert {fault.span.line for fault in told if fault.span} == {4, 7}


def test_the_proof_finds_words_bars_and_counts_that_differ() -> None:
    score = small_score(EVERY_SIGN.replace('at="3"', 'at="3" step="plié"'))
    page = engraved(score)
    for changed_score in (
        small_score(EVERY_SIGN),
        small_score(EVERY_SIGN.replace('at="3"', 'at="3" step="tendu"')),
        small_score(EVERY_SIGN.replace('at="4"', 'at="4" step="plié"')),
    ):
        assert found_in(page.systems, changed_score) == {"R201"}
    longer = EVERY_SIGN.replace('<frame at="5">', '<frame at="4 and"/><frame at="5">')
    assert found_in(page.systems, small_score(longer)) == {"R201"}
    threes = '<music metre="3/4" counts-per-bar="3"/>'
    (wide,) = engraved(small_score(EVERY_SIGN), 300.0).systems
    one = written_lines(engraved(small_score(EVERY_SIGN, threes), 300.0), small_score(EVERY_SIGN))
    assert {fault.code for fault in prove(draw(wide, FACES), one[0], KEY, FACES)} == {"R201"}


def found_in(systems: tuple[Any, ...], score: Score) -> set[str]:
    lines = written_lines(engraved(score), score)
    return {
        fault.code
        for system, written in zip(systems, lines, strict=False)
        for fault in prove(draw(system, FACES), written, KEY, FACES)
    }
