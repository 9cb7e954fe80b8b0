"""Several staves in a line: three scores of the same counts, put together here, are set one over
the other, and each stave reads as its score was written."""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Iterable
from dataclasses import replace
from functools import cache
from itertools import pairwise
from pathlib import Path

import pytest
from hypothesis import given, settings

from stavebound.dance.danced import Danced
from stavebound.dance.printed import Printed, written_out
from stavebound.diagnostics import has_errors
from stavebound.engrave.engraving import Engraved, engrave
from stavebound.engrave.parts import text_box
from stavebound.engrave.system import PlacedText, Stave, System
from stavebound.geometry import union
from stavebound.readback.parse import parse_svg
from stavebound.readback.read import page_readings, read_staves, read_svg
from stavebound.readback.values import Outline, Page, Reading
from stavebound.score.model import Score
from stavebound.svg.staves import draw_staves
from tests.support.ink import glyph_boxes
from tests.support.made import usable
from tests.support.readers import KEY, faults_in
from tests.support.references import reference
from tests.support.sources import faults_of, score_of
from tests.support.staves import CATALOGUE, FACES, MEASURE, SETTING, danced_of, engraved
from tests.support.strategies import scores

FOLDER = Path(__file__).parent / "cases" / "staves"
NAMES = ("first", "second", "third")


@cache
def score_in(name: str) -> Score:
    return score_of((FOLDER / f"{name}.xml").read_text(encoding="utf-8"), f"{name}.xml")


def together(dances: tuple[Danced, ...]) -> Printed:
    """The dances of several, in the time of the first."""
    return written_out(
        replace(dances[0], lines=tuple(line for one in dances for line in one.lines))
    )


@cache
def printed() -> Printed:
    return together(tuple(danced_of(score_in(name)) for name in NAMES))


@cache
def page() -> Engraved:
    outcome = engrave(printed(), MEASURE, SETTING)
    assert outcome.diagnostics == ()
    assert outcome.value is not None
    return outcome.value


def proof_of(result: Engraved) -> set[str]:
    """The codes of what the proof finds."""
    faults = faults_in(result, printed().score, SETTING, printed())
    return {fault.code for fault in faults}


def readings_of(system: System) -> tuple[Reading, ...]:
    outcome = read_staves(draw_staves(system, FACES), "line.svg", KEY, FACES)
    assert outcome.value is not None
    return outcome.value


@pytest.mark.parametrize("name", NAMES)
def test_each_of_the_scores_is_sound(name: str) -> None:
    assert not has_errors(faults_of(score_in(name), {}, CATALOGUE))


def test_three_staves_look_as_in_their_pictures(update_references: bool) -> None:
    for number, system in enumerate(page().systems, 1):
        svg = draw_staves(system, FACES, f"Three staves, line {number}")
        reference(FOLDER / f"line-{number}.svg", svg, update_references)


def test_each_stave_reads_as_it_was_written() -> None:
    assert [len(system.staves) for system in page().systems] == [3, 3]
    assert proof_of(page()) == set()


def test_each_stave_reads_as_it_would_alone() -> None:
    """Wherever its own dancer does something: the counts of the others are there too."""
    for at, name in enumerate(NAMES):
        alone = [one for system in engraved(score_in(name)).systems for one in readings_of(system)]
        staves = [readings_of(system)[at] for system in page().systems]
        own, among = (
            [
                (frame.count, {subject.subjects for subject in frame.subjects})
                for one in lines
                for frame in one.frames
                if frame.subjects
            ]
            for lines in (alone, staves)
        )
        assert own == among
        assert [one.number for one in staves] == [None, 3]


def test_what_belongs_to_the_line_stands_once_over_its_topmost_stave() -> None:
    first, second = page().systems
    for system in (first, second):
        top = system.staves[0].floor + 4
        rows = {
            (text.lane, text.y) for text in system.texts if text.lane in ("counts", "tempo", "bar")
        }
        assert min(y for lane, y in rows if lane != "bar") > top
        assert all(top - 1 < y < top for lane, y in rows if lane == "bar")
        assert len({y for lane, y in rows if lane == "counts"}) == 1
        assert [bool(stave.phrasings) for stave in system.staves] == [system is first, False, False]
        xs = [{rule.x1 for rule in stave.rules if rule.pen == "bar"} for stave in system.staves]
        assert xs[0] == xs[1] == xs[2]
        assert {(rule.y1, rule.y2) for rule in system.joins} == {(0.0, top)}
    assert {text.lane for text in second.texts} >= {"counts", "tempo", "bar"}


def heights_in(system: System) -> list[tuple[float, float]]:
    """From where to where everything reaches that is printed, but what joins the staves, from
    the lowest."""
    boxes = [
        box.moved(0.0, stave.floor)
        for stave in system.staves
        for box in (
            *(rule.box for rule in stave.rules),
            *(sign.box for sign in stave.signs),
            *(way.box for way in stave.ways),
        )
    ]
    letters = [union(glyph_boxes(text)) for text in system.texts]
    return sorted((box.bottom, box.top) for box in (*boxes, *letters))


def whites_between(upper: Stave, lower: Stave, system: System) -> list[tuple[float, float]]:
    """The whites from the top line of one stave to the floor line of the one over it, the widest
    first, each with its middle."""
    reached, found = lower.floor + 4, []
    for bottom, top in heights_in(system):
        if reached < bottom <= upper.floor:
            found.append((bottom - reached, (bottom + reached) / 2))
        reached = max(reached, top)
    return sorted(found, reverse=True)


def test_white_wider_than_any_other_parts_two_staves() -> None:
    least, more = (SETTING.style.distance(name) for name in ("stave gap", "stave parting"))
    for system in page().systems:
        for upper, lower in pairwise(system.staves):
            (white, middle), *others = whites_between(upper, lower, system)
            assert white >= least
            assert all(white >= other + more / 2 for other, _ in others)
            assert all(sign.box.bottom + upper.floor > middle for sign in upper.signs)
            assert all(sign.box.top + lower.floor < middle for sign in lower.signs)


def test_words_stand_at_the_stave_of_their_dancer() -> None:
    for at, name in enumerate(NAMES):
        alone = [one for system in engraved(score_in(name)).systems for one in readings_of(system)]
        among = [readings_of(system)[at] for system in page().systems]
        for lane in ("step", "cue", "quality"):
            assert words_in(alone, lane) == words_in(among, lane)
        assert words_in(among, "step")


def words_in(readings: Iterable[Reading], lane: str) -> Counter[str]:
    said = [frame.text(lane) for one in readings for frame in one.frames]
    loose = [text for one in readings for other, text in one.loose if other == lane]
    return Counter(" ".join(filter(None, (*said, *loose))).split())


def with_texts(system: System, change: Callable[[PlacedText], PlacedText]) -> System:
    return replace(system, texts=tuple(change(text) for text in system.texts))


def raised(word: str, by: float) -> Callable[[System], System]:
    return lambda system: with_texts(
        system, lambda text: text._replace(y=text.y + by) if text.text == word else text
    )


def without_its_joins(system: System) -> System:
    return replace(system, joins=())


def with_signs_of_another(system: System) -> System:
    first, second, third = system.staves
    return replace(system, staves=(first, replace(second, signs=third.signs), third))


def with_a_bar_line_gone(system: System) -> System:
    first, second, third = system.staves
    rules = [rule for rule in second.rules if rule.pen != "bar" or rule.width > 0.1]
    return replace(system, staves=(first, replace(second, rules=tuple(rules)), third))


def counted_twice(system: System) -> System:
    below = system.staves[1].floor - system.staves[0].floor
    counts = [text._replace(y=text.y + below) for text in system.texts if text.lane == "counts"]
    return replace(system, texts=(*system.texts, *counts))


@pytest.mark.parametrize(
    "wrong",
    [
        raised("glissade", 17.0),
        raised("plié", 16.0),
        raised("proudly", -16.0),
        without_its_joins,
        with_signs_of_another,
        with_a_bar_line_gone,
        counted_twice,
    ],
)
def test_the_proof_fails_where_ink_is_another_dancers(wrong: Callable[[System], System]) -> None:
    systems = tuple(wrong(system) for system in page().systems)
    assert systems != page().systems
    assert proof_of(replace(page(), systems=systems))


def test_ink_that_no_white_parts_is_told() -> None:
    """A cue in the middle of what parts two staves, as near to the one as to the other."""
    system = page().systems[1]
    (cue,) = (text for text in system.texts if text.text == "Strings.")
    others = tuple(text for text in system.texts if text is not cue)
    _, upper, lower = system.staves
    (_, middle), *_ = whites_between(upper, lower, replace(system, texts=others))
    box = text_box(cue, SETTING)
    apart = page_of(raised("Strings.", middle - (box.top + box.bottom) / 2)(system))
    found = page_readings(apart, KEY, FACES)
    assert [[fault.kind for fault in one.faults] for one in found] == [[], ["twofold"], ["twofold"]]


def test_ink_that_begins_at_a_top_line_parts_as_any_other() -> None:
    """Nothing but spots that begin just there, as bar lines do where no rounding moves them."""
    drawn = page_of(page().systems[0])
    ruled = [one for one in drawn.outlines if _reach(one, 0) > 50]
    joins = [one for one in drawn.outlines if _reach(one, 1) > 50]
    tops = sorted(sum(y for _, y in one.points) / 4 for one in ruled)[5::5]
    spots = (
        Outline(((x, top), (x + 1, top), (x + 1, top + 1), (x, top + 1)), curved=False)
        for top in tops
        for x in (60.0, 70.0)
    )
    bare = Page((*ruled, *joins, *spots), ())
    kinds = [[fault.kind for fault in one.faults] for one in page_readings(bare, KEY, FACES)]
    assert len(kinds) == 3
    assert not any("twofold" in found for found in kinds)


def _reach(outline: Outline, axis: int) -> float:
    """How far it reaches across (0) or down (1), in millimetres."""
    places = [point[axis] for point in outline.points]
    return max(places) - min(places)


def page_of(system: System) -> Page:
    page = parse_svg(draw_staves(system, FACES), "line.svg").value
    assert page is not None
    return page


def below(first: Page, second: Page, by: float) -> Page:
    """The second page under the first, on one."""
    outlines = tuple(
        Outline(tuple((x, y + by) for x, y in one.points), one.curved) for one in second.outlines
    )
    texts = tuple(replace(text, y=text.y + by) for text in second.texts)
    return Page((*first.outlines, *outlines), (*first.texts, *texts))


def test_lines_that_nothing_joins_are_read_each_by_itself() -> None:
    """Two lines of a score on one page, one under the other; and a line of three staves with one
    of a single stave."""
    first, second = (page_of(system) for system in page().systems)
    alone = page_of(engraved(score_in("third")).systems[0])
    for upper, lower in ((alone, alone), (first, alone), (first, second)):
        both = page_readings(below(upper, lower, 120.0), KEY, FACES)
        each = [one for page in (upper, lower) for one in page_readings(page, KEY, FACES)]
        assert told(both) == told(each)


def told(readings: Iterable[Reading]) -> list[object]:
    """What is read, but for where exactly it stands."""
    return [
        (
            [
                (frame.count, [subject.subjects for subject in frame.subjects], frame.texts)
                for frame in one.frames
            ],
            [[(way.kind, way.subject) for way in frame.ways] for frame in one.frames],
            (one.bars, one.final, one.number, one.loose, one.phrasings, one.form),
            (len(one.leaving), one.faults),
        )
        for one in readings
    ]


def test_a_file_of_several_staves_is_refused_where_one_is_read() -> None:
    (fault,) = read_svg(draw_staves(page().systems[0], FACES), "line.svg", KEY, FACES).diagnostics
    assert fault.code == "R109"
    assert "3 staves" in fault.message


@settings(max_examples=24)
@given(scores())
def test_two_dancers_alike_read_as_written(score: Score) -> None:
    danced = danced_of(score)
    both = together((danced, danced))
    outcome = engrave(both, MEASURE, SETTING)
    usable(outcome.diagnostics)
    assert outcome.value is not None
    assert faults_in(outcome.value, score, SETTING, both) == ()
