"""A PDF that is made anew, and the earlier one that lies at its place.

In: the place, and what makes the PDF. Out: the PDF in its place and nothing said of the
earlier one; or, however the run ends, that one under another name, so that it is not
taken for new, and a sentence that says so. Only a run that is killed outright leaves it as
it was. A file that is no PDF cannot be taken for one, and is not touched.
"""

from __future__ import annotations

import os
import stat
from collections.abc import Callable
from contextlib import suppress
from dataclasses import replace
from pathlib import Path

from stavebound.build.values import Report
from stavebound.build.writing import write_whole
from stavebound.stopping import add_last_words, whole

# Bytes that the name of a file may have.
LONGEST_NAME = 255
PDF = b"%PDF-"


def placed(out: Path, make: Callable[[], tuple[Report, bytes | None]]) -> Report:
    """Have a PDF made and put it in its place; the report has the notes on an earlier one, and
    so has whatever is raised."""
    earlier = Earlier(out)
    add_last_words(earlier.told)
    try:
        report, data = make()
        if data is not None:
            write_whole(out, data)
    except BaseException as failure:
        for note in earlier.told():
            failure.add_note(note)
        raise
    return replace(
        report,
        notes=(*report.notes, *earlier.told()),
        written=() if data is None else (out,),
    )


class Earlier:
    """What lay at a path when the work began, if anything."""

    def __init__(self, path: Path) -> None:
        self._path = path
        self._was = _identity(path)
        self._words: tuple[str, ...] = ()

    def told(self) -> tuple[str, ...]:
        """Set it aside if it is still in the place; a sentence says what became of it. None is
        needed where nothing lay there, or where a new file has the place."""
        with whole():
            if not self._words and self._was and _identity(self._path) == self._was:
                self._words = (_set_aside(self._path),)
        return self._words


def _identity(path: Path) -> tuple[int, int] | None:
    with suppress(OSError):
        found = path.lstat()
        return found.st_dev, found.st_ino
    return None


def _set_aside(path: Path) -> str:
    if not _is_pdf(path):
        return f"{path} is no PDF, and is as it was."
    try:
        earlier = _free_name(path)
        path.replace(earlier)
    except OSError as fault:
        why = f"it cannot be given another name: {fault.strerror}"
        return f"{path} is as it was, the earlier one and not a new one; {why}."
    return f"The earlier {path} is now {earlier}."


def _is_pdf(path: Path) -> bool:
    with suppress(OSError):
        if not stat.S_ISREG(path.stat().st_mode):
            return False
        with path.open("rb") as file:
            return file.read(len(PDF)) == PDF
    return True


def _free_name(path: Path) -> Path:
    """The first name beside it that says it is an earlier one and that no file has."""
    number = 1
    while True:
        ending = f".earlier-{number}{path.suffix}"
        room = LONGEST_NAME - len(os.fsencode(ending))
        stem = os.fsencode(path.stem)[:room].decode(errors="ignore")
        if not os.path.lexists(earlier := path.with_name(stem + ending)):
            return earlier
        number += 1
