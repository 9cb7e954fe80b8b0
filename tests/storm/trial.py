"""A trial: the program run once in this process, and what it must never do.

In: the words of a command. Out: what is wrong with how it ended, nothing where all is well:
the exit code is 0, 1 or 2; an error has a file, a line and a column that are there; it took
less than SECONDS of the processor and no more than MEMORY. A failure of the program itself
is told with its traceback.
"""

from __future__ import annotations

import io
import json
import resource
import signal
import time
import traceback
from collections.abc import Iterator
from contextlib import contextmanager, redirect_stderr, redirect_stdout
from dataclasses import dataclass
from functools import cache
from pathlib import Path
from types import FrameType

import typer

from stavebound import cli
from stavebound.build.values import open_house
from stavebound.claims import UnwritableError

SECONDS = 10
MEMORY = 1 << 30
WIDEST = 260
SOUND, FAULTS, WRONG_USE = 0, 1, 2


class TooSlowError(BaseException):
    """The processor was busy for too long; not caught by what lies between."""


@dataclass(frozen=True, slots=True)
class Ended:
    """How a command ended, and what is wrong with that, if anything is."""

    code: int
    wrong: str | None = None


def prepare() -> None:
    """Make this process one for trials: bounded memory, one house for all."""
    once = cache(open_house)
    setattr(cli, "open_house", once)  # noqa: B010
    once()
    pages = int(Path("/proc/self/statm").read_text().split()[0])
    bound = pages * resource.getpagesize() + MEMORY
    resource.setrlimit(resource.RLIMIT_AS, (bound, bound))
    signal.signal(signal.SIGPROF, _too_slow)


def _too_slow(number: int, frame: FrameType | None) -> None:
    raise TooSlowError


@contextmanager
def _bounded() -> Iterator[None]:
    signal.setitimer(signal.ITIMER_PROF, SECONDS)
    try:
        yield
    finally:
        signal.setitimer(signal.ITIMER_PROF, 0)


def tried(*words: str) -> Ended:
    """The command with these words, which knows --format json where it is to tell places."""
    out, err = io.StringIO(), io.StringIO()
    start = time.process_time()
    try:
        with _bounded(), redirect_stdout(out), redirect_stderr(err):
            code = cli.app(list(words), prog_name="stavebound", standalone_mode=False) or 0
    except typer.TyperException as error:
        code = error.exit_code
        err.write(error.format_message())
    except UnwritableError as error:
        code = WRONG_USE
        err.write(str(error))
    except SystemExit as left:
        code = left.code if isinstance(left.code, int) else 1
    except TooSlowError:
        return Ended(-1, f"took {time.process_time() - start:.0f} s of the processor")
    except BaseException:
        return Ended(3, _cut(traceback.format_exc(limit=-6)))
    return Ended(code, _wrong(code, out.getvalue(), err.getvalue(), "json" in words))


def _cut(text: str) -> str:
    """The text with the middle of long lines left out."""
    return "\n".join(
        line if len(line) <= WIDEST else f"{line[:200]} … {line[-50:]}" for line in text.split("\n")
    )


def _wrong(code: int, out: str, err: str, as_json: bool) -> str | None:
    if code not in (SOUND, FAULTS, WRONG_USE):
        return f"exit code {code}: {err[-500:]}"
    if code == WRONG_USE:
        return None if err.strip() else "exit code 2 without a word"
    if not as_json:
        return None if err.strip() or code == SOUND else "exit code 1 without a word"
    try:
        found = json.loads(out[: out.rindex("]") + 1])
    except ValueError:
        return f"no JSON in what is said: {out[-300:]!r} {err[-300:]!r}"
    errors = [row for row in found if row["severity"] == "error"]
    if bool(errors) != (code == FAULTS):
        return f"exit code {code} with {len(errors)} errors: {err[-300:]}"
    placeless = next((row for row in errors if not _has_place(row)), None)
    return f"an error without a place: {placeless}" if placeless else None


def _has_place(row: dict[str, object]) -> bool:
    """Whether its file, line and column are there; what is not there begins at its first."""
    line, column = row["line"], row["column"]
    if not row["file"] or not isinstance(line, int) or not isinstance(column, int):
        return False
    return (line, column) == (1, 1) or _is_in(Path(str(row["file"])), line, column)


def _is_in(path: Path, line: int, column: int) -> bool:
    try:
        lines = path.read_bytes().decode("utf-8", "replace").removeprefix("\ufeff")
    except OSError:
        return False
    own = lines.replace("\r\n", "\n").replace("\r", "\n").split("\n")
    return 1 <= line <= len(own) and 1 <= column <= len(own[line - 1]) + 1
