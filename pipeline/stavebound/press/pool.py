"""Chapters through the press, several at a time.

In: chapters, faces and a number of processes. Out: the pressed chapters, in the order
given. It always holds that the number of processes does not change a byte; what else
holds of them stands in `workers`.
"""

from __future__ import annotations

import importlib
from collections.abc import Callable, Iterable, Iterator
from contextlib import contextmanager, suppress
from typing import Any

from stavebound.claims import scratch_folder
from stavebound.faces import Faces
from stavebound.press.libraries import shared_libraries
from stavebound.press.values import Chapter, Pressed, PressError
from stavebound.workers import Tell, WorkerDiedError, silent, workers

# Not imported before the libraries have been found: without them the import itself fails.
LAYOUT = "stavebound.press.layout"

Press = Callable[[Iterable[Chapter]], tuple[Pressed, ...]]


@contextmanager
def open_press(faces: Faces, jobs: int = 1, tell: Tell = silent) -> Iterator[Press]:
    """Within, chapters are laid out, each by itself, in up to `jobs` processes.

    Chapters that are still being made are laid out as they come. `tell` is called here with
    the key of each chapter as it is done. PressError where a library is missing, or where a
    chapter cannot be laid out without complaint.
    """
    shared_libraries()
    try:
        # Fonts of the press are files while it works.
        with scratch_folder(), workers(_Presser(faces), jobs, _layout) as do:
            yield lambda chapters: do(((chapter.key, chapter) for chapter in chapters), tell)
    except WorkerDiedError:
        raise PressError("a worker of the press died; the machine may lack memory") from None


def load_press() -> None:
    """Load what the press is made of, where this process has nothing else to do. A library
    that is missing is told when the press is opened."""
    with suppress(PressError):
        shared_libraries()
        _layout()


def press_chapters(
    chapters: Iterable[Chapter], faces: Faces, jobs: int = 1, tell: Tell = silent
) -> tuple[Pressed, ...]:
    """These chapters through a press of their own."""
    with open_press(faces, jobs, tell) as press:
        return press(chapters)


class _Presser:
    """Presses chapters in these faces, and keeps what it has made ready for the first."""

    def __init__(self, faces: Faces) -> None:
        self._faces = faces
        self._desk: Any = None

    def __call__(self, chapter: Chapter) -> Pressed:
        if self._desk is None:
            self._desk = _layout().Desk(self._faces)
        pressed: Pressed = self._desk.press(chapter)
        return pressed


def _layout() -> Any:
    return importlib.import_module(LAYOUT)
