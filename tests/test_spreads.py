"""Exercises made up into pages: the laws of openings, over made-up exercises and the class."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import replace
from itertools import chain, pairwise

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from stavebound.book.blocks import LEFT, RIGHT, Block, PlannedExercise, PlannedPage, Spreads
from stavebound.book.spreads import plan_chapter
from tests.support.staves import SYLLABUS

SETTING = Spreads(37, 13.0, 4.0, SYLLABUS.costs, SYLLABUS.measures)
FACING = replace(SETTING, facing=True)
LAWS = ("list over the turn", "single staves", "few lines", "empty page")
LAWS_OF_FACING = (*LAWS, "few words")


def words(lines: int, before: float = 0.0, group: int = 0) -> Block:
    return Block(lines * SETTING.leading, before * SETTING.leading, group=group)


def planned(
    chapter: Sequence[Sequence[Block]], first: int, setting: Spreads
) -> tuple[PlannedExercise, ...]:
    """Exercises that were laid out in one form."""
    return plan_chapter([[blocks] for blocks in chapter], first, setting)


def staves(height: float) -> Block:
    return Block(height, staves=True)


@st.composite
def exercises(draw: st.DrawFn) -> tuple[Block, ...]:
    """A title and words, systems, then words and lists."""
    title = replace(words(2), kept=True)
    opening = draw(st.lists(st.integers(1, 6), min_size=1, max_size=3))
    systems = draw(st.lists(st.floats(70, 135), min_size=0, max_size=6))
    lists = draw(st.lists(st.lists(st.integers(1, 3), min_size=1, max_size=4), max_size=3))
    blocks = [title, *(words(lines, 0.5) for lines in opening), *map(staves, systems)]
    for group, entries in enumerate(lists, 1):
        blocks += (words(n, 0.0 if at else 0.5, group) for at, n in enumerate(entries))
    return tuple(blocks)


CHAPTERS = st.lists(exercises(), min_size=1, max_size=5)
SETTINGS = st.sampled_from((SETTING, FACING))


def in_order(blocks: Sequence[Block], plan: PlannedExercise) -> tuple[Block, ...]:
    return tuple(blocks[at] for at in plan.order) or tuple(blocks)


def sides(plans: Sequence[PlannedExercise], first: int) -> Iterator[tuple[int, PlannedPage]]:
    """Every page with its side."""
    at = first
    for plan in plans:
        at += plan.after_empty
        for page in plan.pages:
            yield at % 2, page
            at += 1


def broken(plans: Sequence[PlannedExercise], laws: Sequence[str] = LAWS) -> list[str]:
    costs = chain.from_iterable(page.costs for plan in plans for page in plan.pages)
    return [name for name, _ in costs if name in laws]


@given(CHAPTERS, st.integers(0, 1), SETTINGS)
@settings(max_examples=25)
def test_every_block_is_on_a_page_once_in_order_and_within_it(
    chapter: list[tuple[Block, ...]], first: int, setting: Spreads
) -> None:
    for exercise, plan in zip(chapter, planned(chapter, first, setting), strict=True):
        at, blocks = 0, in_order(exercise, plan)
        for kind in (True, False):
            alike = [block for block in blocks if block.staves == kind]
            assert alike == [block for block in exercise if block.staves == kind]
        for page in plan.pages:
            own = blocks[page.start : page.start + len(page.places)]
            assert page.start == at
            at += len(own)
            ends = [place + block.height for place, block in zip(page.places, own, strict=True)]
            assert all(
                end <= place + 0.01 for end, place in zip(ends, page.places[1:], strict=False)
            )
            assert ends[-1] <= SETTING.depth + 0.01
            _stand_on_half_lines(page, own)
            _are_parted(own, page.places)
        assert at == len(blocks)


def _stand_on_half_lines(page: PlannedPage, own: Sequence[Block]) -> None:
    """But where white between texts is taken away."""
    if dict(page.costs).get("set close", 0.0) > SETTING.costs["set close"]:
        return
    halves = [
        place / SETTING.half
        for place, block in zip(page.places, own, strict=True)
        if not block.staves
    ]
    assert all(abs(half - round(half)) < 0.01 for half in halves)


def _are_parted(own: Sequence[Block], places: Sequence[float]) -> None:
    """However close a page is set, a quarter of a line lies between groups of texts."""
    for (above, top), (block, place) in pairwise(zip(own, places, strict=True)):
        if block.before and not above.staves:
            assert place - top - above.height >= SETTING.leading / 4 - 0.01


@given(CHAPTERS, st.integers(0, 1), SETTINGS)
@settings(max_examples=25)
def test_two_pages_face_each_other_and_no_title_is_parted(
    chapter: list[tuple[Block, ...]], first: int, setting: Spreads
) -> None:
    plans = planned(chapter, first, setting)
    at = first
    for exercise, plan in zip(chapter, plans, strict=True):
        at += plan.after_empty
        blocks = in_order(exercise, plan)
        if len(plan.pages) == 2:
            assert at % 2 == LEFT
        at += len(plan.pages)
        assert not any(blocks[page.start - 1].kept for page in plan.pages if page.start)


@given(exercises(), st.integers(0, 1))
@settings(max_examples=40)
def test_no_plan_of_two_pages_that_keeps_to_the_laws_is_passed_over(
    blocks: tuple[Block, ...], first: int
) -> None:
    """Against every way to part an exercise in two: where one keeps to all laws, so does the
    plan, whatever it is."""
    (plan,) = planned([blocks], first, SETTING)
    if first == RIGHT:
        return
    half = [
        at
        for at in range(2, len(blocks))
        if _fits(blocks[:at]) and _fits(blocks[at:]) and not _alone(blocks[at:])
    ]
    if half or _fits(blocks):
        assert len(plan.pages) <= 2
        assert not broken([plan])


def _fits(blocks: Sequence[Block]) -> bool:
    """With the usual white."""
    height = sum(block.height for block in blocks)
    for above, block in pairwise(blocks):
        if above.staves and block.staves:
            height += SETTING.apart
        else:
            height += SETTING.leading if above.staves or block.staves else block.before
    return height + SETTING.leading <= SETTING.depth


def _alone(blocks: Sequence[Block]) -> bool:
    return blocks[0].staves and sum(block.staves for block in blocks) == 1 < len(blocks)


def test_what_fits_on_a_page_is_one_page() -> None:
    short = (words(2), words(5), staves(80), staves(80), words(8, 0.5))
    (plan,) = planned([short], LEFT, SETTING)
    assert len(plan.pages) == 1


def test_short_exercises_leave_no_empty_page_before_a_long_one() -> None:
    short = (words(2), words(5), staves(80), staves(80), words(8, 0.5))
    long = (*short[:2], *(staves(100) for _ in range(4)), words(9), words(9, 0.5))
    plans = planned([short, long, long], LEFT, SETTING)
    assert [len(plan.pages) for plan in plans] == [2, 2, 2]
    assert not broken(plans)
    plans = planned([short, short, long], LEFT, SETTING)
    assert [len(plan.pages) for plan in plans] == [1, 1, 2]


def test_a_system_does_not_stand_alone_over_text_on_the_right() -> None:
    blocks = (words(2), words(8), *(staves(100) for _ in range(3)), words(12, 0.5))
    (plan,) = planned([blocks], LEFT, SETTING)
    _left, right = plan.pages
    assert not _alone(blocks[right.start :])
    assert not broken([plan])


def test_white_is_shared_between_the_staves_of_both_pages_alike() -> None:
    blocks = (words(2), words(5), *(staves(100) for _ in range(4)), words(9, 0.5))
    (plan,) = planned([blocks], LEFT, SETTING)
    gaps = {
        round(below - above, 2)
        for page in plan.pages
        for (above, one), (below, other) in pairwise(
            zip(page.places, blocks[page.start :], strict=False)
        )
        if one.staves and other.staves
    }
    assert len(gaps) == 1
    assert min(gaps) > 100 + SETTING.apart


@given(CHAPTERS)
@settings(max_examples=25)
def test_words_that_face_their_staves_fill_half_a_page_and_part_no_score(
    chapter: list[tuple[Block, ...]],
) -> None:
    for blocks, plan in zip(chapter, planned(chapter, LEFT, FACING), strict=True):
        if not plan.order:
            continue
        left, right = plan.pages
        own = in_order(blocks, plan)
        assert not any(block.staves for block in own[: right.start])
        assert own[right.start].staves
        assert right.places[0] == 0
        if left.end < SETTING.depth / 2:
            assert "few words" in broken([plan], LAWS_OF_FACING)


def test_words_stand_on_the_left_and_all_staves_share_the_right_page() -> None:
    blocks = (words(2), words(12), *(staves(100) for _ in range(4)), words(9), words(8, 0.5))
    (flowing,) = planned([blocks], LEFT, SETTING)
    (plan,) = planned([blocks], LEFT, FACING)
    assert not flowing.order
    assert plan.order == (0, 1, 6, 7, 2, 3, 4, 5)
    left, right = plan.pages
    assert left.places[2] == 14.5 * SETTING.leading
    assert right.places[-1] + 100 == pytest.approx(SETTING.depth)
    assert len({round(below - above, 2) for above, below in pairwise(right.places)}) == 1


def test_systems_are_no_farther_apart_than_is_sensible() -> None:
    blocks = (words(2), words(12), *(staves(90) for _ in range(2)), words(19))
    (plan,) = planned([blocks], LEFT, FACING)
    apart = SETTING.apart + SETTING.measures["most shared"] * SETTING.half
    assert plan.order
    assert plan.pages[1].places == pytest.approx((0, 90 + apart))


def test_words_that_do_not_fit_on_the_left_stand_under_the_staves() -> None:
    blocks = (words(2), words(20), *(staves(90) for _ in range(3)), words(10), words(8, 0.5))
    (plan,) = planned([blocks], LEFT, FACING)
    assert plan.order == (0, 1, 5, 2, 3, 4, 6)
    assert len(plan.pages[1].places) == 4


def test_the_margin_column_stands_by_the_staves_that_face_their_words() -> None:
    blocks = (words(2), words(20), *(staves(110) for _ in range(4)), *map(beside, (9, 9)))
    (plan,) = planned([blocks], LEFT, FACING)
    assert plan.order
    assert [len(page.beside) for page in plan.pages] == [0, 2]


def test_a_list_goes_on_overleaf_where_nothing_else_can_be_done() -> None:
    entries = tuple(words(3, group=1) for _ in range(30))
    (plan,) = planned([(words(2), *entries)], LEFT, SETTING)
    assert "list over the turn" in broken([plan])


def beside(lines: int) -> Block:
    return replace(words(lines), beside=True)


def test_the_margin_column_begins_beside_the_first_staves_of_its_page() -> None:
    blocks = (words(2), words(5), staves(100), staves(100), words(4, 0.5), *map(beside, (6, 5)))
    (plan,) = planned([blocks], LEFT, SETTING)
    (page,) = plan.pages
    assert page.beside == (page.places[2], page.places[2] + 6 * SETTING.leading)


def test_a_margin_column_that_is_too_long_goes_on_beside_the_next_page() -> None:
    long = (words(2), words(9), *(staves(120) for _ in range(4)), words(9), *map(beside, [9] * 5))
    (plan,) = planned([long], LEFT, SETTING)
    assert len(plan.pages) == 2
    assert sum(len(page.beside) for page in plan.pages) == 5
    assert all(
        place + 9 * SETTING.leading <= SETTING.depth for page in plan.pages for place in page.beside
    )


def test_a_title_that_fits_on_no_page_with_what_it_is_over_is_parted_from_it() -> None:
    blocks = (replace(words(2), kept=True), words(37))
    (plan,) = planned([blocks], LEFT, SETTING)
    assert [len(page.places) for page in plan.pages] == [1, 1]


def test_the_form_of_an_exercise_that_costs_least_is_taken() -> None:
    """With a margin column one page is enough; before a long exercise, which has to open on the
    left, it takes two pages, whose words stand on the left one and its staves on the right."""
    score = tuple(staves(90) for _ in range(3))
    column = (words(2), words(6), *score, beside(12))
    plain = (words(2), words(6), *score, words(12))
    long = (words(2), words(20), *(staves(90) for _ in range(5)), words(5))
    (alone,) = plan_chapter([(column, plain)], LEFT, FACING)
    assert (alone.form, len(alone.pages)) == (0, 1)
    short, _ = plan_chapter([(column, plain), (long,)], LEFT, FACING)
    assert (short.form, len(short.pages)) == (1, 2)
    assert short.order


def test_a_list_is_not_parted_round_the_staves() -> None:
    """All of it stands under them where it does not fit on the page of the words."""
    before = (words(2), *(words(5, 0.5) for _ in range(3)))
    lists = (*(words(3, 0.0, 1) for _ in range(3)), *(words(3, 0.0, 2) for _ in range(4)))
    blocks = (*before, *(staves(90) for _ in range(3)), *lists)
    (plan,) = planned([blocks], LEFT, FACING)
    assert [len(page.places) for page in plan.pages] == [7, 7]
    assert "list round staves" not in {name for page in plan.pages for name, _ in page.costs}


def test_staves_stand_on_the_right_and_words_on_the_left() -> None:
    """Rather than staves with words on the left, and more words on the right."""
    blocks = (words(2), words(12), *(staves(85) for _ in range(3)), *(words(3) for _ in range(8)))
    (plan,) = planned([blocks], LEFT, FACING)
    left, right = plan.pages
    assert not any(block.staves for block in in_order(blocks, plan)[: right.start])
    assert left.end > right.end / 2


def test_the_margin_column_is_used_rather_than_left_empty() -> None:
    """Though the page would be fuller with all words under the staves."""
    own = (words(2), words(6, 0.5), staves(100), staves(100))
    aside = (*own, replace(words(9), beside=True))
    (plan,) = plan_chapter([[aside, (*own, words(7, 0.5))]], LEFT, SETTING)
    assert plan.form == 0
