"""Writing files: all of them, or nothing.

In: bytes and paths. Out: the files, complete. What is written lies in the same folder under
another name until all of it is whole, and then takes its place at once; a run that is
killed before leaves the place as it was.
"""

from __future__ import annotations

import errno
import os
from collections.abc import Iterable, Iterator
from contextlib import ExitStack, contextmanager, suppress
from pathlib import Path

from stavebound.claims import UnwritableError, claimed_file
from stavebound.stopping import clearing, note_written, whole


def write_whole(path: Path, data: bytes) -> None:
    """Write and put in place at once. UnwritableError where that cannot be done."""
    write_all(((path, data),))


def write_all(files: Iterable[tuple[Path, bytes]]) -> tuple[Path, ...]:
    """Write all these files aside, then put all in place. UnwritableError where that cannot be
    done, and then there is no new file or folder."""
    with ExitStack() as stack:
        made = [(path, stack.enter_context(_aside(path, data))) for path, data in files]
        with whole():
            for path, aside in made:
                with _told_of(path):
                    aside.replace(path)
                note_written(path)
    return tuple(path for path, _ in made)


@contextmanager
def _aside(path: Path, data: bytes) -> Iterator[Path]:
    """A file beside the path that holds the data."""
    with ExitStack() as stack:
        with _told_of(path):
            if path.is_dir():
                raise IsADirectoryError(errno.EISDIR, os.strerror(errno.EISDIR))
            _check_name(path)
            stack.enter_context(_folder(path.parent))
        aside, handle = stack.enter_context(claimed_file(path.parent))
        with _told_of(path):
            _write(handle, data)
        yield aside


def _write(handle: int, data: bytes) -> None:
    rest = memoryview(data)
    while rest:
        rest = rest[os.write(handle, rest) :]
    os.fsync(handle)


def _check_name(path: Path) -> None:
    """OSError where no file can have this name, found before anything is written."""
    with suppress(FileNotFoundError):
        path.lstat()


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
