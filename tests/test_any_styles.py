"""Houses at random: within the bounds of their numbers all is engraved and proved, or refused."""

from __future__ import annotations

from pathlib import Path
from random import Random

import pytest

from stavebound.build.checking import check_files
from stavebound.build.values import open_house
from stavebound.check.books import check_style
from stavebound.dance.printed import Printed
from stavebound.engrave.engraving import engrave
from stavebound.plan.book import StyleSheet
from stavebound.score.model import Score
from stavebound.source.rules import NAMESPACE
from tests.support.any_styles import any_distances
from tests.support.engraved_cases import printed_in
from tests.support.laws import LAWS, a_second_engraving_is_the_same
from tests.support.readers import faults_in
from tests.support.staves import CATALOGUE, MEASURE, View, setting_of, style_of

# Texts of every lane, marks of repeats, and what stands above the counts and below the stave.
CASES = ("cues-and-long-names", "repeats-and-endings", "qualities-and-tempi", "facing-and-turns")


def house(inside: str) -> StyleSheet:
    return style_of(f'<style xmlns="{NAMESPACE}">{inside}</style>')


def holds(printed: Printed, score: Score, style: StyleSheet) -> None:
    """What is engraved in the style reads back and obeys the laws; what cannot be is told."""
    setting = setting_of(style)
    outcome = engrave(printed, MEASURE, setting)
    assert {fault.code for fault in outcome.diagnostics} <= {"E401", "E402"}
    assert all(fault.span for fault in outcome.diagnostics)
    if outcome.diagnostics or outcome.value is None:
        return
    assert faults_in(outcome.value, score, setting, printed) == ()
    width = MEASURE / setting.style.space
    page = View(score, setting, width, outcome.value, outcome.value.bars, printed)
    for law in LAWS:
        if law is not a_second_engraving_is_the_same:
            law(page)


@pytest.mark.parametrize("seed", range(6))
def test_distances_at_random_within_their_bounds(seed: int) -> None:
    chance = Random(seed)
    height = f'<stave height="{chance.choice((7, 8, 9, 10, 14))}"/>'
    style = house(height + any_distances(chance, CATALOGUE))
    if not check_style(style, CATALOGUE):
        printed = printed_in(chance.choice(CASES))
        holds(printed, printed.score, style)


def test_every_distance_at_one_of_its_bounds() -> None:
    """At the other by chance, in the test before and in the storm."""
    for number, row in enumerate(CATALOGUE.engraving.distance):
        value = (row.least, row.greatest)[number % 2]
        inside = f'<distance of="{row.name}" spaces="{value:.3f}"/>'
        style = house(f'<stave height="14"/>{inside}')
        assert check_style(style, CATALOGUE) == ()
        printed = printed_in(CASES[number % len(CASES)])
        holds(printed, printed.score, style)


def test_a_picture_of_the_key_that_a_house_leaves_no_room_for_is_told_at_its_style(
    tmp_path: Path,
) -> None:
    """A long stroke has nowhere to go where little may be moved and much is to be white."""
    signs = '<sign of="front" size="1.5"/>'
    narrow = (("greatest shift", 0.21), ("line clearance", 0.12), ("sign clearance", 0.15))
    distances = "".join(f'<distance of="{name}" spaces="{by}"/>' for name, by in narrow)
    inside = f"{distances}\n{signs}"
    path = tmp_path / "style.xml"
    path.write_text(f'<style xmlns="{NAMESPACE}">{inside}</style>', encoding="utf-8")
    (fault,) = check_files([path], open_house()).diagnostics
    assert fault.code == "E412"
    assert fault.span
    assert fault.span.line == 2
    path.write_text(path.read_text("utf-8").replace(signs, ""), encoding="utf-8")
    assert check_files([path], open_house()).diagnostics == ()


def test_a_bound_is_not_passed() -> None:
    for row in CATALOGUE.engraving.distance:
        for beyond in (row.least - 0.01, row.greatest + 0.01):
            style = house(f'<distance of="{row.name}" spaces="{beyond:.3f}"/>')
            assert {fault.code for fault in check_style(style, CATALOGUE)} <= {"B508", "B517"}
            assert check_style(style, CATALOGUE)
