"""What tests share lies in `tests/support`: none of them imports another, a storm or a bench."""

from __future__ import annotations

import ast
from collections.abc import Iterator
from pathlib import Path

TESTS = Path(__file__).parent
FILES = [*TESTS.rglob("test_*.py"), *(TESTS / "support").glob("*.py"), TESTS / "conftest.py"]


def imported(path: Path) -> Iterator[str]:
    for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
        if isinstance(node, ast.Import):
            yield from (name.name for name in node.names)
        elif isinstance(node, ast.ImportFrom):
            yield "." * node.level + (node.module or "")


def test_tests_share_what_lies_in_support_alone() -> None:
    ours = {
        path: {name for name in imported(path) if name.startswith((".", "tests"))} for path in FILES
    }
    assert sum(map(len, ours.values())) > len(FILES)
    assert {
        path.name: names
        for path, all_names in ours.items()
        if (names := {name for name in all_names if not name.startswith("tests.support.")})
    } == {}
