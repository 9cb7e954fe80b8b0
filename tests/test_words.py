"""Words of the code: a class's name means one thing, whichever room one is in."""

from __future__ import annotations

import ast
from collections import defaultdict
from pathlib import Path

import stavebound

PACKAGE = Path(stavebound.__file__).parent
# One thing at two stages, by its name.
ALIKE = {
    "Chapter": "of a book's plan, and as it goes to the press",
}


def classes() -> dict[str, list[str]]:
    """Every public class by its name: the modules that have one."""
    found = defaultdict(list)
    for path in sorted(PACKAGE.rglob("*.py")):
        for node in ast.parse(path.read_text(encoding="utf-8")).body:
            if isinstance(node, ast.ClassDef) and not node.name.startswith("_"):
                found[node.name].append(path.relative_to(PACKAGE).as_posix())
    return found


def test_no_two_classes_have_one_name() -> None:
    twice = {name: modules for name, modules in classes().items() if len(modules) > 1}
    assert set(twice) == set(ALIKE), twice


def test_every_row_of_the_glossary_says_one_word_once() -> None:
    guide = (Path(__file__).parents[1] / "DEVELOPERS.md").read_text(encoding="utf-8")
    section = guide.split("\n## Words\n")[1].split("\n## ")[0]
    rows = [row.split(" | ")[0].removeprefix("| ") for row in section.splitlines() if "|" in row]
    words = [word for word in rows if word not in ("word", "|---|---|")]
    assert len(words) > 40
    assert sorted(words) == sorted(set(words))
