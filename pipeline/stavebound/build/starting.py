"""A new book to begin with: a small one that builds and shows how."""

from __future__ import annotations

from importlib.resources import files
from importlib.resources.abc import Traversable
from pathlib import Path

from stavebound.build.writing import write_whole


def start_book(folder: Path) -> tuple[Path, ...]:
    """Copy the starter into an empty or new folder. FileExistsError where it holds anything."""
    if folder.exists() and (not folder.is_dir() or any(folder.iterdir())):
        raise FileExistsError(f"{folder} is not an empty folder")
    starter = files("stavebound.build") / "starter"
    return tuple(_copied(starter, folder))


def _copied(source: Traversable, target: Path) -> list[Path]:
    written = []
    for item in sorted(source.iterdir(), key=lambda entry: entry.name):
        if item.is_dir():
            written += _copied(item, target / item.name)
        elif item.name.endswith(".xml"):
            write_whole(target / item.name, item.read_bytes())
            written.append(target / item.name)
    return written
