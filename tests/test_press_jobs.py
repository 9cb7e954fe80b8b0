"""Several chapters at a time: the same bytes, and nothing left behind."""

import multiprocessing
import os
import signal
import subprocess
import sys
from collections.abc import Iterator
from contextlib import contextmanager, suppress
from pathlib import Path

import pytest

from stavebound.press import PressError, press_chapters
from tests.support.press_samples import BOOK, FACES, chapter, press_book


@pytest.fixture(scope="module")
def bound() -> bytes:
    return press_book(1)[1]


SCRIPT = """
import sys
from tests.support.press_samples import press_book
sys.stdout.buffer.write(press_book(int(sys.argv[1]))[1])
"""
# Under a shell that puts work into the background Ctrl-C is ignored: not here.
SLOW = """
import signal
import sys

signal.signal(signal.SIGINT, signal.default_int_handler)
from tests.support.press_samples import FACES, chapter
from stavebound.press import press_chapters

def main():
    words = '<p class="turn">' + "word " * 200000 + "</p>"
    slow = [chapter(f"slow-{at}", words) for at in range(3)]
    quick = chapter("quick", "<p>quick</p>")
    press_chapters([quick, *slow], FACES, int(sys.argv[1]), lambda key: print(key, flush=True))

if __name__ == "__main__":
    main()
"""
ROOT = Path(__file__).parent.parent
ENVIRONMENT = {**os.environ, "PYTHONPATH": f"{ROOT}{os.pathsep}{ROOT / 'pipeline'}"}


def test_the_same_book_gives_the_same_bytes_in_one_process(bound: bytes) -> None:
    assert press_book(1)[1] == bound
    assert press_book(2)[1] == bound


@pytest.mark.parametrize("jobs", ["1", "2"])
def test_the_same_book_gives_the_same_bytes_in_another_process(bound: bytes, jobs: str) -> None:
    command = [sys.executable, "-c", SCRIPT, jobs]
    done = subprocess.run(command, env=ENVIRONMENT, capture_output=True, check=False)
    assert (done.stderr, done.stdout == bound) == (b"", True)


def test_chapters_keep_their_order_and_are_told_as_they_are_done() -> None:
    told: list[str] = []
    pressed = press_chapters(BOOK, FACES, 2, told.append)
    assert [part.key for part in pressed] == ["front", "plies", "tendus"]
    assert sorted(told) == ["front", "plies", "tendus"]
    assert press_chapters([], FACES, 2) == ()


@contextmanager
def slow_press(tmp_path: Path, jobs: int) -> Iterator[subprocess.Popen[str]]:
    """A press with long work before it, in a group and a scratch folder of its own."""
    script, scratch = tmp_path / "slow.py", tmp_path / "scratch"
    script.write_text(SLOW, encoding="utf-8")
    scratch.mkdir()
    press = subprocess.Popen(
        [sys.executable, str(script), str(jobs)],
        env={**ENVIRONMENT, "TMPDIR": str(scratch)},
        stdout=subprocess.PIPE,
        stderr=subprocess.PIPE,
        text=True,
        start_new_session=True,
    )
    assert press.stdout is not None
    try:
        assert press.stdout.readline() == "quick\n"
        yield press
    finally:
        with suppress(ProcessLookupError):
            os.killpg(press.pid, signal.SIGKILL)
        press.communicate()


def ended(press: subprocess.Popen[str]) -> tuple[str, str]:
    """What it said; it comes when the last process that could say more has ended."""
    return press.communicate(timeout=30)


@pytest.mark.parametrize("jobs", [1, 2])
def test_ctrl_c_ends_everything_and_leaves_nothing(tmp_path: Path, jobs: int) -> None:
    with slow_press(tmp_path, jobs) as press:
        os.kill(press.pid, signal.SIGINT)
        stdout, stderr = ended(press)
        assert (press.returncode, stdout) == (-signal.SIGINT, "")
        assert stderr.rstrip().endswith("KeyboardInterrupt")
    assert list((tmp_path / "scratch").iterdir()) == []


def test_ctrl_c_at_a_terminal_reaches_all_and_says_it_once(tmp_path: Path) -> None:
    # Three workers are busy, one has nothing to do.
    with slow_press(tmp_path, 4) as press:
        os.killpg(press.pid, signal.SIGINT)
        _stdout, stderr = ended(press)
        assert press.returncode == -signal.SIGINT
        assert stderr.count("Traceback") == 1
    assert list((tmp_path / "scratch").iterdir()) == []


def test_no_worker_outlives_the_press(tmp_path: Path) -> None:
    with slow_press(tmp_path, 2) as press:
        press.kill()
        assert ended(press) == ("", "")


def test_a_worker_that_dies_is_told() -> None:
    def kill_workers(key: str) -> None:
        for worker in multiprocessing.active_children():
            worker.kill()

    slow = chapter("slow", "<p>" + "word " * 200000 + "</p>")
    with pytest.raises(PressError, match="worker of the press died"):
        press_chapters([chapter("quick", "<p>quick</p>"), slow, slow], FACES, 2, kill_workers)
