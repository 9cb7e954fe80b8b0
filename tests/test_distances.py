"""Every distance and cost of the engraving stands in a table: Python has pure numerics alone."""

from __future__ import annotations

import ast
from collections.abc import Iterator
from pathlib import Path

import stavebound
from tests.support.staves import CATALOGUE, SETTING

PACKAGE = Path(stavebound.__file__).parent
ROOMS = ("engrave", "drawing", "svg")
# Nothing, a half, one and two are arithmetic.
PLAIN = (0.0, 0.5, 1.0, 2.0)
# The numbers by name that are no distance, each with the reason.
NUMERICS = {
    "ROUNDING": "below it two reckoned numbers are one",
    "TRIED": "how many lines of either of two limbs that go together are tried",
    "TURNING": "how many steps more a turn is worth than beginning or ending over a sign",
    "GIVING_WAY": "how many signs at most give way to one",
    "CONTROLS": "what the controls of a cubic weigh in its middle",
    "HALVINGS": "how often a part of a curve is halved to find a place on it",
    "QUARTER": "where the controls of a quarter of a circle stand",
    "STEPS": "how many pieces of a curve its stroke is made of",
    "PIECES": "in how many pieces half a line of movement is looked at",
    "SHARPEST": "the cosine of the sharpest point of a line, whose sides meet in it",
    "REMEMBERED": "how many are remembered",
    "LABELS": "how many are remembered",
    "ORDERS": "how many are remembered",
    "GAPS": "how many are remembered",
    "DIGITS": "how many digits count",
    "LINES": "how many are remembered",
    "SIGNS": "how many are remembered",
    "STYLES": "how many are remembered",
    "PATTERNS": "how many are remembered",
}


def modules() -> Iterator[tuple[str, ast.Module]]:
    for room in ROOMS:
        for path in sorted((PACKAGE / room).glob("*.py")):
            yield f"{room}/{path.name}", ast.parse(path.read_text(encoding="utf-8"))


def constants(tree: ast.Module) -> Iterator[tuple[str, ast.expr]]:
    """What a module names in capitals."""
    for node in tree.body:
        match node:
            case ast.Assign([ast.Name(name)], value) if name.isupper():
                yield name, value


def numbers(tree: ast.AST) -> Iterator[tuple[int, float]]:
    """The lines of a tree's numbers."""
    for node in ast.walk(tree):
        match node:
            case ast.Constant(int() | float() as value, lineno=line) if type(value) is not bool:
                yield line, value


def test_no_distance_is_a_literal() -> None:
    for where, tree in modules():
        listed = {
            line
            for name, value in constants(tree)
            if name in NUMERICS
            for line, _ in numbers(value)
        }
        for line, number in numbers(tree):
            is_plain = isinstance(number, int) or number in PLAIN or line in listed
            assert is_plain, f"{where}:{line} has {number}"


def test_a_number_with_a_name_is_no_distance() -> None:
    found: set[str] = set()
    for where, tree in modules():
        for name, value in constants(tree):
            alone = value.elts if isinstance(value, ast.Tuple) else [value]
            if all(isinstance(one, ast.Constant) for one in alone) and any(
                number for _, number in numbers(value)
            ):
                assert name in NUMERICS, f"{where} has {name}"
            found.add(name)
    assert set(NUMERICS) <= found


def test_every_name_of_a_distance_is_one_of_the_tables_and_used() -> None:
    """`fixed` ones are known by their names, in no two tables, and each is asked for."""
    engraving = CATALOGUE.engraving
    names = [row.name for row in (*engraving.distance, *engraving.fixed)]
    assert len(set(names)) == len(names)
    assert SETTING.style.distances == {
        row.name: row.value for row in (*engraving.distance, *engraving.fixed)
    }
    sources = "".join(path.read_text(encoding="utf-8") for path in PACKAGE.rglob("*.py"))
    for row in engraving.fixed:
        assert row.description
        assert f'"{row.name}"' in sources or f"'{row.name}'" in sources
