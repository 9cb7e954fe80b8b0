"""Marks of repeats: the proof fails wherever one is wrong, and the key has a row for each."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace

import pytest

from stavebound.book.repeats import repeat_picture, shown_bars
from stavebound.engrave.engraving import Engraved
from stavebound.engrave.system import PlacedMark, PlacedText, System
from stavebound.score.form import BarForm, Leap, form_features
from tests.support.engraved_cases import CASES, FOLDER, page_of, printed_in
from tests.support.readers import KEY, faults_in
from tests.support.staves import CATALOGUE, MEASURE, SETTING, engraved

MARKED = [case for case in CASES if case.startswith("repeats")]

# ---------------------------------------------------------------- marks that are wrong


def changed(case: str, change: Callable[[System], System | None]) -> list[Engraved]:
    """The case with one of its lines changed, for each that can be."""
    result = page_of(case, False).result
    found = []
    for at, system in enumerate(result.systems):
        if (other := change(system)) is not None:
            systems = (*result.systems[:at], other, *result.systems[at + 1 :])
            found.append(replace(result, systems=systems))
    return found


def other_mark(
    at: int, change: Callable[[PlacedMark], PlacedMark | None]
) -> Callable[[System], System | None]:
    def apply(system: System) -> System | None:
        (stave,) = system.staves
        if at >= len(stave.marks):
            return None
        marks = list(stave.marks)
        new = change(marks.pop(at))
        own = replace(stave, marks=(*marks, *((new,) if new else ())))
        return replace(system, staves=(own,))

    return apply


def other_text(
    at: int, change: Callable[[PlacedText], PlacedText | None]
) -> Callable[[System], System | None]:
    def apply(system: System) -> System | None:
        own = [text for text in system.texts if text.lane == "repeat"]
        if at >= len(own):
            return None
        new = change(own[at])
        others = tuple(text for text in system.texts if text is not own[at])
        return replace(system, texts=(*others, *((new,) if new else ())))

    return apply


def mark_moved(dx: float, dy: float) -> Callable[[PlacedMark], PlacedMark]:
    return lambda mark: replace(
        mark, figures=tuple(figure.moved(dx, dy) for figure in mark.figures)
    )


ANOTHER: dict[str, str] = {
    "1.": "2.", "2.": "3.", "3.": "4.", "1. 2.": "1. 3.", "×4": "×5", "Fine": "Fino",
    "To Coda": "Two Coda", "D.S. al Coda": "D.C. al Coda",
    "D.C. al Fine, with repeats": "D.C. al Fine",
}  # fmt: skip
MARK_CHANGES: dict[str, Callable[[PlacedMark], PlacedMark | None]] = {
    "gone": lambda mark: None,
    "moved across": mark_moved(0.05, 0.0),
    "lacking a piece": lambda mark: replace(mark, figures=mark.figures[:-1]),
}
TEXT_CHANGES: dict[str, Callable[[PlacedText], PlacedText | None]] = {
    "gone": lambda text: None,
    "moved across": lambda text: text._replace(x=text.x - 0.05),
    "another": lambda text: text._replace(text=ANOTHER[text.text]),
    "slanted": lambda text: text._replace(italic=True),
}


@pytest.mark.parametrize("case", MARKED)
@pytest.mark.parametrize("at", range(8))
def test_the_proof_fails_where_a_mark_or_a_word_is_wrong(case: str, at: int) -> None:
    changes = [other_mark(at, change) for change in MARK_CHANGES.values()]
    changes += [other_text(at, change) for change in TEXT_CHANGES.values()]
    printed = printed_in(case)
    for change in changes:
        for wrong in changed(case, change):
            assert faults_in(wrong, printed.score, SETTING, printed)


@pytest.mark.parametrize("case", MARKED)
def test_the_proof_fails_where_bar_lines_are_wrong(case: str) -> None:
    """Every bar line of a repeat with its lines as thick as each other, or gone."""
    printed = printed_in(case)
    for width in (0.07, None):
        for at in range(len(page_of(case, False).result.systems[0].staves[0].rules)):
            for wrong in changed(case, other_rule(at, width)):
                assert faults_in(wrong, printed.score, SETTING, printed)


def other_rule(at: int, width: float | None) -> Callable[[System], System | None]:
    """A line of this width in place of a heavy one, or none."""

    def apply(system: System) -> System | None:
        (stave,) = system.staves
        if at >= len(stave.rules) or stave.rules[at].width < 0.1:
            return None
        rules = list(stave.rules)
        rule = rules.pop(at)
        new = (rule._replace(width=width),) if width else ()
        return replace(system, staves=(replace(stave, rules=(*rules, *new)),))

    return apply


def test_a_fault_of_a_mark_stands_at_its_repeat() -> None:
    case = "repeats-and-endings"
    printed = printed_in(case)
    other = replace(printed, bars=(*printed.bars[:-1], BarForm(opens=True, closes=5)))
    (fault,) = faults_in(page_of(case, False).result, printed.score, SETTING, other)
    assert fault.code == "R201"
    assert fault.span is not None
    lines = (FOLDER / f"{case}.xml").read_text(encoding="utf-8").splitlines()
    assert '<repeat times="4">' in lines[fault.span.line - 1]
    assert "danced 4 times" in fault.message


def test_the_proof_fails_where_signs_tell_another_order() -> None:
    """Each mark alone is as it should be, and all of them together say something else."""
    case = "repeats-and-endings"
    printed = printed_in(case)
    other = replace(printed, order=printed.order[1:])
    (fault,) = faults_in(page_of(case, False).result, printed.score, SETTING, other)
    assert fault.message.startswith("the ink says the bars 1 2 1 2 3")


@pytest.mark.parametrize("name", ["segno", "coda"])
def test_the_proof_fails_where_a_drawing_is_another(name: str) -> None:
    repeats = CATALOGUE.repeats
    signs = {row.name: row for row in repeats.sign}
    other = next(row for row in repeats.sign if row.name != name)
    swapped = tuple(
        row.model_copy(update={"strokes": other.strokes, "curves": other.curves})
        if row.name == name
        else row
        for row in signs.values()
    )
    catalogue = replace(CATALOGUE, repeats=repeats.model_copy(update={"sign": swapped}))
    setting = replace(SETTING, catalogue=catalogue)
    printed = printed_in("repeats-dal-segno")
    page = engraved(printed.score, MEASURE, setting, printed)
    assert faults_in(page, printed.score, setting, printed)


# ---------------------------------------------------------------- the key


EVERY_FEATURE = (
    BarForm(opens=True, closes=3, ending=(1,), before=("segno", "coda"), after=("fine", "to-coda")),
    BarForm(leap=Leap("da-capo")),
    BarForm(leap=Leap("dal-segno")),
)


def test_the_key_has_a_row_for_each_feature_and_each_shows_it() -> None:
    rows = CATALOGUE.repeats.key
    assert [row.feature for row in rows] == list(dict.fromkeys(row.feature for row in rows))
    assert {row.feature for row in rows} == form_features(EVERY_FEATURE)
    for row in rows:
        assert row.feature in form_features(shown_bars(row))
        assert repeat_picture(row, SETTING, CATALOGUE.schools.school[0], KEY).svg.startswith("<svg")
