"""Likeness of signs: smooth, and a verdict that an eye would give."""

from __future__ import annotations

from itertools import pairwise

import pytest

from stavebound.check.books import check_style
from stavebound.check.likeness import unlike
from stavebound.plan.house_signs import Shaping, shaped
from stavebound.source.rules import NAMESPACE
from stavebound.trade.tables import Sign
from tests.support.staves import CATALOGUE, style_of

# The usual range of a house, a hundredth from one to the next.
USUAL = [hundredths / 100 for hundredths in range(85, 131)]
# How much a hundredth of size or weight can change: 1 is what keeps two signs apart.
STEP = 0.16


def sign(name: str, size: float = 1.0, weight: float = 1.0) -> Sign:
    return shaped(CATALOGUE.signs[name], Shaping(size, weight))


def alike(inside: str) -> bool:
    style = style_of(f'<style xmlns="{NAMESPACE}"><stave height="12"/>{inside}</style>')
    return "E406" in {fault.code for fault in check_style(style, CATALOGUE)}


@pytest.mark.parametrize(
    ("one", "other"),
    [
        ("front", "bow front"),
        ("behind", "bow behind"),
        ("hook", "bend 1"),
        ("weight", "bow behind"),
    ],
)
def test_a_small_change_makes_a_small_difference(one: str, other: str) -> None:
    for sizes in ([(size, 1.0) for size in USUAL], [(1.0, weight) for weight in USUAL]):
        # From 1 on, nothing is told of two drawings but that they are not alike.
        apart = [min(1.0, unlike(sign(one, *each), sign(other))) for each in sizes]
        assert max(abs(a - b) for a, b in pairwise(apart)) < STEP


def test_a_dot_that_grows_past_another_is_refused_from_one_size_to_one_size() -> None:
    """The verdict changes once on the way there and once on the way back."""
    sizes = [hundredths / 100 for hundredths in range(70, 181)]
    verdicts = [unlike(sign("bow behind", size), sign("behind")) < 1 for size in sizes]
    assert sum(a != b for a, b in pairwise(verdicts)) == 2
    refused = [size for size, near in zip(sizes, verdicts, strict=True) if near]
    # Of one size with the other where it is a quarter larger.
    assert min(refused) < 1.25 < max(refused)
    assert max(refused) / min(refused) < 1.5


def test_whoever_draws_all_signs_alike_tells_them_apart_as_usual() -> None:
    for size, weight in ((1.03, 0.93), (0.85, 1.3), (1.3, 0.85)):
        assert not alike(f'<signs size="{size}" weight="{weight}"/>')
    assert not alike('<sign of="front" size="1.03" weight="0.93"/>')


@pytest.mark.parametrize(
    ("one", "other"),
    [
        ("front", "half bend front"),
        ("straight again", "facing front right"),
        ("full bend front", "travel by the stage front"),
        ("half bend", "half bend front"),
    ],
)
def test_what_differs_in_form_is_told_apart_in_any_size(one: str, other: str) -> None:
    usual = (0.85, 1.0, 1.15, 1.3)
    for size in usual:
        for weight in usual:
            assert unlike(sign(one, size, 1.0), sign(other, 1.0, weight)) >= 1


def test_a_larger_dot_and_a_turned_hook_are_what_they_are() -> None:
    hook = CATALOGUE.signs["hook"]
    turned = hook.model_copy(
        update={"curves": ((-0.12, 0.24, -0.37, 0.24, -0.37, -0.24, -0.12, -0.24, 0.085),)}
    )
    assert unlike(hook, turned) == pytest.approx(0, abs=1e-9)
    assert unlike(sign("behind"), sign("behind", 1.02)) < 0.5
