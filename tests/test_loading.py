"""Tables are read once and handed on: whoever works with them is told which."""

from __future__ import annotations

import ast
from pathlib import Path

import stavebound

PACKAGE = Path(stavebound.__file__).parent
# Who knows files.
MAY_LOAD = ("build/", "cli.py")


def loaders(tree: ast.Module) -> set[str]:
    """The functions by which a module that reads TOML gives its tables away."""
    imported = (node for node in ast.walk(tree) if isinstance(node, ast.Import))
    if not any(name.name == "tomllib" for node in imported for name in node.names):
        return set()
    defined = (node.name for node in ast.walk(tree) if isinstance(node, ast.FunctionDef))
    return {name for name in defined if name.startswith("load_")}


def names(tree: ast.Module) -> set[str]:
    """All that is called or handed on by its name."""
    read = {node.id for node in ast.walk(tree) if isinstance(node, ast.Name)}
    return read | {node.attr for node in ast.walk(tree) if isinstance(node, ast.Attribute)}


def test_nothing_below_the_conductor_loads_tables_by_itself() -> None:
    trees = {
        path.relative_to(PACKAGE).as_posix(): ast.parse(path.read_text(encoding="utf-8"))
        for path in PACKAGE.rglob("*.py")
    }
    tables = {name for tree in trees.values() for name in loaders(tree)}
    assert tables >= {"load_catalogue", "load_table", "load_faces"}
    loading = {path for path, tree in trees.items() if (names(tree) & tables) - loaders(tree)}
    assert loading >= {"build/values.py", "cli.py"}
    assert {path for path in loading if not path.startswith(MAY_LOAD)} == set()
