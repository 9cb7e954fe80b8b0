"""What the program says: to standard error, and to standard output what was asked for.

In: texts. It always holds that a stream whose reader has gone, or that was closed before
the program began, is quietly written to nowhere; that an output which is full is an
`UnwritableError`; and that whatever cannot be said to standard error goes unsaid.
"""

from __future__ import annotations

import os
import sys
import time
from collections.abc import Callable
from contextlib import suppress
from io import TextIOWrapper
from typing import NoReturn, TextIO

import typer

from stavebound.claims import UnwritableError


def open_streams() -> None:
    """Where a stream was closed before we began, nothing else may be opened in its place. What
    an output of few letters lacks is written as XML has it, for XML may be what is printed."""
    for number, name in enumerate(("stdin", "stdout", "stderr")):
        try:
            os.fstat(number)
        except OSError:
            # The lowest number that is free is this one.
            handle = os.open(os.devnull, os.O_RDWR)
            setattr(sys, name, os.fdopen(handle, "w" if number else "r", encoding="utf-8"))
    if isinstance(sys.stdout, TextIOWrapper) and sys.stdout.encoding.lower() != "utf-8":
        sys.stdout.reconfigure(errors="xmlcharrefreplace")


def say(message: str) -> None:
    with suppress(OSError):
        _write(message, sys.stderr)


def put(text: str) -> None:
    try:
        _write(text, sys.stdout)
    except OSError as fault:
        raise UnwritableError("standard output", fault.strerror) from None


def leave(code: int) -> NoReturn:
    """End the process with all that was said, and nothing that libraries would do or say then."""
    for stream in (sys.stdout, sys.stderr):
        with suppress(OSError, ValueError):
            stream.flush()
    os._exit(code)


def progress() -> Callable[[str], None]:
    """Tells what is being done, on a terminal, once the work has taken a second."""
    start = time.monotonic()

    def tell(what: str) -> None:
        if sys.stderr.isatty() and time.monotonic() - start > 1:
            say(f"… {what}")

    return tell


def _write(text: str, stream: TextIO) -> None:
    """The text to the stream, which takes all that comes later to nowhere where this fails; so
    it does, quietly, where its reader has gone, as head does."""
    try:
        typer.echo(text, file=stream)
    except OSError as fault:
        os.dup2(os.open(os.devnull, os.O_WRONLY), stream.fileno())
        if not isinstance(fault, BrokenPipeError):
            raise
