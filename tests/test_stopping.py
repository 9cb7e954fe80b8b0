"""How a run is stopped: one outcome for each moment, told, with nothing and nobody left behind."""

from __future__ import annotations

import os
import signal
import subprocess
import sys
from collections.abc import Iterator
from contextlib import contextmanager, suppress
from pathlib import Path

import pytest

from stavebound.build.starting import start_book
from tests.support.killed import AT_MOMENT, EARLIER, alive_after, environment

CODES = {signal.SIGINT: 130, signal.SIGTERM: 143, signal.SIGHUP: 129}
# What a press would take seconds for.
PRESS = """
from stavebound.build import books
books.press_book = lambda *given: ((), b"%PDF-1.7 a new book")
"""
NEW = b"%PDF-1.7 a new book"
RUN = """
from stavebound.__main__ import main
main()
"""

# The pieces of the program that a script needs are loaded at once, and no more.
BEGUN = """
import os, signal, sys, time
for number in (signal.SIGINT, signal.SIGTERM, signal.SIGHUP):
    signal.signal(number, signal.SIG_DFL)
from stavebound import stopping
stopping.begin()
"""


@contextmanager
def running(script: str, *given: str | Path, scratch: Path) -> Iterator[subprocess.Popen[str]]:
    """The script in a group of its own, ended with all of it."""
    process = subprocess.Popen(
        [sys.executable, "-c", script, *map(str, given)],
        env=environment(scratch),
        stdout=subprocess.PIPE,
        stderr=subprocess.PIPE,
        text=True,
        start_new_session=True,
    )
    try:
        yield process
    finally:
        with suppress(ProcessLookupError):
            os.killpg(process.pid, signal.SIGKILL)
        process.communicate()


def ended(process: subprocess.Popen[str]) -> tuple[int, str, str]:
    """Its exit code, and what it said; no process of its group lives on."""
    said, told = process.communicate(timeout=60)
    assert alive_after(process.pid) == []
    return process.returncode, said, told


@pytest.fixture
def scratch(tmp_path: Path) -> Path:
    folder = tmp_path / "scratch"
    folder.mkdir()
    return folder


@pytest.fixture
def book(tmp_path: Path) -> Path:
    """The starter book with an earlier PDF of it."""
    start_book(tmp_path / "book")
    (tmp_path / "book" / "book.pdf").write_bytes(EARLIER)
    return tmp_path / "book" / "book.xml"


def names(folder: Path) -> list[str]:
    return sorted(path.name for path in folder.iterdir())


def test_a_build_killed_between_sync_and_rename_leaves_the_earlier_book(
    book: Path, scratch: Path
) -> None:
    given = (int(signal.SIGKILL), "synced", "build", book, "--jobs", "1")
    with running(PRESS + AT_MOMENT, *map(str, given), scratch=scratch) as build:
        assert ended(build) == (-signal.SIGKILL, "", "")
    assert book.with_suffix(".pdf").read_bytes() == EARLIER
    (left,) = (name for name in names(book.parent) if name.startswith("."))
    assert (book.parent / left / "0").read_bytes() == NEW
    # The next one to that place clears it, and nothing that lives or is not ours.
    theirs = book.parent / f"{left}x"
    theirs.mkdir()
    with running(PRESS + RUN, "build", book, scratch=scratch) as build:
        assert ended(build)[0] == 0
    assert names(book.parent) == [theirs.name, "book.pdf", "book.xml", "scores", "style.xml"]
    assert book.with_suffix(".pdf").read_bytes() == NEW


@pytest.mark.parametrize("number", [signal.SIGTERM, signal.SIGINT])
def test_a_build_stopped_between_sync_and_rename_sets_the_earlier_book_aside(
    number: signal.Signals, book: Path, scratch: Path
) -> None:
    given = (int(number), "synced", "build", book)
    with running(PRESS + AT_MOMENT, *map(str, given), scratch=scratch) as build:
        told = f"The earlier {book.with_suffix('.pdf')} is now {book.parent}/book.earlier-1.pdf."
        assert ended(build) == (CODES[number], "", f"Stopped. Nothing was written. {told}\n")
    assert names(book.parent) == ["book.earlier-1.pdf", "book.xml", "scores", "style.xml"]
    assert (book.parent / "book.earlier-1.pdf").read_bytes() == EARLIER
    assert names(scratch) == []


def test_a_book_that_takes_its_place_does_so_before_a_stop(book: Path, scratch: Path) -> None:
    given = (int(signal.SIGTERM), "placing", "build", book)
    with running(PRESS + AT_MOMENT, *map(str, given), scratch=scratch) as build:
        told = f"Stopped. Written before that: {book.with_suffix('.pdf')}.\n"
        assert ended(build) == (143, "", told)
    assert names(book.parent) == ["book.pdf", "book.xml", "scores", "style.xml"]
    assert book.with_suffix(".pdf").read_bytes() == NEW


BUSY = """
import sys
from stavebound.build import books

def press(*given):
    print("pressing", flush=True)
    while True:
        sum(range(1000))

books.press_book = press
"""


def test_one_long_work_in_this_process_is_stopped_at_once(book: Path, scratch: Path) -> None:
    with running(BUSY + RUN, "build", book, "--jobs", "1", scratch=scratch) as build:
        assert build.stdout
        assert build.stdout.readline() == "pressing\n"
        build.send_signal(signal.SIGTERM)
        code, _, told = ended(build)
    assert (code, told.startswith("Stopped. Nothing was written. The earlier ")) == (143, True)
    assert not book.with_suffix(".pdf").exists()


WORKERS = (
    BEGUN
    + """
from functools import partial
from stavebound.workers import silent, workers

def work(seconds):
    os.write(1, b"%d\\n" % os.getpid())
    time.sleep(seconds)

with workers(work, 2) as do:
    do([("one", 60.0), ("two", 60.0)], silent)
"""
)


@contextmanager
def waiting(scratch: Path) -> Iterator[subprocess.Popen[str]]:
    """A run that waits for two workers, and whose scratch folder is there."""
    with running(WORKERS, scratch=scratch) as run:
        assert run.stdout
        pids = {int(run.stdout.readline()) for _ in range(2)}
        assert len(pids) == 2
        assert run.pid not in pids
        assert len(names(scratch)) == 1
        yield run


@pytest.mark.parametrize("number", CODES)
@pytest.mark.parametrize("group", [False, True])
def test_a_run_that_waits_for_workers_is_stopped_with_them(
    number: signal.Signals, group: bool, scratch: Path
) -> None:
    """Alone, and as a terminal does it, or `timeout`: all of the group hear of it."""
    with waiting(scratch) as run:
        (os.killpg if group else os.kill)(run.pid, number)
        code, said, told = ended(run)
    assert (code, said) == (CODES[number], "")
    assert told == "Stopped. Nothing was written, and all files are as they were.\n"
    assert names(scratch) == []


# The signal comes to another thread: nothing wakes the one that waits for the workers.
UNHEARD = WORKERS.replace(
    "with workers(work, 2) as do",
    """
import threading

def tell_this_thread():
    time.sleep(0.5)
    signal.pthread_kill(threading.get_ident(), signal.SIGTERM)

with workers(work, 2, meanwhile=threading.Thread(target=tell_this_thread).start) as do""",
)


def test_a_signal_that_does_not_wake_a_run_that_waits_is_heard(scratch: Path) -> None:
    with running(UNHEARD, scratch=scratch) as run:
        assert run.wait(timeout=30) == CODES[signal.SIGTERM]
        assert alive_after(run.pid) == []


def test_workers_end_with_a_run_that_is_killed_and_a_later_run_clears_its_folder(
    scratch: Path,
) -> None:
    with waiting(scratch) as first:
        (dead,) = names(scratch)
        first.kill()
        assert ended(first) == (-signal.SIGKILL, "", "")
    assert names(scratch) == [dead]
    (scratch / "stavebound-notes").mkdir()
    (scratch / dead / "left.done").touch()
    with running(WORKERS, scratch=scratch) as second:
        assert second.stdout
        second.stdout.readline()
        living = set(names(scratch)) - {"stavebound-notes"}
        assert dead not in living
        with running(WORKERS, scratch=scratch) as third:
            assert third.stdout
            third.stdout.readline()
            assert len(names(scratch)) == 3
            assert living < set(names(scratch))


@pytest.mark.parametrize("number", CODES)
def test_a_stop_before_the_work_has_begun(number: signal.Signals, scratch: Path) -> None:
    script = f"{BEGUN}\nos.kill(os.getpid(), {int(number)}); time.sleep(60)"
    with running(script, scratch=scratch) as run:
        told = "Stopped. Nothing was written, and all files are as they were.\n"
        assert ended(run) == (CODES[number], "", told)


# An exception that is raised in one of these is printed and forgotten, and the run goes on.
SWALLOWING = """
class Last:
    def __del__(self):
        os.kill(os.getpid(), signal.SIGTERM)
        sum(range(1000))

last = Last()
del last
print("went on")
"""


def test_a_stop_is_not_swallowed_by_what_it_interrupts(scratch: Path) -> None:
    with running(BEGUN + SWALLOWING, scratch=scratch) as run:
        assert ended(run)[:2] == (143, "")


FORKED = """
undone = lambda: print("undone", flush=True)
with stopping.clearing(undone):
    if not (child := os.fork()):
        os.kill(os.getpid(), signal.SIGTERM)
        time.sleep(60)
    code = os.waitstatus_to_exitcode(os.waitpid(child, 0)[1])
    print(code, flush=True)
print("at the end")
"""


def test_a_stopped_child_undoes_nothing_of_its_parents(scratch: Path) -> None:
    with running(BEGUN + FORKED, scratch=scratch) as run:
        assert ended(run) == (0, "143\nundone\nat the end\n", "")


WHOLE = """
with stopping.clearing(lambda: print("undone", flush=True)):
    with stopping.whole():
        with stopping.whole():
            os.kill(os.getpid(), signal.SIGINT)
        print("whole", flush=True)
    print("went on")
"""


def test_what_is_done_whole_is_finished_before_a_stop(scratch: Path) -> None:
    with running(BEGUN + WHOLE, scratch=scratch) as run:
        assert ended(run)[:2] == (130, "whole\nundone\n")


def test_a_signal_that_was_ignored_stays_so(scratch: Path) -> None:
    begun = BEGUN.replace("SIG_DFL", "SIG_IGN")
    script = f"{begun}\nos.kill(os.getpid(), signal.SIGHUP)\nprint('went on')"
    with running(script, scratch=scratch) as run:
        assert ended(run) == (0, "went on\n", "")


def test_nobody_who_reads_does_not_hold_up_a_stop(scratch: Path) -> None:
    """Standard error is a pipe that is full."""
    filling = """
os.set_blocking(2, False)
try:
    while os.write(2, b"x" * 4096):
        pass
except BlockingIOError:
    os.set_blocking(2, True)
print("full", flush=True)
time.sleep(60)
"""
    with running(BEGUN + filling, scratch=scratch) as run:
        assert run.stdout
        assert run.stdout.readline() == "full\n"
        run.send_signal(signal.SIGTERM)
        assert run.wait(timeout=30) == 143
