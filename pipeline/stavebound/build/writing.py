"""Writing files: all of them, or nothing.

In: bytes and paths. Out: the files, complete. What is written lies hidden in the same folder
until all of it is whole, and then takes its place at once; a run that is killed before
leaves the place as it was.
"""

from __future__ import annotations

import errno
import os
from collections.abc import Iterable, Iterator
from contextlib import ExitStack, contextmanager, suppress
from pathlib import Path

from stavebound.claims import UnwritableError, claimed_folder
from stavebound.stopping import clearing, note_written, whole


def write_whole(path: Path, data: bytes) -> None:
    """Write and put in place at once. UnwritableError where that cannot be done."""
    write_all(((path, data),))


def write_all(files: Iterable[tuple[Path, bytes]]) -> tuple[Path, ...]:
    """Write all these files aside, then put all in place. UnwritableError where that cannot be
    done, and then there is no new file or folder."""
    with ExitStack() as stack:
        hidden: dict[Path, Path] = {}
        made: list[tuple[Path, Path]] = []
        for path, data in files:
            with _told_of(path):
                _check_place(path)
                if path.parent not in hidden:
                    hidden[path.parent] = stack.enter_context(_hidden(path.parent))
                aside = hidden[path.parent] / str(len(made))
                _write(aside, data)
            made.append((path, aside))
        with whole():
            for path, aside in made:
                with _told_of(path):
                    aside.replace(path)
                note_written(path)
    return tuple(path for path, _ in made)


def _write(path: Path, data: bytes) -> None:
    with path.open("wb") as file:
        file.write(data)
        file.flush()
        os.fsync(file.fileno())


def _check_place(path: Path) -> None:
    """OSError where no file can have this name, found before anything is in its place."""
    if path.is_dir():
        raise IsADirectoryError(errno.EISDIR, os.strerror(errno.EISDIR))
    with suppress(FileNotFoundError):
        path.lstat()


@contextmanager
def _hidden(folder: Path) -> Iterator[Path]:
    """A place in the folder, which is made, for what is not whole yet."""
    with _folder(folder), claimed_folder(folder, ".") as hidden:
        yield hidden


@contextmanager
def _folder(path: Path) -> Iterator[None]:
    """Makes the folder and those it lies in; what is empty of them in the end is gone again."""
    missing = [folder for folder in (path, *path.parents) if not folder.exists()]

    def leave() -> None:
        with suppress(OSError):
            for folder in missing:
                folder.rmdir()

    with clearing(leave):
        path.mkdir(parents=True, exist_ok=True)
        yield


@contextmanager
def _told_of(path: Path) -> Iterator[None]:
    try:
        yield
    except OSError as fault:
        raise UnwritableError(path, fault.strerror) from None
