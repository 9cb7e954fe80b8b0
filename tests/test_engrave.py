"""Engraving: cases with references, laws that hold of every score, and faults at their line.

The comment of a case says what its reference must show.
"""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import pytest

from stavebound.diagnostics import has_errors
from stavebound.engrave.engraving import too_high
from tests.support.described import costs, grid, picture, places
from tests.support.engraved_cases import CASES, FOLDER, STYLE, page_of, score_in
from tests.support.laws import LAWS, order_of_heights_stays
from tests.support.references import orphans, reference
from tests.support.sources import faults_of
from tests.support.staves import (
    CATALOGUE,
    MEASURE,
    View,
    engraved,
    least_width,
    outcome_of,
    printed_of,
    small_score,
    styled,
    view,
)

REFERENCES = Path(__file__).parent / "references"
Law = Callable[[View], None]


@pytest.mark.parametrize("case", CASES)
def test_case_is_sound_and_says_what_it_shows(case: str) -> None:
    assert not has_errors(faults_of(score_in(case), {}, CATALOGUE))
    _, comment, _ = (FOLDER / f"{case}.xml").read_text(encoding="utf-8").split("--", 2)
    assert comment.split()[0].istitle()
    assert comment.rstrip().endswith(".")


@pytest.mark.parametrize("case", CASES)
def test_places_are_as_in_the_reference(case: str, update_references: bool) -> None:
    reference(FOLDER / f"{case}.txt", places(page_of(case, False)), update_references)


@pytest.mark.parametrize("case", CASES)
def test_a_case_looks_as_in_its_picture(case: str, update_references: bool) -> None:
    reference(FOLDER / f"{case}.svg", picture(page_of(case, False)), update_references)


@pytest.mark.parametrize("told", [grid, costs])
def test_what_one_distance_or_cost_changes_stands_in_one_file(
    told: Callable[[View], str], update_references: bool
) -> None:
    """Of all cases."""
    text = "\n".join(f"{case}\n{told(page_of(case, False))}" for case in CASES)
    reference(REFERENCES / f"{told.__name__}.txt", text, update_references)


def test_no_reference_and_no_style_is_orphaned() -> None:
    for ending in ("txt", "svg"):
        wanted = [FOLDER / f"{case}.{ending}" for case in CASES]
        assert orphans(FOLDER, f"*.{ending}", wanted) == []
    assert orphans(FOLDER, f"*{STYLE}", [FOLDER / f"{case}{STYLE}" for case in CASES]) == []


@pytest.mark.parametrize("law", LAWS, ids=lambda law: law.__name__)
@pytest.mark.parametrize("case", CASES)
def test_law_holds_at_the_page_and_the_narrowest_width(case: str, law: Law) -> None:
    law(page_of(case, False))
    law(page_of(case, True))


def test_a_hand_just_under_a_foot_stays_under_it() -> None:
    """Nearer to each other than the lines leave room for, and moved by a line both of them."""
    frame = '<arms in="low and open in front"/><foot side="right" to="front" raised="90"/>'
    start = '<start><feet in="first"/><arms in="side"/></start>'
    score = small_score(f'{start}<phrase counts="1"><frame at="1">{frame}</frame></phrase>')
    page = view(score, MEASURE, styled('<stave height="7"/>'))
    moved = {sign.subjects[0].kind for sign in page.result.systems[0].staves[0].signs if sign.dy}
    assert moved == {"foot", "hand"}
    order_of_heights_stays(page)


CROWDED = """<start><feet in="first"/><arms in="side"/></start>
<phrase counts="4">
<frame at="1">
  <foot side="right" to="side" place="knee"/>
  <hand side="right" height="knee" out="0.02" depth="front"/>
</frame>
</phrase>"""


def test_a_sign_that_cannot_be_placed_is_told_at_its_line() -> None:
    score = small_score(CROWDED)
    (fault,) = outcome_of(score).diagnostics
    assert fault.code == "E401"
    assert "the right hand" in fault.message
    assert "the right foot" in fault.message
    assert fault.span is not None
    assert (fault.span.line, fault.span.column) == (6, 4)
    ((other, what),) = fault.related
    assert other.line == 5
    assert what == "the sign of the right foot"
    assert fault.hints == ("Write one of them in another frame, or place the hand further away.",)
    assert fault.hints


WIDE = """<start><feet in="first"/><arms in="side"/></start>
<phrase counts="8">
<frame at="1"><knees bend="half"/></frame>
<frame at="5"><knees bend="none"/></frame>
<frame at="6" step="dégagé"><feet in="second"/></frame>
<frame at="6 and"><arms in="front rounded"/></frame>
<frame at="7"><knees bend="half"/></frame>
<frame at="7 and"><arms in="side"/></frame>
<frame at="8"><knees bend="none"/></frame>
<frame at="8 and"><arms in="low rounded"/></frame>
</phrase>"""


def test_a_bar_that_is_wider_than_the_page_is_told_at_its_first_frame() -> None:
    score = small_score(WIDE, '<music metre="4/4" counts-per-bar="4"/>')
    narrow = least_width(score)
    assert outcome_of(score, narrow + 0.001).diagnostics == ()
    (fault,) = outcome_of(score, narrow - 0.001).diagnostics
    assert fault.code == "E402"
    assert fault.message.startswith("bar 2 is wider than the page")
    assert fault.span is not None
    assert (fault.span.line, fault.span.column) == (5, 2)


def test_a_text_that_no_line_can_hold_is_told_at_its_attribute() -> None:
    score = small_score(WIDE.replace("dégagé", "dégagé en cloche, " * 8))
    (fault,) = outcome_of(score).diagnostics
    assert fault.code == "E402"
    assert "step name" in fault.message
    assert fault.span is not None
    assert (fault.span.line, fault.span.column) == (6, len('<frame at="6" step="') + 1)


def test_a_text_that_makes_its_line_higher_than_the_page_is_told() -> None:
    cue = "<cue>In the distance a horn is heard twice.</cue>"
    score = small_score(WIDE.replace('<feet in="second"/>', cue))
    page = engraved(score)
    heights = sorted(system.box.height * system.space for system in page.systems)
    printed = printed_of(score)
    assert not tuple(too_high(page, printed, heights[-1]))
    (fault,) = too_high(page, printed, heights[-1] - 0.001)
    assert fault.code == "E414"
    assert fault.message.startswith("this cue makes its line higher than the page")
    assert fault.span is not None
    assert (fault.span.line, fault.span.column) == (6, 2)


def test_the_remedy_for_crowded_signs_speaks_of_a_hand_where_one_is() -> None:
    """Each sign in the way is told by its name."""
    score = small_score(
        '<start><feet in="first"/><arms in="bras bas"/></start><phrase counts="4"><frame at="1">'
        '<feet in="fifth" front="right" on="point"/>'
        '<hand side="right" height="waist+0.4" out="-0.10" depth="front"/>'
        '<hand side="left" height="waist+0.4" out="-0.10" depth="front"/>'
        '<elbow side="right" bend="full"/><elbow side="left" bend="full"/>'
        '<body bend="front 3" tilt="right 3" turn="left 2"/></frame></phrase>'
    )
    of_hand, of_body = outcome_of(score).diagnostics
    assert of_hand.hints == ("Write one of them in another frame, or place the hand further away.",)
    assert of_body.hints == ("Write one of them in another frame.",)
    assert len({what for _, what in of_body.related}) == len(of_body.related)


def test_every_fault_of_a_score_is_told_in_one_run() -> None:
    frame = CROWDED.partition('<frame at="1">')[2].partition("</frame>")[0]
    again = f'<frame at="2"><feet in="first"/></frame><frame at="3">{frame}</frame></phrase>'
    score = small_score(CROWDED.replace("</phrase>", again))
    faults = outcome_of(score).diagnostics
    assert [fault.code for fault in faults] == ["E401", "E401"]
