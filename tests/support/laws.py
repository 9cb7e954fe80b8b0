"""What holds of every engraved score, a function a law; each fails with an AssertionError.

Distances are in spaces of the stave unless a name says millimetres.
"""

from __future__ import annotations

import xml.etree.ElementTree as ET
from collections.abc import Iterator
from itertools import chain, combinations, pairwise, product
from math import hypot

import pytest

from stavebound.drawing.courses import Spot
from stavebound.engrave.ruling import breaks_of
from stavebound.engrave.system import PlacedMark, PlacedSign, PlacedText, System
from stavebound.engrave.ways import PlacedWay
from stavebound.geometry import union
from stavebound.score.counts import phrased, time_line
from stavebound.svg.staves import draw_staves
from tests.support.heights import SLACK as HEIGHTS_SLACK
from tests.support.heights import least_of, whites
from tests.support.ink import (
    bar_lines,
    dot_boxes,
    glyph_boxes,
    ink_of,
    stave_lines,
    texts_in,
    white,
)
from tests.support.staves import CATALOGUE, FACES, Moment, View, engraved

ROUNDING = 1e-6
# A pixel of a page at 300 dots an inch, in spaces of a stave of 8 mm.
PIXEL = 25.4 / 300 / 2
LANES_APART = 0.1
# The rows in which texts stand, by their lanes; some share them.
ROWS = {row.name: row.rows for row in CATALOGUE.lanes.text if row.rows}
# The pieces of one amount touch each other, as in the face's own ½, and its small figures
# are as large as in that.
OF_AMOUNTS = {"amount", "fraction"}
AMOUNT_WIDTH = 1.5
SMALL_FIGURES = 0.6
FINEST_LINE_MM = 0.09
LEAST_TYPE_MM = 6 * 25.4 / 72
LEAST_WHITE_MM = 0.2
LEAST_APART_MM = 0.22
# How far outward a limb may be moved.
OUTWARD = {"foot": 0.4, "hand": 0.4, "knee": 0.56, "elbow": 0.56}
# A line of movement runs along one of the stave where it is so near and so level.
NEAR_LINE = 0.2
LEVEL_SLOPE = 0.12
MOST_ALONG = 2 / 3
LEVEL_LIMBS = 0.6
# On a line these would be no more than a thicker piece of it.
LEVEL_SIGNS = {"level", "half bend", "full bend"}


def ink_lies_inside(page: View) -> None:
    for system in page.result.systems:
        assert system.box.left >= -ROUNDING
        assert system.box.right <= page.width + ROUNDING
        for what, box in ink_of(system):
            assert system.box.contains(box, ROUNDING), what


def texts_keep_apart(page: View) -> None:
    """Letter by letter, as a descender may hang into a gap of the row below; texts of
    different lanes never come close."""
    for system in page.result.systems:
        inked = [(text, glyph_boxes(text)) for text in system.texts]
        for (a, boxes), (b, others) in combinations(inked, 2):
            apart = min(white(box, other) for box in boxes for other in others)
            alike = ROWS.get(a.lane, a.lane) == ROWS.get(b.lane, b.lane)
            of_one = {a.lane, b.lane} <= OF_AMOUNTS and abs(a.x - b.x) < AMOUNT_WIDTH
            assert of_one or apart > (0 if alike else LANES_APART), (a, b)


def texts_keep_clear_of_signs(page: View) -> None:
    """But for the number of an ending, which stands in its bracket."""
    least = page.setting.style.distance("sign clearance")
    for system in page.result.systems:
        boxes = [mark.box for mark in _marks(system) if mark.name != "bracket"]
        boxes += [sign.box for sign in _signs(system)]
        for text in system.texts:
            for other in boxes:
                near = min(white(box, other) for box in glyph_boxes(text))
                assert near >= least - ROUNDING, (text, other)


def lines_of_movement_keep_off_counts(page: View) -> None:
    """All of it stays under them, whether or not one stands there: the proof tells that they begin
    at their own signs or at a bar, and point at the signs before which they stop."""
    for system in page.result.systems:
        counts = [box for text in texts_in(system, "counts") for box in glyph_boxes(text)]
        for way in system.staves[0].ways if counts else ():
            over = way.box.top if not way.marks else max(y for _, y in way.along)
            assert over < min(box.bottom for box in counts) - system.staves[0].floor, way


def lines_of_weight_cross_nothing(page: View) -> None:
    """Neither each other nor ways of limbs; two limbs may cross, and so do their ways."""
    for system in page.result.systems:
        for a, b in combinations([way for stave in system.staves for way in stave.ways], 2):
            assert a.kind == b.kind == "way" or not _crossings(a.along, b.along), (a, b)


def lines_of_movement_keep_off_lines_of_the_stave(page: View) -> None:
    """None runs along one for more than two thirds of either half; but where both ends of that
    half are within so little more of it, as what goes level from limb to limb has to."""
    for system in page.result.systems:
        for way in (way for stave in system.staves for way in stave.ways):
            lines = range(len(CATALOGUE.ruling.line))
            for half, line in product(_halves(way), lines):
                near = [hypot(x2 - x, y2 - y) for (x, y), (x2, y2) in _level(half, line)]
                whole = sum(hypot(x2 - x, y2 - y) for (x, y), (x2, y2) in pairwise(half))
                along = max(abs(y - line) for _, y in (half[0], half[-1])) <= LEVEL_LIMBS
                assert along or sum(near) <= MOST_ALONG * whole + ROUNDING, way


def lines_of_limbs_are_their_own(page: View) -> None:
    """None points at the sign of another limb as well, and none is too short to be seen."""
    for system in page.result.systems:
        for way in (way for stave in system.staves for way in stave.ways):
            assert dict(way.costs)["unclear"] == 0, way


def _halves(way: PlacedWay) -> tuple[tuple[Spot, ...], tuple[Spot, ...]]:
    middle = len(way.along) // 2
    return way.along[: middle + 1], way.along[middle:]


def _crossings(a: tuple[Spot, ...], b: tuple[Spot, ...]) -> int:
    return sum(_cross(*one, *other) for one, other in product(pairwise(a), pairwise(b)))


def _cross(a: Spot, b: Spot, c: Spot, d: Spot) -> bool:
    return _left(a, b, c) * _left(a, b, d) < 0 and _left(c, d, a) * _left(c, d, b) < 0


def _left(a: Spot, b: Spot, c: Spot) -> float:
    return (b[0] - a[0]) * (c[1] - a[1]) - (b[1] - a[1]) * (c[0] - a[0])


def _level(half: tuple[Spot, ...], line: int) -> Iterator[tuple[Spot, Spot]]:
    """The pieces that run along a line of the stave."""
    for (x, y), (x2, y2) in pairwise(half):
        if abs(y2 - y) <= LEVEL_SLOPE * abs(x2 - x) and abs((y + y2) / 2 - line) < NEAR_LINE:
            yield (x, y), (x2, y2)


def texts_keep_off_the_stave(page: View) -> None:
    """But for metres, which stand in it and keep off its bar lines."""
    for system in page.result.systems:
        ruled = [rule.box for stave in system.staves for rule in stave.rules]
        upright = [rule.box for rule in bar_lines(system)]
        for text in system.texts:
            for box in glyph_boxes(text):
                lines = upright if text.lane == "metre" else ruled
                assert not any(box.overlaps(rule) for rule in lines), text


def metres_stand_in_the_stave(page: View) -> None:
    """Figure over figure, between a bar line and what stands behind it; the first at the left
    end, under the tempo."""
    first, *_ = page.result.systems
    music, left = page.score.music, stave_lines(first)[0].x1
    left += page.setting.style.distance("metre gap") + 1
    at_head = [text for text in texts_in(first, "metre") if text.x < left]
    assert [text.text for text in at_head] == (music.metre.split("/") if music else [])
    paces = texts_in(first, "pace")
    assert len(paces) == bool(music and music.tempo)
    for system, moments in page.lines:
        figures = texts_in(system, "metre")
        for upper, lower in zip(figures[::2], figures[1::2], strict=True):
            over, under = (union(glyph_boxes(text)) for text in (upper, lower))
            assert 0 < under.bottom < under.top < 2 < over.bottom < over.top < 4
            assert upper.x + upper.width / 2 == pytest.approx(lower.x + lower.width / 2)
            ends = [rule.box.right for rule in bar_lines(system)] + [stave_lines(system)[0].x1]
            before = max(x for x in ends if x < under.left)
            assert not any(before < moment.axis < under.right for moment in moments)
            assert all(
                white(figure, way.box) > 0 or way.box.left < before
                for figure in (over, under)
                for stave in system.staves
                for way in stave.ways
            )


def marks_keep_apart(page: View) -> None:
    """Marks of repeats from each other, from bar lines and from all signs; a bracket is as
    large as the room that it encloses."""
    for system in page.result.systems:
        ruled = [rule.box for rule in bar_lines(system)]
        marks = list(_marks(system))
        for mark in marks:
            others = [each.box for each in marks if each is not mark]
            for box in (*others, *ruled, *(sign.box for sign in _signs(system))):
                assert white(mark.box, box) >= LANES_APART, mark


def signs_keep_apart(page: View) -> None:
    """Signs of different limbs, unless both are feet with weight, whose places are fixed."""
    style = page.setting.style
    least = max(style.distance("sign clearance"), LEAST_APART_MM / style.space)
    for _, moments in page.lines:
        for moment in moments:
            for (a, fixed), (b, also_fixed) in combinations(_clusters(moment), 2):
                if not (fixed and also_fixed):
                    apart = min(white(one.box, other.box) for one in a for other in b)
                    assert apart >= least - ROUNDING, (a, b)


def what_hangs_under_feet_keeps_white(page: View) -> None:
    """And transfers do; a house's own drawings are as large as the house will have them."""
    if page.setting.catalogue.signs != CATALOGUE.signs:
        return
    for system in page.result.systems:
        for stave in system.staves:
            signs = ((sign.sign, sign.subjects, sign.box) for sign in stave.signs)
            for kinds, least in whites(signs, stave.ways, CATALOGUE):
                assert least >= least_of(kinds) - HEIGHTS_SLACK, sorted(kinds)


def lanes_below_are_closed_up(page: View) -> None:
    """The uppermost that a line uses has the place of the first; the next follow at once."""
    lanes = page.setting.catalogue.lanes
    step = max(above - below for above, below in pairwise(lanes.below.values()))
    for stave in (stave for system in page.result.systems for stave in system.staves):
        heights = {
            sign.y
            for sign in stave.signs
            if sign.sign == "turning"
            or (sign.subjects[0].kind in lanes.lane_of and sign.subjects[0].kind != "turn")
        }
        uppermost = max(lanes.below.values())
        first, *others = sorted(heights, reverse=True) or [uppermost]
        assert first == pytest.approx(uppermost)
        for above, below in pairwise((first, *others)):
            assert above - below <= step + ROUNDING


def signs_keep_off_the_lines(page: View) -> None:
    """Centred on a line to within a pixel, or clear of all lines; feet with weight are fixed."""
    style = page.setting.style
    least = max(style.distance("line clearance"), LEAST_WHITE_MM / style.space)
    for system, moments in page.lines:
        for sign in (cluster[0] for at in moments for cluster, fixed in _clusters(at) if not fixed):
            middle = (sign.box.bottom + sign.box.top) / 2
            for rule in stave_lines(system):
                on_it = abs(middle - rule.y1) <= PIXEL
                assert on_it or white(sign.box, rule.box) >= least - ROUNDING, sign


def lines_are_broken_round_level_signs(page: View) -> None:
    """And round nothing else; the floor line is whole."""
    least = page.setting.style.distance("line break")
    for system in page.result.systems:
        for stave in system.staves:
            level = [sign.box for sign in stave.signs if sign.sign in LEVEL_SIGNS]
            rules = [rule for rule in stave.rules if rule.pen == "stave"]
            for box, rule in product(level, rules):
                over_it = rule.y1 and box.bottom < rule.y1 < box.top
                assert not over_it or white(box, rule.box) >= least - ROUNDING, box
            for one in breaks_of(rules):
                inside = [box for box in level if one.left < box.left and box.right < one.right]
                assert any(box.bottom < one.line < box.top for box in inside), one
            assert len([rule for rule in rules if not rule.y1]) == 1


def order_of_heights_stays(page: View) -> None:
    for _, moments in page.lines:
        for moment in moments:
            leading = [cluster[0] for cluster in moment.clusters]
            for a, b in combinations(leading, 2):
                before = (a.y - a.dy) - (b.y - b.dy)
                if before > PIXEL:
                    assert a.y > b.y + ROUNDING, (a, b)
                if before < -PIXEL:
                    assert b.y > a.y + ROUNDING, (a, b)


def shifts_are_small_and_told(page: View) -> None:
    """Feet with weight stay; what moves goes up, down or outward, and says how far."""
    distance = page.setting.style.distance
    greatest, aside = distance("greatest shift"), distance("greatest shift aside")
    for _, moments in page.lines:
        for moment in moments:
            for cluster, fixed in _clusters(moment):
                away = cluster[0].x - cluster[0].dx - moment.axis
                for sign in cluster:
                    assert abs(sign.dy) <= greatest + ROUNDING
                    side = sign.subjects[0].side
                    assert side is None or sign.dx * away >= 0
                    assert (
                        abs(sign.dx)
                        <= (OUTWARD[sign.subjects[0].kind] if side else aside) + ROUNDING
                    )
                    assert (sign.dx, sign.dy) == (0, 0) or not fixed


def frames_keep_apart(page: View) -> None:
    style = page.setting.style
    for _, moments in page.lines:
        for a, b in pairwise(moments):
            if a.column.frame and b.column.frame:
                assert b.axis - a.axis >= style.distance("least frame distance") - ROUNDING
        inked = [box for moment in moments if (box := moment.box)]
        for one, other in pairwise(inked):
            assert other.left - one.right >= style.distance("frame gap") - ROUNDING


def bar_lines_keep_apart(page: View) -> None:
    margin = page.setting.style.distance("bar margin")
    for system, moments in page.lines:
        dots = [mark.box for mark in _marks(system) if mark.lane == "bar"]
        for ruled in (*(rule.box for rule in bar_lines(system)), *dots):
            for box in (box for moment in moments if (box := moment.box)):
                assert white(ruled, box) >= margin - ROUNDING, ruled


def bars_stay_whole(page: View) -> None:
    numbers = [bar.number for bar in page.bars]
    printed = [range(system.bars[0], system.bars[1] + 1) for system in page.result.systems]
    assert list(chain.from_iterable(printed)) == numbers


def lines_are_filled(page: View) -> None:
    """All but the last and those of a single bar end at the right edge; these do where they are
    almost as wide, and are never stretched else."""
    full = page.setting.style.distance("full last line") * page.width
    for line, system in zip(page.result.lines, page.result.systems, strict=True):
        right = stave_lines(system)[0].x2
        may_be_short = line is page.result.lines[-1] or line.end - line.start == 1
        if may_be_short and line.run.natural < full:
            assert line.ratio <= 0
            assert right <= page.width + ROUNDING
        else:
            assert abs(right - page.width) < ROUNDING


def bar_lines_stand_where_bars_do(page: View) -> None:
    """One between two bars, one at the right edge; a thin and a heavy one end the score.

    An upbeat has a line at its end, and one wherever it crosses a bar. Scores printed with signs
    of repeats have other lines too, which the reader knows.
    """
    if page.printed and page.printed.parts:
        return
    style, timeline = page.setting.style, time_line(page.score)
    upbeats = [bar for bar in timeline.bars if bar.number < 1]
    for index, system in enumerate(page.result.systems):
        first, last, ruled = index == 0, index == len(page.result.systems) - 1, bar_lines(system)
        inside = system.bars[1] - system.bars[0] + (1 + max(len(upbeats) - 1, 0) if first else 0)
        assert len(ruled) == inside + 1 + last
        right = stave_lines(system)[0].x2
        assert abs(ruled[-1].box.right - right) < ROUNDING
        heavy = style.distance("final bar line" if last else "bar line")
        assert ruled[-1].width == heavy
        assert {rule.width for rule in ruled[:-1]} <= {style.distance("bar line")}
        assert all((rule.y1, rule.y2) == (0, 4) for rule in ruled)


def bar_numbers_begin_the_lines(page: View) -> None:
    for index, system in enumerate(page.result.systems):
        numbers = texts_in(system, "bar")
        assert [text.text for text in numbers] == ([str(system.bars[0])] if index else [])
        for text in numbers:
            ends = [rule.x1 for stave in system.staves for rule in stave.rules]
            ends += [rule.x1 for rule in system.joins]
            ends += [name.x for name in texts_in(system, "line")]
            gap = page.setting.style.distance("bar number gap")
            assert text.x + text.width <= min(ends) - gap + ROUNDING
            assert max(box.top for box in glyph_boxes(text)) <= 4 + ROUNDING


def first_axes_stand_alike(page: View) -> None:
    """Behind all bar lines of a score equally far, but where ink asks for more; in a line that is
    squeezed alike where the ink is."""
    style = page.setting.style
    if page.printed and page.printed.parts:
        return
    found: list[tuple[float, float]] = []
    for line, (system, moments) in zip(page.result.lines, page.lines, strict=True):
        squeezed: dict[float, float] = {}
        ends = [rule.box.right for rule in bar_lines(system)]
        marked = any(way.bowed for stave in system.staves for way in stave.ways)
        for a, b in pairwise(() if marked else moments):
            between = [x for x in ends if a.axis < x < b.axis]
            asked = b.column.left + style.distance("bar margin")
            pairs = [(b.axis - x - b.column.before, asked) for x in between]
            found += pairs if line.ratio >= 0 else []
            for one, its in pairs if line.ratio < 0 else []:
                assert one >= its - ROUNDING
                assert one == pytest.approx(squeezed.setdefault(its, one), abs=ROUNDING)
    usual = min([away for away, _ in found], default=0.0)
    for away, asked in found:
        assert away == pytest.approx(max(usual, asked), abs=ROUNDING)


def step_names_stand_an_em_apart(page: View) -> None:
    """And under all slides, steps and springs, and whatever else is near them."""
    for system in page.result.systems:
        drawn = [way.box for stave in system.staves for way in stave.ways]
        for text in texts_in(system, "step"):
            for box in (*drawn, *(sign.box for sign in _signs(system))):
                assert min(white(one, box) for one in glyph_boxes(text)) >= LANES_APART, text
        rows: dict[float, list[PlacedText]] = {}
        for text in texts_in(system, "step"):
            rows.setdefault(text.y, []).append(text)
        for row in rows.values():
            for one, other in pairwise(sorted(row, key=lambda text: text.x)):
                least = page.setting.style.distance("step gap")
                assert other.x - one.x - one.width >= least - ROUNDING


def counts_are_centred(page: View) -> None:
    """Every count in one row, over its axis; the face's own widths say where its middle is."""
    for system, moments in page.lines:
        counted = [moment for moment in moments if moment.column.texts]
        texts = texts_in(system, "counts")
        assert len({text.y for text in texts}) <= 1
        for text, moment in zip(texts, counted, strict=True):
            middle = text.x + FACES.width(text.text, text.size) / 2
            assert abs(middle - moment.axis) < ROUNDING, text


def counts_are_complete(page: View) -> None:
    """Every whole count of every phrase from the first frame or phrasing on, and every frame's
    own moment."""
    timeline = time_line(page.score)
    begun = [event.time for event in timeline.events] + [one.start for one in phrased(timeline)]
    first = min(begun, default=0)
    moments = {event.time: event.frame.at for event in timeline.events}
    counts = {
        section.start + index: str(section.first + index)
        for section in timeline.sections
        for index in range(section.phrase.counts)
        if section.start + index >= min(first, 0)
    }
    expected = [
        counts.get(time) if time in counts else moments[time].syllable or moments[time].fraction
        for time in sorted(counts.keys() | moments.keys())
    ]
    printed = [text.text for system in page.result.systems for text in texts_in(system, "counts")]
    assert len(printed) == len(expected)
    for text, wanted in zip(printed, expected, strict=True):
        assert text == {"and": "&"}.get(str(wanted), VULGAR.get(str(wanted), str(wanted)))


VULGAR = {"1/2": "½", "1/4": "¼", "3/4": "¾"}


def nothing_is_too_fine(page: View) -> None:
    space = page.setting.style.space
    for system in page.result.systems:
        for stave in system.staves:
            assert all(rule.width * space >= FINEST_LINE_MM - ROUNDING for rule in stave.rules)
        for text in system.texts:
            least = LEAST_TYPE_MM * (SMALL_FIGURES if text.lane == "fraction" else 1)
            assert text.size * space >= least - ROUNDING, text
        assert system.centre_dot * space >= FINEST_LINE_MM


def centre_lines_keep_off_signs(page: View) -> None:
    for system, moments in page.lines:
        axes = [axis.x for stave in system.staves for axis in stave.axes]
        frames = [moment.axis for moment in moments if moment.column.frame]
        assert axes == (frames if page.setting.style.centre_line else [])
        for box in dot_boxes(system):
            assert not any(box.overlaps(sign.box) for sign in _signs(system))


def a_second_engraving_is_the_same(page: View) -> None:
    width = page.width * page.setting.style.space
    again = engraved(page.score, width, page.setting, page.printed)
    first = [draw_staves(system, FACES, "a line") for system in page.result.systems]
    assert [draw_staves(system, FACES, "a line") for system in again.systems] == first


def a_drawing_is_well_formed_and_says_what_is_printed(page: View) -> None:
    for system in page.result.systems:
        root = ET.fromstring(draw_staves(system, FACES, page.score.title))
        said = "".join(element.text or "" for element in root if element.tag.endswith("text"))
        assert sorted(said) == sorted("".join(text.text for text in system.texts))


LAWS = (
    ink_lies_inside,
    texts_keep_apart,
    texts_keep_clear_of_signs,
    lines_of_movement_keep_off_counts,
    lines_of_weight_cross_nothing,
    lines_of_movement_keep_off_lines_of_the_stave,
    lines_of_limbs_are_their_own,
    texts_keep_off_the_stave,
    metres_stand_in_the_stave,
    marks_keep_apart,
    signs_keep_apart,
    what_hangs_under_feet_keeps_white,
    lanes_below_are_closed_up,
    signs_keep_off_the_lines,
    lines_are_broken_round_level_signs,
    order_of_heights_stays,
    shifts_are_small_and_told,
    frames_keep_apart,
    bar_lines_keep_apart,
    bars_stay_whole,
    lines_are_filled,
    bar_lines_stand_where_bars_do,
    bar_numbers_begin_the_lines,
    first_axes_stand_alike,
    step_names_stand_an_em_apart,
    counts_are_centred,
    counts_are_complete,
    nothing_is_too_fine,
    centre_lines_keep_off_signs,
    a_second_engraving_is_the_same,
    a_drawing_is_well_formed_and_says_what_is_printed,
)


def _marks(system: System) -> Iterator[PlacedMark]:
    return (mark for stave in system.staves for mark in stave.marks)


def _signs(system: System) -> Iterator[PlacedSign]:
    return (sign for stave in system.staves for sign in stave.signs)


def _clusters(moment: Moment) -> list[tuple[tuple[PlacedSign, ...], bool]]:
    """The signs that belong together, and whether their places are fixed."""
    signs = zip(moment.clusters, moment.column.cells[0].signs, strict=True)
    return [(cluster, cleared.cluster.fixed) for cluster, cleared in signs]
