"""What the names of steps promise: usual ways to dance them pass, and wrong ones are told.

cases/promises/steps.toml has both, in a short form of the dialect, for every row of the table.
"""

from __future__ import annotations

import re
import tomllib
from dataclasses import dataclass
from pathlib import Path

import pytest

from stavebound.check.promises.named import promised
from stavebound.diagnostics import Diagnostic, Severity
from stavebound.plan.book import StyleSheet
from stavebound.plan.house_promises import with_house_promises
from stavebound.source.rules import NAMESPACE
from stavebound.trade.catalogue import Catalogue
from stavebound.trade.steps import Promise
from tests.support.sources import faults_of, root_of, score_of, whole
from tests.support.staves import CATALOGUE

CASES = Path(__file__).parent / "cases" / "promises" / "steps.toml"
ROWS = tomllib.loads(CASES.read_text(encoding="utf-8"))["row"]
START = "fifth R"
SIDES = {"R": "right", "L": "left"}
RISES = {"whole": "whole foot", "half": "half point", "point": "point"}
PLACES = {"off": "off the floor"}
FEW = 3
EXAMPLE = re.compile(r"(?:(?P<name>[^:(|;]+): )?(?:\((?P<start>[^)]+)\) )?(?P<frames>.+)")


@dataclass(frozen=True)
class Example:
    row: int
    text: str
    kept: bool

    def __str__(self) -> str:
        return f"{ROWS[self.row]['name']}, {'kept' if self.kept else 'broken'}: {self.text}"


EXAMPLES = [
    Example(number, text, kind == "kept")
    for number, row in enumerate(ROWS)
    for kind in ("kept", "broken")
    for text in row[kind]
]


def parts(text: str) -> str:
    """What a frame or a start writes, in the dialect."""
    return "".join(_part(part.split()) for part in text.split(";"))


def _part(words: list[str]) -> str:
    first, *rest = words
    if first in SIDES and rest[0] == "knee":
        return f'<knee side="{SIDES[first]}" bend="{rest[1]}"/>'
    if first in SIDES and rest[0] == "on":
        return f'<foot side="{SIDES[first]}" on="{RISES[rest[1]]}"{_how(rest[2:])}/>'
    if first in SIDES:
        place = rest[1]
        kind = "raised" if place.isdecimal() else "height" if "+" in place else "place"
        where = f'to="{rest[0]}" {kind}="{PLACES.get(place, place)}"'
        return f'<foot side="{SIDES[first]}" {where}{_how(rest[2:])}/>'
    if first == "knees":
        return f'<knees bend="{rest[0]}"/>'
    if first == "turn":
        return f'<turn to="{rest[0]}" by="{rest[1]}" on="{rest[2]}"/>'
    if first == "travel":
        return f'<travel to="{rest[0]}" of="body"/>'
    if first == "bourrée":
        return f'<travel to="{rest[0]}" of="body" steps="bourrée"/>'
    if first == "arms":
        return f'<arms in="{" ".join(rest)}"/>'
    if first == "body":
        return f'<body bend="{" ".join(rest)}"/>'
    position = "" if first == "feet" else f' in="{first.replace("-", " ")}"'
    return f"<feet{position}{_feet(rest)}/>"


def _feet(words: list[str]) -> str:
    if not words:
        return ""
    first, *rest = words
    if first in SIDES:
        return f' front="{SIDES[first]}"{_feet(rest)}'
    return f' on="{RISES[first]}"{_feet(rest)}' if first in RISES else _how(words)


def _how(words: list[str]) -> str:
    pairs = zip(words[::2], words[1::2], strict=True)
    return "".join(f' {name}="{SIDES.get(word, word.replace("+", " "))}"' for name, word in pairs)


def score_text(example: Example) -> str:
    row = ROWS[example.row]
    found = EXAMPLE.fullmatch(example.text)
    assert found
    frames = [parts(frame) for frame in found["frames"].split("|")]
    name = found["name"] or row["name"]
    said = "".join(f' {one}="{row[one]}"' for one in ("school", "pupils") if one in row)
    return (
        f'<score xmlns="{NAMESPACE}" title="A step"{said}>'
        f"<start>{parts(found['start'] or row.get('start', START))}</start>"
        f'<phrase counts="{max(4, len(frames))}">'
        + "".join(
            f'<frame at="{count}"' + (f' step="{name}"' if count == 1 else "") + f">{frame}</frame>"
            for count, frame in enumerate(frames, 1)
        )
        + "</phrase></score>"
    )


def found_in(text: str) -> tuple[list[Diagnostic], list[Diagnostic]]:
    """What is said of promises, and what else is wrong."""
    faults = faults_of(score_of(text), {}, CATALOGUE)
    of_names = [fault for fault in faults if fault.code == "T522"]
    return of_names, [
        fault for fault in faults if fault.severity is Severity.ERROR and fault not in of_names
    ]


@pytest.mark.parametrize("example", EXAMPLES, ids=str)
def test_a_step_is_danced_as_its_name_promises(example: Example) -> None:
    told, _ = found_in(score_text(example))
    if example.kept:
        assert not told, told[0].message
    else:
        sure = ROWS[example.row].get("sure", "error")
        assert [str(fault.severity) for fault in told] == [sure]


@pytest.mark.parametrize("row", ROWS, ids=lambda row: row["name"])
def test_every_row_has_three_of_each(row: dict[str, list[str]]) -> None:
    assert min(len(row["kept"]), len(row["broken"])) >= FEW


def rows_of(row: dict[str, str]) -> tuple[Promise, ...]:
    return promised(row["name"], row.get("school", "english"), CATALOGUE)


def test_every_row_of_the_table_is_tried(catalogue: Catalogue) -> None:
    tried = {row.says for case in ROWS for row in rows_of(case)}
    assert {row.says for row in catalogue.steps.step} == tried


def told_in_a_house(style: str, score: str) -> list[str]:
    sheet = root_of(f'<style xmlns="{NAMESPACE}">{style}</style>')
    assert isinstance(sheet, StyleSheet)
    house = with_house_promises(CATALOGUE, (sheet,))
    return [one.code for one in faults_of(score_of(score), {}, house) if one.code == "T522"]


@pytest.mark.parametrize(
    ("style", "name", "told"),
    [
        ("", "tendu", True),
        ('<promise of="Tendu" is="none"/>', "tendus", False),
        ('<promise of="Tendu" is="none"/>', "glissé", True),
        ('<promise of="tendu" is="élevé"/>', "tendu", True),
        ("", "montée", False),
        ('<promise of="montée" is="glissé"/>', "montées", True),
        ('<promise of="montée" is="demi-plié"/>', "montée", False),
    ],
)
def test_a_house_says_what_its_names_promise(style: str, name: str, told: bool) -> None:
    score = whole(f'<frame at="1" step="{name}"><knees bend="half"/></frame>')
    assert bool(told_in_a_house(style, score)) is told


DEFINED = (
    '<define step="tendu" counts="2" takes="place">'
    '<frame at="1"><foot side="right" to="front" place="{place}"/></frame>'
    '<frame at="2"><feet in="fifth" front="right"/></frame></define>'
)


@pytest.mark.parametrize(
    ("do", "told"),
    [
        ('<do step="tendu" with="place pointed"/>', 0),
        ('<do step="tendu" with="place off the floor"/>', 1),
        ('<do step="tendu" with="place off the floor" promise="none"/>', 0),
        ('<do step="tendu" with="place pointed"/><do step="tendu" with="place off the floor"/>', 1),
        (
            '<do step="tendu" with="place off the floor"/>'
            '<over><frame at="1" step="devant"/></over>',
            1,
        ),
        (
            '<do step="tendu" with="place off the floor"/>'
            '<over><frame at="1" promise="none"/></over>',
            0,
        ),
    ],
)
def test_a_step_by_do_is_held_against_the_name_of_its_definition(do: str, told: int) -> None:
    text = whole(f'{DEFINED}<phrase counts="4">{do}</phrase>')
    found, _ = found_in(text)
    assert len(found) == told
    assert all(
        text.splitlines()[0][one.span.column - 1 :].startswith("tendu") for one in found if one.span
    )


def test_a_score_says_that_its_names_promise_nothing() -> None:
    text = whole(
        '<phrase counts="4"><frame at="1" step="tendu"><knees bend="half"/></frame></phrase>'
    )
    assert found_in(text)[0]
    assert not found_in(text.replace("title=", 'promise="none" title='))[0]


@pytest.mark.parametrize("closing", ["demi-plié", "changement"])
def test_a_step_may_close_in_the_frame_of_the_next_name(closing: str) -> None:
    text = whole(
        '<start><feet in="fifth" front="right"/><arms in="bras bas"/></start>'
        '<phrase counts="4"><frame at="1" step="grand battement">'
        '<foot side="right" to="front" raised="90" path="straight"/></frame>'
        f'<frame at="2" step="{closing}"><feet in="fifth" front="right"/>'
        '<knees bend="half"/></frame></phrase>'
    )
    assert len(found_in(text)[0]) == (closing == "changement")


@pytest.mark.parametrize(
    ("name", "rows"),
    [
        ("Relevés", ["releve"]),
        ("RELEVE", ["releve"]),
        ("relevé lent", []),
        ("tendu plié", []),
        ("temps levé sauté", ["temps leve saute"]),
        ("posés", ["posé"]),
        ("pose", []),
        ("balance", []),
        ("balancé", ["balancé"]),
        ("tendu, demi-plié", ["tendu", "demi plie"]),
        ("développé; arabesque", ["developpe", "arabesque"]),
        ("port de bras", []),
    ],
)
def test_the_longest_name_counts(name: str, rows: list[str]) -> None:
    found = [row.names[0] for row in promised(name, "italian", CATALOGUE)]
    assert sorted(set(found)) == sorted(rows)
