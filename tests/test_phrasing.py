"""Phrasing: bows over the counts, drawn clear of all else and read back whole."""

from __future__ import annotations

import pytest

from stavebound.engrave.parts import text_box
from stavebound.engrave.phrasing import bow
from stavebound.geometry import Box
from stavebound.proof.written import written_lines
from stavebound.readback.prove import prove
from stavebound.score.counts import phrased, time_line
from stavebound.score.model import Score
from stavebound.svg.staves import draw_staves
from tests.support.readers import KEY, faults_in, proved, read_lines, written
from tests.support.sources import score_of
from tests.support.staves import (
    CATALOGUE,
    FACES,
    SETTING,
    engraved,
    printed_of,
    small_score,
    styled,
)

START = '<start><feet in="first"/><arms in="bras bas"/></start>'


def score_phrased(*phrasings: tuple[str, str], frames: str = "") -> Score:
    """Two phrases of eight counts; the phrasings are said in the first."""
    said = "".join(f'<phrasing from="{a}" to="{b}"/>' for a, b in phrasings)
    moved = '<frame at="1"><arms in="first"/></frame>'
    return small_score(
        f'{START}<phrase counts="8">{said}{frames or moved}</phrase>'
        '<phrase counts="8"><frame at="8"><arms in="second"/></frame></phrase>'
    )


def spans(score: Score) -> list[tuple[float, float]]:
    return [(float(one.start), float(one.end)) for one in phrased(time_line(score))]


@pytest.mark.parametrize("width", [60.0, 90.0, 240.0])
def test_phrasings_are_read_back_however_the_lines_break(width: float) -> None:
    score = score_phrased(("1", "3"), ("3", "7"), ("8", "5"))
    page = engraved(score, width)
    assert faults_in(page, score, SETTING) == ()
    again = score_of(written(read_lines(page), "Read"))
    assert spans(again) == spans(score) == [(0.0, 2.0), (2.0, 6.0), (7.0, 12.0)]


def test_a_bow_that_is_broken_is_open_at_both_lines() -> None:
    page = engraved(score_phrased(("6", "3")), 60.0)
    ends = [bow.is_open for system in page.systems for bow in system.staves[0].phrasings]
    assert ends[0] == (False, True)
    assert ends[-1] == (True, False)


def test_a_bow_is_thick_in_its_middle_and_fine_at_its_ends() -> None:
    (system,) = engraved(score_phrased(("1", "4")), 400.0).systems
    ((bow,),) = [stave.phrasings for stave in system.staves]
    over, under = bow.figures[0].points[:4], bow.figures[0].points[9:5:-1]
    thick = [a.y - b.y for a, b in zip(over, under, strict=True)]
    assert thick[0] == pytest.approx(thick[3])
    assert thick[1] > 3 * thick[0]


@pytest.mark.parametrize("lane", ["5.10", "6.30", "7.50"])
def test_a_bow_is_clear_of_counts_accents_pauses_and_words(lane: str) -> None:
    """Wherever a house has its counts, all that stands above them goes with them."""
    frames = (
        '<frame at="1" quality="softly"><accent/><cue>the melody</cue></frame>'
        '<frame at="4"><accent/><pause/><tempo counts="72">broader</tempo></frame>'
    )
    score = score_phrased(("1", "8"), frames=frames)
    setting = styled(f'<distance of="counts lane" spaces="{lane}"/>')
    page = engraved(score, 400.0, setting)
    assert faults_in(page, score, setting) == ()
    (system,) = page.systems
    stave = system.staves[0]
    (bow,) = stave.phrasings
    texts = [(text.lane, text_box(text, SETTING)) for text in system.texts]
    counts = max(box.top for lane, box in texts if lane == "counts")
    words = min(box.bottom for lane, box in texts if lane in ("cue", "quality", "tempo"))
    above = [sign.box for sign in stave.signs if sign.sign in ("accent", "pause")]
    assert min(box.bottom for box in above) > counts
    assert bow.box.bottom > counts
    assert words > bow.box.top
    assert words > max(box.top for box in above)
    first = next(box for box in above if box.left < bow.box.left)
    assert bow.ends[0][1] > first.top


def test_a_bow_stands_no_higher_than_what_is_under_it_asks() -> None:
    """Over something high in its middle, and over the same at a quarter of its way."""
    row = CATALOGUE.lanes.phrasing
    run = min(row.shoulder * 10.0, row.run)
    weights = [(3 * t * (1 - t) ** 2, 3 * t**2 * (1 - t), t**3) for t in (0.5, 0.2)]
    for one, other, end in weights:
        at, share = one * run + other * (10.0 - run) + end * 10.0, (one + other) / 0.75
        high = Box(at, 0.0, at, 8.0)
        drawn = bow(0.0, 10.0, (False, False), [high], row)
        rise = row.least + row.growth * 10.0
        assert drawn.ends[0][1] == pytest.approx(8.0 + row.white - rise * share)
        assert rise < row.greatest


def test_a_bow_that_says_something_else_is_found() -> None:
    score, other = score_phrased(("1", "4")), score_phrased(("1", "5"))
    page = engraved(score, 400.0)
    (written,) = written_lines(engraved(other, 400.0), printed_of(other))
    (fault, missing) = prove(draw_staves(page.systems[0], FACES), written, KEY, FACES)
    assert fault.message == "the ink says none, and the source a phrasing from 1 to 5"
    assert missing.message == "the ink says a phrasing from 1 to 4, and the source none"
    (plain,) = written_lines(engraved(score_phrased(), 400.0), printed_of(score_phrased()))
    (stray,) = prove(draw_staves(page.systems[0], FACES), plain, KEY, FACES)
    assert stray.message == "the ink says a phrasing from 1 to 4, and the source none"


def test_a_bow_that_ends_between_counts_is_no_phrasing() -> None:
    page = engraved(score_phrased(("1", "4")), 400.0)
    svg = draw_staves(page.systems[0], FACES)
    drawn = next(part for part in svg.split("Z") if part.count("C") == 4)
    start = drawn[drawn.rindex("M") + 1 :].split("C")[0]
    x = start.split(",")[0]
    broken = svg.replace(drawn, drawn.replace(f"{x},", f"{float(x) + 1:.3f},"))
    assert broken != svg
    score = score_phrased(("1", "4"))
    (written,) = written_lines(page, printed_of(score))
    faults = prove(broken, written, KEY, FACES)
    assert {fault.code for fault in faults} <= {"R103", "R104"}
    assert faults


def test_phrasings_of_a_sound_score_are_proved_with_all_else() -> None:
    assert proved(score_phrased(("1", "2"), ("2", "8"))) == ()


def test_what_is_danced_again_has_its_phrasings() -> None:
    """To the other side, with a line laid over, with another end; taken out as bars, whole ones."""
    frame, closed = '<frame at="1"/>', '<frame at="4"><feet in="first"/></frame>'
    foot = '<frame at="1"><foot side="working" to="side" place="pointed"/></frame>'
    score = small_score(
        f'{START}<phrase counts="4" working="right"><phrasing from="1" to="3"/>'
        f'<phrasing from="4" to="1"/>{foot}<over><frame at="3"><arms in="first"/></frame></over>'
        f'</phrase><again working="left"><last from="2">{closed}</last></again>'
        f'<phrase counts="2">{frame}</phrase><as bars="2"/><phrase counts="2">{frame}</phrase>'
    )
    assert spans(score) == [(0, 2), (3, 4), (4, 6), (7, 8), (10, 12), (13, 14)]


def test_a_bow_may_begin_before_the_first_frame() -> None:
    """The counts of an upbeat before its first frame are not printed, unless a bow is over them."""
    frame = '<frame at="4"><feet in="second"/></frame>'
    said = '<phrasing from="2" to="4"/>'
    for phrasing, first in ((said, "2"), ("", "4")):
        upbeat = f'<upbeat counts="3">{phrasing}{frame}</upbeat>'
        score = small_score(f'{START}{upbeat}<phrase counts="4"><frame at="1"/></phrase>')
        page = engraved(score)
        assert faults_in(page, score, SETTING) == ()
        assert next(frame.count for frame in read_lines(page)[0].frames if frame.count) == first
