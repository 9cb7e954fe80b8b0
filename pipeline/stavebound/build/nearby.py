"""Which file was meant by a name that leads to none.

In: the name, the folder of the file that names it, the root, and what tells whether a
file could be meant. Out: a hint, or None. Links and hidden files are left out, and of
a large folder only so many files are looked at.
"""

from __future__ import annotations

import os
from collections import deque
from collections.abc import Callable, Iterator
from itertools import islice
from pathlib import Path, PurePosixPath

from stavebound.suggest import did_you_mean, nearest

_MOST_FILES = 2000
_MOST_FOLDERS = 200
_MOST_GUESSES = 3
_MOST_OFFERED = 3


def near(name: str, folder: Path, root: Path, could_be: Callable[[Path], bool]) -> str | None:
    """The files of this very name in other folders, else those of the name most like it; folder
    and ending, which are alike in most, tell nothing."""
    path = PurePosixPath(name)
    known: dict[str, list[Path]] = {}
    for file in islice(_files(folder, root), _MOST_FILES):
        if file.suffix.casefold() in (path.suffix.casefold(), ".xml"):
            known.setdefault(file.stem.casefold(), []).append(file)
    for _ in range(_MOST_GUESSES):
        stem = nearest(path.stem, known)
        meant = [file for file in known.pop(stem) if could_be(file)] if stem else []
        if meant or not stem:
            ways = (os.path.relpath(file, folder) for file in meant[:_MOST_OFFERED])
            return did_you_mean([Path(way).as_posix() for way in ways])
    return None


def _files(folder: Path, root: Path) -> Iterator[Path]:
    """The files of the folder and below it, then of all the root; outer ones first."""
    seen: set[Path] = set()
    for start in (folder, root):
        waiting = deque((start,))
        while waiting and len(seen) < _MOST_FOLDERS:
            place = waiting.popleft()
            if place not in seen:
                seen.add(place)
                files, folders = _entries(place)
                waiting.extend(folders)
                yield from files


def _entries(place: Path) -> tuple[list[Path], list[Path]]:
    """Files and folders, each by name; none of a place that may not be looked into."""
    try:
        with os.scandir(place) as found:
            entries = sorted(islice(found, _MOST_FILES), key=lambda entry: entry.name)
    except OSError:
        return [], []
    seen = [entry for entry in entries if not entry.name.startswith(".")]
    files = [place / entry.name for entry in seen if entry.is_file(follow_symlinks=False)]
    folders = [place / entry.name for entry in seen if entry.is_dir(follow_symlinks=False)]
    return files, folders
