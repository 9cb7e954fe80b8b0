"""Room and lines: gaps that give and stretch, lines cast off, costs that can be printed."""

from __future__ import annotations

from dataclasses import replace
from fractions import Fraction
from itertools import pairwise
from math import inf, log

import pytest
from hypothesis import given
from hypothesis import strategies as st

from stavebound.engrave.barlines import BarLine, line_width
from stavebound.engrave.cast import cast_off
from stavebound.engrave.cost import Line, cast_lines, pair_costs
from stavebound.engrave.even import Stretch, evened
from stavebound.engrave.gaps import Gap, LineGaps
from stavebound.engrave.parts import Setting
from stavebound.engrave.space import time_width
from stavebound.engrave.system import PlacedText
from stavebound.geometry import union
from stavebound.score.model import Score
from tests.support.ink import bar_lines, glyph_boxes, stave_lines, texts_in
from tests.support.staves import (
    CATALOGUE,
    MEASURE,
    SETTING,
    bars_of,
    engraved,
    least_width,
    outcome_of,
    small_score,
    styled,
)

STYLE = SETTING.style
WALTZ = '<music metre="3/4" counts-per-bar="1"/>'
PLAIN = styled('<stave line-names="none"/>')

lengths = st.floats(0.5, 20)
gaps = st.builds(
    lambda least, more, stretch: Gap(least, least + more, stretch), lengths, lengths, lengths
)


def phrases(*counts: int, step: str = "") -> Score:
    """Phrases of so many counts, a frame on each, a bar a count."""
    frames = {
        most: "".join(
            f'<frame at="{count}"{step}><arms in="{("side", "first")[count % 2]}"/></frame>'
            for count in range(1, most + 1)
        )
        for most in counts
    }
    inside = "".join(f'<phrase counts="{most}">{frames[most]}</phrase>' for most in counts)
    return small_score(f'<start><feet in="first"/><arms in="bras bas"/></start>{inside}', WALTZ)


def without(setting: Setting, *names: str) -> Setting:
    """The same, where what is named costs nothing."""
    costs = {**setting.style.costs, **dict.fromkeys(names, 0.0)}
    return replace(setting, style=replace(setting.style, costs=costs))


# ---------------------------------------------------------------- room


@given(st.lists(gaps, min_size=1, max_size=8), st.floats(0.2, 3))
def test_a_run_set_to_its_ratio_fills_the_width(parts: list[Gap], share: float) -> None:
    run = LineGaps(tuple(parts))
    width = run.natural * share
    ratio = run.ratio(width)
    places = run.places(ratio)
    assert len(places) == len(parts)
    if ratio >= -1:
        assert places[-1] == pytest.approx(width)


@given(st.lists(gaps, min_size=1, max_size=8), st.floats(-1, 4), st.floats(-1, 4))
def test_gaps_grow_with_the_ratio_and_are_never_under_their_least(
    parts: list[Gap], a: float, b: float
) -> None:
    run = LineGaps(tuple(parts))
    tight, wide = (run.places(ratio) for ratio in sorted((a, b)))
    for gap, *ends in zip(parts, pairwise((0.0, *tight)), pairwise((0.0, *wide)), strict=True):
        narrow, broad = (after - before for before, after in ends)
        assert gap.least - 1e-9 <= narrow <= broad + 1e-9


@given(st.lists(gaps, min_size=2, max_size=8), st.floats(-1, 4), lengths)
def test_equal_times_take_equal_room_but_where_ink_asks_for_more(
    parts: list[Gap], ratio: float, stretch: float
) -> None:
    run = LineGaps(tuple([replace(gap, stretch=stretch) for gap in parts]))
    places = run.places(ratio)
    widths = [after - before for before, after in pairwise((0.0, *places))]
    free = [width for gap, width in zip(parts, widths, strict=True) if width > gap.least + 1e-6]
    assert max(free, default=0.0) == pytest.approx(min(free, default=0.0))


def test_a_run_that_cannot_give_does_not_fit_a_narrower_line() -> None:
    stiff = LineGaps((Gap(3, 3, 0), Gap(2, 2, 1)))
    assert stiff.ratio(5) == 0
    assert stiff.ratio(4.9) == -inf
    assert stiff.ratio(6) == 1


def test_twice_the_time_takes_more_room_and_less_than_twice() -> None:
    one, two = (time_width(Fraction(counts), STYLE) for counts in (1, 2))
    assert one == STYLE.distance("count width")
    assert one < two < 2 * one
    assert two == pytest.approx(2 ** STYLE.distance("time growth") * one)


def test_a_syllable_stands_closer_to_its_count_than_the_next_count_does() -> None:
    frames = '<frame at="1"/><frame at="1 and"/><frame at="2"/><frame at="3"/>'
    inside = f'<phrase counts="4">{frames}</phrase>'
    score = small_score(f'<start><feet in="first"/><arms in="side"/></start>{inside}')
    system = engraved(score, MEASURE, PLAIN).systems[0]
    _, one, half, two, three = (axis.x for axis in system.staves[0].axes)
    assert half - one == pytest.approx(two - half)
    assert half - one < three - two < 2 * (half - one)


# ---------------------------------------------------------------- lines


def test_bars_of_a_phrase_are_kept_on_a_line_where_they_fit() -> None:
    result = engraved(phrases(8, 8, 8), MEASURE, PLAIN)
    assert [system.bars for system in result.systems] == [(1, 8), (9, 16), (17, 24)]


def test_a_short_score_is_one_line_at_its_natural_width() -> None:
    result = engraved(phrases(3), MEASURE, PLAIN)
    (line,), (system,) = result.lines, result.systems
    assert line.ratio == 0
    assert stave_lines(system)[0].x2 == pytest.approx(line.run.natural)
    assert system.box.right < MEASURE / STYLE.space / 2


def test_the_last_line_may_be_squeezed_but_is_not_stretched() -> None:
    score = phrases(10)
    bars = bars_of(score, PLAIN)
    (whole,) = cast_lines(bars, 1000, (0, 0), PLAIN)
    (tight,) = cast_lines(bars, whole.run.natural * 0.9, (0, 0), PLAIN)
    assert whole.ratio == 0
    assert -1 < tight.ratio < 0


def test_a_last_line_of_one_bar_is_avoided() -> None:
    bars = bars_of(phrases(9), PLAIN)
    (nine,) = cast_lines(bars, 1000, (0, 0), PLAIN)
    (eight,) = cast_lines(bars[:8], 1000, (0, 0), PLAIN)
    room = sum(gap.least for gap in nine.run.gaps) - 0.01
    assert sum(gap.least for gap in eight.run.gaps) < room
    first, last = cast_lines(bars, room, (0, 0), PLAIN)
    assert first.end < 8
    assert last.end - last.start > 1


def test_a_crowded_line_is_broken_before_it_is_full() -> None:
    """Two phrases that would fit one line, were it filled until nothing gives any more."""
    score = phrases(8, 8)
    bars = bars_of(score, PLAIN)
    (whole,) = cast_lines(bars, 1000, (0, 0), PLAIN)
    width = sum(gap.least for gap in whole.run.gaps) * 1.05
    between = [gap.least for gap in whole.run.gaps[1:-1]]
    assert sum(between) / len(between) < PLAIN.style.distance("easy frame distance")
    first, last = cast_lines(bars, width, (0, 0), PLAIN)
    assert (first.end, last.end) == (8, 16)
    assert first.costs["crowded"] == last.costs["crowded"] == 0
    heedless = without(PLAIN, "crowded", "squeeze", "unlike bars")
    (full,) = cast_lines(bars, width, (0, 0), heedless)
    assert full.end == 16


def test_a_last_line_is_not_short_where_that_can_be_avoided() -> None:
    bars = bars_of(phrases(6, 6, 3), PLAIN)
    heedless = cast_lines(bars, 52, (0, 0), without(PLAIN, "short last line", "unlike"))
    lines = cast_lines(bars, 52, (0, 0), PLAIN)
    assert [line.end for line in heedless] == [12, 15]
    assert [line.end for line in lines] == [6, 15]


def test_every_cost_has_a_name_in_the_table_and_they_add_up() -> None:
    names = {row.name for row in SETTING.catalogue.engraving.cost}
    lines = cast_lines(bars_of(phrases(9, 5)), 16, (4, 0), SETTING)
    assert len(lines) > 3
    for line in lines:
        assert set(line.costs) <= names
        assert line.total == sum(line.costs.values())


def test_costs_tell_what_they_are_for() -> None:
    bars = bars_of(phrases(8, 8), PLAIN)
    first, *_ = cast_lines(bars, 20, (0, 0), PLAIN)
    assert not bars[first.end - 1].closes_phrase
    name = "half of a phrase" if bars[first.end - 1].halves_phrase else "inside a phrase"
    assert first.costs[name] == STYLE.cost(name)
    assert first.costs["line"] == STYLE.cost("line")
    stretch = STYLE.cost("stretch") * max(first.ratio, 0) ** 3
    squeeze = STYLE.cost("squeeze") * max(-first.ratio, 0) ** 3
    assert (first.costs["stretch"], first.costs["squeeze"]) == pytest.approx((stretch, squeeze))


def test_neighbours_cost_where_one_is_stretched_and_the_other_squeezed() -> None:
    def line(ratio: float) -> Line:
        return Line(0, 1, LineGaps(()), ratio, {})

    uneven = STYLE.cost("uneven")
    assert pair_costs(line(0.5), line(-0.25), STYLE) == {"uneven": pytest.approx(0.75 * uneven)}
    assert pair_costs(line(0.5), line(0.9), STYLE) == {}
    assert pair_costs(line(-0.5), line(0), STYLE) == {}


def test_neighbours_cost_where_one_has_more_bars() -> None:
    two, four = Line(0, 2, LineGaps(()), 0.0, {}), Line(2, 6, LineGaps(()), 0.0, {})
    unlike = STYLE.cost("unlike") * log(2) ** 2
    assert pair_costs(two, four, STYLE) == {"unlike": pytest.approx(unlike)}
    assert pair_costs(two, two, STYLE) == {}


def test_a_bar_alone_on_its_line_is_not_stretched() -> None:
    lines = engraved(phrases(3), 25, PLAIN).lines
    alone = [line for line in lines if line.end - line.start == 1]
    assert len(lines) > 1
    assert alone
    full = STYLE.distance("full last line") * 25 / STYLE.space
    assert all(line.ratio <= 0 or line.run.natural >= full for line in alone)


def test_a_line_of_its_own_may_need_more_room_than_a_longer_one() -> None:
    """A long step name at a line's start is kept inside; inside a line it is no matter."""
    long = 'step="battement développé à la seconde, en cloche"'
    frames = f'<frame at="1"/><frame at="2" {long}/><frame at="3"/>'
    score = small_score(
        f'<start><feet in="first"/><arms in="side"/></start><phrase counts="3">{frames}</phrase>',
        WALTZ,
    )
    bars = bars_of(score, PLAIN)

    def least(start: int, end: int) -> float:
        (line,) = cast_lines(bars[start:end], 1000, (0, 0), PLAIN)
        return sum(gap.least for gap in line.run.gaps)

    assert least(0, 3) < least(1, 3)
    (line,) = cast_lines(bars, least(0, 3) + 0.001, (0, 0), PLAIN)
    assert (line.start, line.end) == (0, 3)


def test_a_bar_that_cannot_give_is_a_fault_and_not_a_failure() -> None:
    """Between two that fit; its own gaps have nothing to be squeezed."""
    arms, long = '<arms in="side"/></frame>', 'step="battement dégagé en cloche"'
    frames = f'<frame at="1">{arms}<frame at="2" {long}>{arms}<frame at="3">{arms}'
    start = '<start><feet in="first"/><arms in="side"/></start>'
    score = small_score(f'{start}<phrase counts="3">{frames}</phrase>', WALTZ)
    outcome = outcome_of(score, 11 * STYLE.space, PLAIN)
    assert {fault.code for fault in outcome.diagnostics} == {"E402"}
    assert outcome.value is not None
    assert [line.end for line in outcome.value.lines] == [1, 2, 3]
    assert [line.ratio < -1 for line in outcome.value.lines] == [False, True, False]


def test_no_division_where_nothing_fits() -> None:
    with pytest.raises(ValueError, match="no division"):
        cast_off(3, lambda end: 0, lambda start, end: inf, lambda h, i, j: 0.0)


# ---------------------------------------------------------------- edges


@pytest.mark.parametrize("counts", [3, 8, 11, 17])
def test_the_score_ends_with_a_thin_and_a_heavy_line(counts: int) -> None:
    *others, last = engraved(phrases(counts, 5), 60, PLAIN).systems
    thin, heavy = bar_lines(last)[-2:]
    gap = STYLE.distance("final bar gap")
    assert heavy.box.left - thin.box.right == pytest.approx(gap)
    assert heavy.box.right - thin.box.left == pytest.approx(
        line_width(BarLine(final=True), STYLE, CATALOGUE)
    )
    assert heavy.width > 2 * thin.width
    for system in others:
        assert bar_lines(system)[-1].width == thin.width == line_width(BarLine(), STYLE, CATALOGUE)


def test_a_frame_at_the_very_end_keeps_its_distance_from_the_final_line() -> None:
    frames = '<frame at="1"><arms in="first"/></frame><frame at="4 11/12"><arms in="side"/></frame>'
    inside = f'<phrase counts="4">{frames}</phrase>'
    score = small_score(f'<start><feet in="first"/><arms in="side"/></start>{inside}')
    (system,) = engraved(score, MEASURE, PLAIN).systems
    right = max(sign.box.right for sign in system.staves[0].signs)
    assert bar_lines(system)[-2].box.left - right >= STYLE.distance("bar margin") - 1e-9


def test_there_is_air_above_and_below_the_ink() -> None:
    (system,) = engraved(phrases(3), MEASURE, PLAIN).systems
    lowest = min(sign.box.bottom for sign in system.staves[0].signs)
    assert system.box.bottom == pytest.approx(lowest - STYLE.distance("overhang"))
    highest = max(union(glyph_boxes(text)).top for text in system.texts)
    assert system.box.top >= highest + STYLE.distance("overhang") / 2


@pytest.mark.parametrize(("names", "named"), [("none", 0), ("first", 1), ("every", 3)])
def test_names_of_the_lines_stand_where_the_style_wants_them(names: str, named: int) -> None:
    setting = styled(f'<stave line-names="{names}"/>')
    systems = engraved(phrases(8, 8, 8), MEASURE, setting).systems
    found = [[text.text for text in texts_in(system, "line")] for system in systems]
    labels = ["floor", "knee", "waist", "shoulder", "top of head"]
    assert found == [labels] * named + [[]] * (len(systems) - named)
    for system in systems[:named]:
        left = stave_lines(system)[0].x1
        for text in texts_in(system, "line"):
            gap = STYLE.distance("line names")
            assert text.x + text.width == pytest.approx(left - gap)


@pytest.mark.parametrize("height", [7, 7.5, 8, 9, 12, 14])
def test_line_and_type_keep_their_least_size_in_print(height: float) -> None:
    style = styled(f'<stave height="{height}"/>').style
    assert style.stave_line * style.space >= 0.09
    assert style.line_clearance * style.space >= 0.2
    assert style.sign_clearance * style.space >= 0.22
    for name in ("count", "syllable", "step", "cue", "bar number", "line name"):
        assert style.size(f"{name} size") * style.space >= 6 * 25.4 / 72 - 1e-9


def test_a_larger_stave_needs_more_lines_and_thicker_ones() -> None:
    score = phrases(4, 4, 4, 4, 4, 4)
    small, large = (styled(f'<stave height="{height}"/>') for height in (8, 14))
    few, more = (engraved(score, MEASURE, setting).systems for setting in (small, large))
    assert len(few) < len(more)
    thin, thick = (setting.style.stave_line * setting.style.space for setting in (small, large))
    assert thin < thick


def test_the_narrowest_line_holds_one_bar_at_its_tightest() -> None:
    score = phrases(6)
    result = engraved(score, least_width(score, PLAIN) + 0.001, PLAIN)
    assert result.lines[0].end == 1
    assert min(line.ratio for line in result.lines) >= -1
    rooms = [sum(gap.least for gap in line.run.gaps) for line in result.lines]
    assert max(rooms) * STYLE.space == pytest.approx(least_width(score, PLAIN))


def test_all_scores_begin_their_lines_alike_whatever_their_numbers() -> None:
    few, many = (engraved(phrases(*of), 40, PLAIN).systems for of in ((3, 3), (3, 3, 3, 3, 3)))
    assert many[-1].bars[0] > 9 > few[-1].bars[1]
    starts = {round(stave_lines(system)[0].x1, 6) for system in (*few, *many)}
    assert len(starts) == 1


def step_names(count_width: float) -> tuple[PlacedText, ...]:
    """Those of three frames two counts apart, in a short line."""
    start = '<start><feet in="first"/><arms in="side"/></start>'
    moved = '<arms in="first"/></frame>'
    frames = "".join(
        f'<frame at="{count}" step="tour en l’air en dehors">{moved}' for count in (1, 3, 5)
    )
    score = small_score(f'{start}<phrase counts="8">{frames}</phrase>', WALTZ)
    width = f'<distance of="count width" spaces="{count_width}"/>'
    (system,) = engraved(score, 400, styled(f'<stave line-names="none"/>{width}')).systems
    return texts_in(system, "step")


def test_step_names_stand_in_one_row_where_frames_need_be_little_wider() -> None:
    names = step_names(4.4)
    assert names[0].width + STYLE.distance("step gap") > 2 * 4.4
    assert len({name.y for name in names}) == 1
    gaps = [b.x - a.x - a.width for a, b in pairwise(names)]
    assert gaps == pytest.approx([STYLE.distance("step gap")] * 2, abs=0.2)
    assert min(gaps) > STYLE.distance("step gap") - 1e-6


def test_step_names_take_a_second_row_where_frames_would_be_much_wider() -> None:
    names = step_names(3.2)
    room = names[0].width + STYLE.distance("step gap")
    assert 2 * 3.2 * STYLE.distance("greatest step room") < room
    assert len({name.y for name in names}) == 2


# ---------------------------------------------------------------- bars


def of_bars(*rooms: float) -> tuple[Stretch, ...]:
    """Bars of a count that ask for so much and are half as wide again."""
    return tuple(
        Stretch(at, at + 1, 1.0, 1.5 * room, room, 0.0) for at, room in enumerate(rooms, 1)
    )


@given(st.lists(lengths, min_size=1, max_size=10), st.floats(1.0, 2.0))
def test_bars_are_as_even_as_their_ink_lets_them(rooms: list[float], alike: float) -> None:
    bars = of_bars(*rooms)
    widths = evened(bars, alike)
    assert sum(widths) == pytest.approx(sum(bar.width for bar in bars))
    assert all(width >= bar.least - 1e-6 for bar, width in zip(bars, widths, strict=True))
    if max(widths) > alike * min(widths) + 1e-6:
        least = pytest.approx(min(widths))
        assert all(
            width == least or width == pytest.approx(bar.least)
            for bar, width in zip(bars, widths, strict=True)
        )


def test_bars_that_are_alike_enough_stay_as_they_are() -> None:
    bars = of_bars(4.0, 4.4, 4.7)
    assert evened(bars, 1.2) == tuple(bar.width for bar in bars)
    assert evened(bars, 1.1) != tuple(bar.width for bar in bars)
