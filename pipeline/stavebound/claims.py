"""Files and folders that belong to a run as long as it lives, and no longer.

In: the folder in which they are to lie. Out: a new file or folder under a name of our own.
It always holds that the run has a lock on it, which ends with the last of its processes
however those end; that a later run clears those that are ours and locked by nobody; and
that nothing else is ever touched.
"""

from __future__ import annotations

import errno
import fcntl
import os
import re
import secrets
import shutil
import stat
import tempfile
from collections.abc import Callable, Iterator
from contextlib import contextmanager, suppress
from functools import partial
from pathlib import Path

from stavebound.stopping import clearing

# Files begin with a dot, and are hidden where they lie beside a book.
OWN_NAME = re.compile(r"\.?stavebound-[0-9a-f]{12}")
# What a system says where no more can be written.
NO_ROOM = frozenset({errno.ENOSPC, errno.EDQUOT, errno.EFBIG})


class UnwritableError(Exception):
    """A place that cannot be written to: it is full, closed to us, or no place at all."""

    def __init__(self, place: object, why: object) -> None:
        super().__init__(f"{place} cannot be written: {why}.")


@contextmanager
def claimed_file(place: Path) -> Iterator[tuple[Path, int]]:
    """A new file in the folder, open for writing; gone at the end, if it is still there."""
    with _claimed(place, ".", _new_file) as claim:
        yield claim


@contextmanager
def scratch_folder() -> Iterator[Path]:
    """A folder for what need not last, in which `tempfile` works as well. UnwritableError
    where there is none to be had."""
    before = tempfile.tempdir
    try:
        place = Path(tempfile.gettempdir())
    except FileNotFoundError:
        raise UnwritableError("a temporary folder", "set TMPDIR to one that can be") from None
    with _claimed(place, "", _new_folder) as (folder, _):
        tempfile.tempdir = str(folder)
        try:
            yield folder
        finally:
            tempfile.tempdir = before


@contextmanager
def _claimed(
    place: Path, begins: str, make: Callable[[Path], int | None]
) -> Iterator[tuple[Path, int]]:
    _clear_dead(place)
    try:
        path, handle = _claim(place, begins, make)
    except OSError as fault:
        raise UnwritableError(place, fault.strerror) from None
    with clearing(partial(_remove, path)):
        try:
            yield path, handle
        finally:
            os.close(handle)


def _claim(place: Path, begins: str, make: Callable[[Path], int | None]) -> tuple[Path, int]:
    """Made and locked; anew where another run took it for dead before it was locked."""
    while True:
        path = place / f"{begins}stavebound-{secrets.token_hex(6)}"
        handle = make(path)
        if handle is not None:
            if _locked(handle) is not False and _is_at(handle, path):
                return path, handle
            os.close(handle)


def _new_file(path: Path) -> int:
    return os.open(path, os.O_RDWR | os.O_CREAT | os.O_EXCL, 0o666)


def _new_folder(path: Path) -> int | None:
    path.mkdir(mode=0o700)
    try:
        return os.open(path, os.O_RDONLY | os.O_DIRECTORY)
    except FileNotFoundError:
        return None


def _clear_dead(place: Path) -> None:
    with suppress(OSError), os.scandir(place) as entries:
        for entry in entries:
            if OWN_NAME.fullmatch(entry.name):
                _clear(Path(entry.path))


def _clear(path: Path) -> None:
    """Remove it where it is ours, and its run is dead."""
    with suppress(OSError):
        # Never waits, were it a pipe.
        handle = os.open(path, os.O_RDONLY | os.O_NOFOLLOW | os.O_NONBLOCK)
        try:
            if _is_ours(os.fstat(handle)) and _locked(handle) and _is_at(handle, path):
                _remove(path)
        finally:
            os.close(handle)


def _is_ours(found: os.stat_result) -> bool:
    return found.st_uid == os.geteuid() and (
        stat.S_ISDIR(found.st_mode) or stat.S_ISREG(found.st_mode)
    )


def _locked(handle: int) -> bool | None:
    """Whether the lock is ours from now on: not where another has it; None where this file
    system has no locks."""
    try:
        fcntl.flock(handle, fcntl.LOCK_EX | fcntl.LOCK_NB)
    except BlockingIOError:
        return False
    except OSError:
        return None
    return True


def _is_at(handle: int, path: Path) -> bool:
    with suppress(OSError):
        return os.path.samestat(os.fstat(handle), path.lstat())
    return False


def _remove(path: Path) -> None:
    with suppress(OSError):
        if stat.S_ISDIR(path.lstat().st_mode):
            shutil.rmtree(path, ignore_errors=True)
        else:
            path.unlink()
