"""The proof: a table that is broken, or a score that says something else, is always found.

Every row of the sign table is scaled, moved, thinned, robbed of a part, doubled and
exchanged with every other, in a copy; the reader has a table of its own, and must fail.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest
from typer.testing import CliRunner

from stavebound.engrave.parts import Setting
from stavebound.proof.written import written_lines
from stavebound.readback.barlines import DOTS
from stavebound.readback.prove import prove
from stavebound.score.model import (
    Score,
)
from stavebound.svg.staves import draw_staves
from stavebound.trade.tables import Sign as Drawing
from tests.support.readers import EVERY_SIGN, KEY, SOME_SIGNS, frames_with, proved, signs_of
from tests.support.staves import (
    CATALOGUE,
    FACES,
    SETTING,
    engraved,
    printed_of,
    small_score,
)

RUNNER = CliRunner()
BOOK = Path(__file__).parents[1] / "books" / "syllabus" / "book.xml"


# ---------------------------------------------------------------- broken tables

OF_REPEATS = {row.name for row in CATALOGUE.repeats.sign} | {DOTS}
SIGNS = {row.name for row in KEY.table.sign} - OF_REPEATS
NAMES = sorted(SIGNS | {row.name for row in KEY.table.mark})
KINDS = ("strokes", "discs", "rings", "curves")


def with_signs(**drawings: Drawing) -> Setting:
    signs = {**CATALOGUE.signs, **{name.replace("_", " "): row for name, row in drawings.items()}}
    return replace(SETTING, catalogue=replace(CATALOGUE, signs=signs))


def changed(
    drawing: Drawing, change: Callable[[str, tuple[float, ...]], tuple[float, ...]]
) -> Drawing:
    """A drawing with each of its parts changed."""
    parts = {kind: tuple(change(kind, part) for part in getattr(drawing, kind)) for kind in KINDS}
    return drawing.model_copy(update=parts)


def scaled(kind: str, part: tuple[float, ...]) -> tuple[float, ...]:
    return tuple(1.12 * number for number in part)


def moved(dx: float, dy: float) -> Callable[[str, tuple[float, ...]], tuple[float, ...]]:
    places = {"strokes": 4, "discs": 2, "rings": 2, "curves": 8}

    def change(kind: str, part: tuple[float, ...]) -> tuple[float, ...]:
        many = places[kind]
        shifted = [number + (dy if index % 2 else dx) for index, number in enumerate(part[:many])]
        return (*shifted, *part[many:])

    return change


def thinner(kind: str, part: tuple[float, ...]) -> tuple[float, ...]:
    return (*part[:-1], part[-1] * 0.8)


def without_last(drawing: Drawing) -> Drawing:
    kind = next(kind for kind in reversed(KINDS) if getattr(drawing, kind))
    return drawing.model_copy(update={kind: getattr(drawing, kind)[:-1]})


CHANGES: dict[str, Callable[[Drawing], Drawing]] = {
    "scaled": lambda drawing: changed(drawing, scaled),
    "moved across": lambda drawing: changed(drawing, moved(0.05, 0.0)),
    "moved up": lambda drawing: changed(drawing, moved(0.0, 0.05)),
    "thinner": lambda drawing: changed(drawing, thinner),
    "lacking a part": without_last,
    "doubled": lambda drawing: drawing.model_copy(
        update={
            kind: (*getattr(drawing, kind), *getattr(changed(drawing, moved(0.5, 0)), kind))
            for kind in KINDS
        }
    ),
}


def test_every_sign_of_the_table_is_used_and_read() -> None:
    score = EVERY_SIGN
    used = {sign for system in engraved(score).systems for sign in signs_of(system)}
    assert used == set(NAMES)
    assert proved(score) == ()


def parts_of(drawing: Drawing) -> int:
    return sum(len(getattr(drawing, kind)) for kind in KINDS)


@pytest.mark.parametrize(
    ("name", "change"),
    [
        (name, change)
        for name in NAMES
        for change in CHANGES
        if change != "lacking a part" or parts_of(CATALOGUE.signs[name]) > 1
    ],
)
def test_the_proof_fails_where_a_drawing_is_broken(name: str, change: str) -> None:
    score = frames_with(name)
    broken = with_signs(**{name: CHANGES[change](CATALOGUE.signs[name])})
    faults = proved(score, setting=broken)
    assert faults
    assert {fault.code for fault in faults} <= {"R103", "R104", "R105", "R106", "R201"}
    assert all(fault.span and fault.span.line > 1 for fault in faults)


@pytest.mark.parametrize("at", range(1, len(NAMES)), ids=NAMES[1:])
def test_the_proof_fails_where_two_drawings_are_exchanged(at: int) -> None:
    """Any two of them, in a score that uses the one."""
    one = NAMES[at]
    drawings, score = CATALOGUE.signs, frames_with(one)
    swaps = {
        other: with_signs(**{one: drawings[other], other: drawings[one]}) for other in NAMES[:at]
    }
    assert [other for other, swapped in swaps.items() if not proved(score, setting=swapped)] == []


def test_a_hook_turned_over_fails() -> None:
    hook = CATALOGUE.signs["hook"]
    turned = changed(
        hook,
        lambda _, part: (*(-n if i % 2 == 0 else n for i, n in enumerate(part[:8])), part[8]),
    )
    assert proved(EVERY_SIGN, setting=with_signs(hook=turned))


def test_the_fault_stands_at_the_frame_whose_ink_it_is() -> None:
    drawings = CATALOGUE.signs
    wrong = with_signs(**{"straight again": drawings["half bend"]})
    faults = proved(small_score(SOME_SIGNS), setting=wrong)
    assert {fault.code for fault in faults} == {"R201"}
    assert {fault.span.line for fault in faults if fault.span} == {8}
    assert 'the ink says <knee side="right" bend="half"' in faults[0].message
    assert 'the source <knee side="right" bend="none"/>' in faults[0].message


def test_a_line_is_broken_round_what_stands_on_it_and_round_nothing_else() -> None:
    inside = '<hand side="right" height="waist" out="0.20" depth="{}"/>'
    phrase = '<start><feet in="first"/></start><phrase counts="4"><frame at="1">{}</frame></phrase>'
    level, front = (
        small_score(phrase.format(inside.format(depth))) for depth in ("level", "front")
    )
    assert proved(level) == proved(front) == ()
    close, *_ = proved(level, setting=with_line_breaks(0.10))
    assert close.code == "R103"
    assert "“level” on a line of the stave that is not broken round it" in close.message
    broken = CATALOGUE.signs["front"].model_copy(update={"lines": "rather off"})
    told = proved(front, setting=with_signs(front=broken))
    assert "a line of the stave that is broken round nothing" in told[0].message


def with_line_breaks(white: float) -> Setting:
    distances = {**SETTING.style.distances, "line break": white}
    return replace(SETTING, style=replace(SETTING.style, distances=distances))


def test_the_proof_finds_what_was_not_drawn() -> None:
    score = small_score(SOME_SIGNS)
    page = engraved(score)
    other = small_score(SOME_SIGNS.replace('bend="full"', 'bend="half"').replace("fourth", "fifth"))
    told = [
        fault
        for system, written in zip(
            page.systems, written_lines(engraved(other), printed_of(other)), strict=True
        )
        for fault in prove(draw_staves(system, FACES), written, KEY, FACES)
    ]
    assert {fault.code for fault in told} == {"R201"}
    assert {fault.span.line for fault in told if fault.span} == {4, 7}


def test_the_proof_finds_words_bars_and_counts_that_differ() -> None:
    score = small_score(SOME_SIGNS.replace('at="3"', 'at="3" step="plié"'))
    page = engraved(score)
    for changed_score in (
        small_score(SOME_SIGNS),
        small_score(SOME_SIGNS.replace('at="3"', 'at="3" step="tendu"')),
        small_score(SOME_SIGNS.replace('at="4"', 'at="4" step="plié"')),
    ):
        assert found_in(page.systems, changed_score) == {"R201"}
    longer = SOME_SIGNS.replace('<frame at="5">', '<frame at="4 and"/><frame at="5">')
    assert found_in(page.systems, small_score(longer)) == {"R201"}
    threes = '<music metre="3/4" counts-per-bar="3"/>'
    (wide,) = engraved(small_score(SOME_SIGNS), 300.0).systems
    other = printed_of(small_score(SOME_SIGNS))
    one = written_lines(engraved(small_score(SOME_SIGNS, threes), 300.0), other)
    assert {fault.code for fault in prove(draw_staves(wide, FACES), one[0], KEY, FACES)} == {"R201"}


def test_the_proof_finds_a_bar_line_on_the_wrong_side_of_a_frame() -> None:
    """Where there are as many bars as there should be."""
    bars = '<bar at="5" counts="3"/><bar at="8" counts="5"/><frame at="1">'
    other = small_score(SOME_SIGNS.replace('<frame at="1">', bars))
    (drawn,) = engraved(small_score(SOME_SIGNS), 300.0).systems
    (written,) = written_lines(engraved(other, 300.0), printed_of(other))
    (fault,) = prove(draw_staves(drawn, FACES), written, KEY, FACES)
    assert fault.message == "the ink says 2 bar lines before this, and the source 3"


def found_in(systems: tuple[Any, ...], score: Score) -> set[str]:
    lines = written_lines(engraved(score), printed_of(score))
    return {
        fault.code
        for system, written in zip(systems, lines, strict=False)
        for fault in prove(draw_staves(system, FACES), written, KEY, FACES)
    }
