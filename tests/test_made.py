"""What is random is the same in every run, and a test that can use little of it fails."""

from __future__ import annotations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from stavebound.score.model import Score
from tests.support.made import tallied, usable
from tests.support.strategies import scores


def test_random_scores_are_the_same_in_every_run() -> None:
    def drawn() -> list[Score]:
        found: list[Score] = []

        @settings(max_examples=5, database=None)
        @given(scores())
        def keep(score: Score) -> None:
            found.append(score)

        keep()
        return found

    assert drawn() == drawn()


def test_a_test_that_uses_too_few_fails_and_says_why() -> None:
    said = "5 of 9 examples used, at least 60% wanted: 1 E401, 3 E401 E402"
    with pytest.raises(pytest.fail.Exception, match=f"^{said}$"):
        using(5, ["E401 E402", "E401", "E401 E402", "E401 E402"])


def test_a_test_that_uses_enough_passes() -> None:
    using(6, ["E401", "E401", "E402", "E402"])


def using(many: int, why: list[str]) -> None:
    with tallied() as tally:
        tally.used = many
        tally.why.update(why)


def test_a_failure_is_not_hidden_by_the_count() -> None:
    with pytest.raises(ZeroDivisionError), tallied() as tally:
        tally.why["E401"] = 1 // tally.used


def test_an_example_that_cannot_be_used_is_left_and_another_tried() -> None:
    seen: list[int] = []

    @settings(max_examples=20, database=None)
    @given(st.integers(0, 9))
    def no_threes(number: int) -> None:
        usable(["three"] if number % 3 == 0 else [])
        seen.append(number)

    with tallied() as tally:
        no_threes()
    assert tally.used == len(seen)
    assert tally.why["three"] > 0
    assert all(number % 3 for number in seen)
