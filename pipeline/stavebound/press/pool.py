"""Chapters through the press, several at a time.

In: chapters, faces and a number of processes. Out: the pressed chapters, in the
order given. It always holds that the number of processes does not change a
byte; that the first failure, or Ctrl-C, ends all workers and leaves no file
behind; and that no worker outlives this process.
"""

from __future__ import annotations

import gc
import importlib
import multiprocessing
import os
import pickle
import signal
import tempfile
import threading
from collections.abc import Callable, Iterable, Iterator, Sequence
from concurrent.futures import Future, ProcessPoolExecutor, as_completed
from concurrent.futures.process import BrokenProcessPool
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path

from stavebound.faces import Faces
from stavebound.press.libraries import shared_libraries
from stavebound.press.values import Chapter, Pressed, PressError

# Objects made between two looks for garbage; a layout, and a long score, makes many and drops
# few.
GARBAGE_THRESHOLD = 100_000

# Not imported before the libraries have been found: without them the import itself fails.
LAYOUT = "stavebound.press.layout"


def _silent(key: str) -> None:
    """Tells nobody."""


@contextmanager
def seldom_collecting() -> Iterator[None]:
    """Within, the collector of garbage leaves alone what is there, and looks seldom."""
    before = gc.get_threshold()
    _collect_seldom()
    try:
        yield
    finally:
        gc.set_threshold(*before)
        gc.unfreeze()


def _collect_seldom() -> None:
    gc.freeze()
    gc.set_threshold(GARBAGE_THRESHOLD)


def press_chapters(
    chapters: Iterable[Chapter],
    faces: Faces,
    jobs: int = 1,
    tell: Callable[[str], None] = _silent,
) -> tuple[Pressed, ...]:
    """Lay out each chapter by itself, in up to `jobs` processes.

    One job runs in this process. Chapters that are still being made are laid out as they
    come. `tell` is called here with the key of each
    chapter as it is done. PressError where a library is missing, or where a
    chapter cannot be laid out without complaint.
    """
    shared_libraries()
    if jobs > 1:
        return _in_pool(chapters, faces, jobs, tell)
    return tuple(_press(chapter, faces, tell) for chapter in chapters)


def _press(chapter: Chapter, faces: Faces, tell: Callable[[str], None] = _silent) -> Pressed:
    pressed: Pressed = importlib.import_module(LAYOUT).press_chapter(chapter, faces)
    tell(chapter.key)
    return pressed


def _in_pool(
    chapters: Iterable[Chapter], faces: Faces, jobs: int, tell: Callable[[str], None]
) -> tuple[Pressed, ...]:
    method = _start_method()
    if method == "fork":
        # Once here, not once in each worker.
        importlib.import_module(LAYOUT)
    others = set(multiprocessing.active_children())
    with tempfile.TemporaryDirectory(prefix="stavebound-") as scratch:
        executor = ProcessPoolExecutor(
            jobs, multiprocessing.get_context(method), _start_worker, (scratch,)
        )
        try:
            return _gathered(_submitted(executor, chapters, faces, Path(scratch)), tell)
        except BrokenProcessPool:
            raise PressError("a worker of the press died; the machine may lack memory") from None
        except BaseException:
            for worker in set(multiprocessing.active_children()) - others:
                worker.terminate()
            raise
        finally:
            executor.shutdown(cancel_futures=True)


@dataclass(frozen=True, slots=True)
class _Order:
    """A chapter on its way through a worker, and the file in which it comes back."""

    key: str
    done: Path
    future: Future[None]


def _submitted(
    executor: ProcessPoolExecutor, chapters: Iterable[Chapter], faces: Faces, scratch: Path
) -> tuple[_Order, ...]:
    """Chapters travel as files: a pipe that a dead worker leaves half read would block."""
    orders = []
    for number, chapter in enumerate(chapters):
        given, done = scratch / f"{number}.chapter", scratch / f"{number}.pressed"
        given.write_bytes(pickle.dumps((chapter, faces)))
        orders.append(_Order(chapter.key, done, executor.submit(_press_file, given, done)))
    return tuple(orders)


def _press_file(given: Path, done: Path) -> None:
    chapter, faces = pickle.loads(given.read_bytes())
    done.write_bytes(pickle.dumps(_press(chapter, faces)))


def _gathered(orders: Sequence[_Order], tell: Callable[[str], None]) -> tuple[Pressed, ...]:
    keys = {order.future: order.key for order in orders}
    for future in as_completed(keys):
        future.result()
        tell(keys[future])
    return tuple(pickle.loads(order.done.read_bytes()) for order in orders)


def _start_method() -> str:
    """A fork is quicker, but only safe while one thread runs; elsewhere workers start anew."""
    # Here the system counts them, also those that libraries started.
    threads = Path("/proc/self/task")
    alone = threads.is_dir() and len(list(threads.iterdir())) == 1
    return "fork" if alone else "spawn"


def _start_worker(scratch: str) -> None:
    # Ctrl-C reaches the whole group; the parent decides and ends its workers.
    signal.signal(signal.SIGINT, signal.SIG_IGN)
    signal.signal(signal.SIGTERM, signal.SIG_DFL)
    threading.Thread(target=_end_with_parent, daemon=True).start()
    # What a worker leaves here when it is ended, the parent clears away.
    tempfile.tempdir = scratch
    _collect_seldom()


def _end_with_parent() -> None:
    parent = multiprocessing.parent_process()
    if parent is not None:
        parent.join()
        os._exit(1)
