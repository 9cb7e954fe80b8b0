"""Folders that belong to a run as long as it lives, and no longer.

In: the place in which one is to lie. Out: a new folder under a name of our own.
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
import tempfile
from collections.abc import Iterator
from contextlib import contextmanager, suppress
from functools import partial
from pathlib import Path

from stavebound.stopping import clearing

OWN_NAME = re.compile(r"\.?stavebound-[0-9a-f]{12}")
# A folder, and no link to one.
FOLDER = os.O_RDONLY | os.O_DIRECTORY | os.O_NOFOLLOW
# What a system says where no more can be written.
NO_ROOM = frozenset({errno.ENOSPC, errno.EDQUOT, errno.EFBIG})


class UnwritableError(Exception):
    """A place that cannot be written to: it is full, closed to us, or no place at all."""

    def __init__(self, place: object, why: str | None) -> None:
        super().__init__(place, why)

    def __str__(self) -> str:
        place, why = self.args
        return f"{place} cannot be written: {why}."


@contextmanager
def claimed_folder(place: Path, begins: str = "") -> Iterator[Path]:
    """A new folder in that place, gone at the end with what is in it then; its name `begins` with
    a dot where it is hidden. UnwritableError where none can be made."""
    _clear_dead(place)
    try:
        path, handle = _claim(place, begins)
    except OSError as fault:
        raise UnwritableError(place, fault.strerror) from None
    try:
        with clearing(partial(shutil.rmtree, path, ignore_errors=True)):
            yield path
    finally:
        os.close(handle)


@contextmanager
def scratch_folder() -> Iterator[Path]:
    """A folder for what need not last, in which `tempfile` works as well. UnwritableError
    where there is none to be had."""
    before = tempfile.tempdir
    try:
        place = Path(tempfile.gettempdir())
    except FileNotFoundError:
        raise UnwritableError("a temporary folder", "set TMPDIR to one that can be") from None
    with claimed_folder(place) as folder:
        tempfile.tempdir = str(folder)
        try:
            yield folder
        finally:
            tempfile.tempdir = before


def _claim(place: Path, begins: str) -> tuple[Path, int]:
    """Made and locked; anew where another run took it for dead before it was locked."""
    while True:
        path = place / f"{begins}stavebound-{secrets.token_hex(6)}"
        path.mkdir(mode=0o700)
        with suppress(FileNotFoundError):
            handle = os.open(path, FOLDER)
            if _locked(handle) is not False and _is_at(handle, path):
                return path, handle
            os.close(handle)


def _clear_dead(place: Path) -> None:
    with suppress(OSError), os.scandir(place) as entries:
        for entry in entries:
            if OWN_NAME.fullmatch(entry.name):
                _clear(Path(entry.path))


def _clear(path: Path) -> None:
    """Remove it where it is a folder of ours, and its run is dead."""
    with suppress(OSError):
        handle = os.open(path, FOLDER)
        try:
            ours = os.fstat(handle).st_uid == os.geteuid()
            if ours and _locked(handle) and _is_at(handle, path):
                shutil.rmtree(path, ignore_errors=True)
        finally:
            os.close(handle)


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
