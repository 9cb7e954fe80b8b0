"""How a run is stopped: by Ctrl-C, by the system, by a terminal that is closed.

In: what is to be undone, and said, where the run is stopped. Out: a run that ends with 128
and the number of the signal as its exit code. It always holds that a stop raises nothing,
neither in our code nor in that of others, which could swallow it or be left half done:
wherever the main thread is, the handler undoes what is unfinished, says what became of the
files, and ends the process. Only what is done `whole` is finished before. A signal that
is ignored where the run begins stays so.
"""

from __future__ import annotations

import os
import select
import signal
from collections.abc import Callable, Iterator
from contextlib import contextmanager, suppress

SIGNALS = (signal.SIGINT, signal.SIGTERM, signal.SIGHUP)
# Seconds that the last words wait for somebody who reads them.
PATIENCE = 1.0


class _Run:
    """What a stop finds. `held` counts what is being done whole, `asked` is the signal that
    came meanwhile; a process that was forked off has another number than `owner`."""

    # Plain, so that nothing that takes time is loaded before the program can be stopped.
    def __init__(self) -> None:
        self.owner = self.held = self.asked = 0
        self.undoing: list[Callable[[], object]] = []
        self.written: list[str] = []
        self.last_words: list[Callable[[], tuple[str, ...]]] = []


_run = _Run()


def begin() -> None:
    """From here on, signals stop this process as is said above."""
    _run.owner = os.getpid()
    for number in SIGNALS:
        if signal.getsignal(number) is not signal.SIG_IGN:
            signal.signal(number, _stop)


@contextmanager
def clearing(undo: Callable[[], object]) -> Iterator[None]:
    """`undo` is called at the end of the block, or of the run where it is stopped within; it
    may be called twice."""
    _run.undoing.append(undo)
    try:
        yield
    finally:
        undo()
        _run.undoing.remove(undo)


@contextmanager
def whole() -> Iterator[None]:
    """What is done within is done whole before a stop; it takes moments and waits for nobody."""
    _run.held += 1
    try:
        yield
    finally:
        _run.held -= 1
        if _run.asked and not _run.held:
            _end(_run.asked)


def note_written(path: object) -> None:
    """A file is in its place, and stays there whatever comes."""
    _run.written.append(str(path))


def add_last_words(words: Callable[[], tuple[str, ...]]) -> None:
    """Sentences that are said, where the run is stopped from here on, of what became of files."""
    _run.last_words.append(words)


def _stop(number: int, frame: object) -> None:
    if os.getpid() != _run.owner:
        # A worker that has not come so far as to have its own way of ending.
        os._exit(128 + number)
    if _run.held:
        _run.asked = number
    else:
        _end(number)


def _end(number: int) -> None:
    _run.held += 1
    try:
        for undo in reversed(_run.undoing):
            with suppress(Exception):
                undo()
        _say(" ".join(("Stopped.", *_told())))
    finally:
        os._exit(128 + number)


def _told() -> tuple[str, ...]:
    words = [sentence for tell in _run.last_words for sentence in tell()]
    if _run.written:
        return (f"Written before that: {', '.join(_run.written)}.", *words)
    if words:
        return ("Nothing was written.", *words)
    return ("Nothing was written, and all files are as they were.",)


def _say(text: str) -> None:
    """Past the streams, which may be in the middle of something, and to nobody who is not there."""
    with suppress(OSError, ValueError):
        _, ready, _ = select.select([], [2], [], PATIENCE)
        if ready:
            os.write(2, f"{text}\n".encode("utf-8", "surrogateescape"))
