"""A new book to begin with: a small one that builds and shows how."""

from __future__ import annotations

from collections.abc import Iterator
from importlib.resources import files
from importlib.resources.abc import Traversable
from pathlib import Path

from stavebound.build.writing import write_all


def start_book(folder: Path) -> tuple[Path, ...]:
    """Copy the starter into an empty or new folder, whole or not at all. FileExistsError where
    it holds anything, UnwritableError where it cannot be written."""
    if folder.exists() and (not folder.is_dir() or any(folder.iterdir())):
        raise FileExistsError(f"{folder} is not an empty folder")
    starter = files("stavebound.build") / "starter"
    return write_all(_copies(starter, folder))


def _copies(source: Traversable, target: Path) -> Iterator[tuple[Path, bytes]]:
    for item in sorted(source.iterdir(), key=lambda entry: entry.name):
        if item.is_dir():
            yield from _copies(item, target / item.name)
        elif item.name.endswith(".xml"):
            yield target / item.name, item.read_bytes()
