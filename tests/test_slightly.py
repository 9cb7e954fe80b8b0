"""Slightly otherwise: a hand near a shape is danced, unfolded and read back by its numbers."""

from __future__ import annotations

from pathlib import Path

import pytest

from stavebound.build.unfolding import unfold_file
from stavebound.dance.danced import dance
from stavebound.dance.pose import HandPose
from stavebound.score.model import Depth, Side
from stavebound.trade.naming import hand_row
from stavebound.trade.tables import HandShape
from tests.support.sources import score_of, whole
from tests.support.staves import CATALOGUE, school_of

SIDE = hand_row(CATALOGUE, "side")
BY = {row.word: row.by for row in CATALOGUE.shapes.slightly}


def hand(written: str, side: Side = Side.RIGHT) -> HandPose:
    score = score_of(whole(written))
    pose = dance(score, CATALOGUE, school_of(score)).moments[-1].after.hands.of(side)
    assert pose is not None
    return pose


@pytest.mark.parametrize(
    ("words", "moved"),
    [
        ("lower", {"height": "lower"}),
        ("nearer", {"out": "nearer"}),
        ("more forward", {"forward": "more forward"}),
        ("lower, more forward", {"height": "lower", "forward": "more forward"}),
    ],
)
def test_each_number_is_moved_as_the_table_says(words: str, moved: dict[str, str]) -> None:
    assert SIDE is not None
    pose = hand(f'<hand side="right" in="second" slightly="{words}"/>')
    for name in ("height", "out", "forward"):
        by = BY[moved[name]] if name in moved else 0.0
        assert getattr(pose, name) == pytest.approx(getattr(SIDE, name) + by)
    assert pose.shape is None
    assert (pose.depth is Depth.FRONT) is ("forward" in moved)


def test_both_arms_are_as_each_hand_is_and_a_hand_by_itself_stays() -> None:
    for side in Side:
        lower = hand(f'<hand side="{side}" in="second" slightly="lower"/>', side)
        assert hand('<arms in="second" slightly="lower"/>', side) == lower
    both = '<arms in="second" slightly="lower"/><hand side="left" in="first"/>'
    assert hand(both, Side.LEFT) == hand('<hand side="left" in="first"/>', Side.LEFT)


def test_the_arm_that_leads_has_the_first_shape() -> None:
    third = '<arms in="third" lead="left" slightly="lower"/>'
    for side, name in ((Side.LEFT, "first"), (Side.RIGHT, "second")):
        assert hand(third, side) == hand(
            f'<hand side="{side}" in="{name}" slightly="lower"/>', side
        )


def test_it_is_unfolded_to_numbers(tmp_path: Path) -> None:
    path = tmp_path / "score.xml"
    path.write_text(whole('<arms in="second" slightly="lower"/>'), encoding="utf-8")
    report, text = unfold_file(path, CATALOGUE)
    assert not report.failed
    assert '<hand side="left" height="waist+0.45" out="0.50" depth="level" forward="0.07"/>' in (
        text or ""
    )


def test_every_word_goes_further_than_a_hand_may_stray() -> None:
    strays = CATALOGUE.shapes.tolerance
    across = strays.across / CATALOGUE.ruling.across.hand.slope
    least = {"height": strays.height, "out": across, "forward": strays.forward}
    assert all(abs(row.by) > least[row.moves] for row in CATALOGUE.shapes.slightly)


@pytest.mark.parametrize("word", BY)
def test_every_word_of_the_table_is_one_of_the_dialect(word: str) -> None:
    assert hand(f'<hand side="right" in="front rounded" slightly="{word}"/>').shape is None


@pytest.mark.parametrize("shape", [row for row in CATALOGUE.shapes.hand if row.depth == "level"])
def test_a_level_hand_that_goes_forward_or_back_is_no_longer_level(shape: HandShape) -> None:
    for words, depth in (("more forward", Depth.FRONT), ("further back", Depth.BEHIND)):
        assert hand(f'<hand side="right" in="{shape.name}" slightly="{words}"/>').depth is depth
