"""One kind of work on many things, in several processes.

In: the work, a number of processes, and things by name. Out: what the work makes of
each, in the order given. It always holds that the number of processes does not change
what comes out; that the first failure, or a stop, ends all workers and leaves no file
behind; and that no worker outlives this process.
"""

from __future__ import annotations

import gc
import io
import multiprocessing
import os
import pickle
import signal
import tempfile
import threading
from collections.abc import Callable, Iterable, Iterator, Sequence, Set
from concurrent.futures import FIRST_COMPLETED, Future, ProcessPoolExecutor, wait
from concurrent.futures.process import BrokenProcessPool
from contextlib import contextmanager, suppress
from dataclasses import dataclass, fields, is_dataclass
from functools import cache, partial
from multiprocessing.process import BaseProcess
from operator import attrgetter
from pathlib import Path
from typing import Any, TypeVar

from stavebound.claims import scratch_folder
from stavebound.stopping import clearing

# Objects made between two looks for garbage; a layout, and a long score, makes many and drops
# few.
GARBAGE_THRESHOLD = 100_000
# Short pieces of work, a score each, for which another process is worth its start.
A_WORKER = 2
# Seconds after which whoever waits for workers looks up. A signal that comes in the very moment
# in which the wait begins, or to another thread, does not wake this one, and is heard only then.
LOOK_UP = 0.2

Given = TypeVar("Given")
Made = TypeVar("Made")
Named = Iterable[tuple[str, Given]]
Tell = Callable[[str], None]
Do = Callable[[Named[Given], Tell], tuple[Made, ...]]


class WorkerDiedError(Exception):
    """A worker ended before its work was done: the machine may lack memory."""


def worth(jobs: int, things: int) -> int:
    """How many of the processes are worth their start, for so many short pieces of work."""
    return max(1, min(jobs, things // A_WORKER))


def silent(name: str) -> None:
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


@contextmanager
def workers(
    work: Callable[[Given], Made],
    jobs: int,
    ready: Callable[[], object] = tuple,
    meanwhile: Callable[[], object] = tuple,
) -> Iterator[Do[Given, Made]]:
    """Within, `do(things, tell)` has the work done on each thing, as they come.

    One job runs in this process. Of more, each has its own copy of the work, which can be
    pickled as things and results can. `ready` is called here before these copies are made,
    where they have a part in what is loaded by then; `meanwhile`, when all things are on
    their way and this process would wait. `tell` is called here with the name of each thing
    as it is done. WorkerDiedError where a worker is ended from elsewhere.
    """
    if jobs > 1:
        with _pool(work, jobs, ready, meanwhile) as do:
            yield do
    else:
        yield lambda things, tell: tuple(_done(work, thing, tell) for thing in things)


def _done(work: Callable[[Given], Made], named: tuple[str, Given], tell: Tell) -> Made:
    name, thing = named
    made = work(thing)
    tell(name)
    return made


@contextmanager
def _pool(
    work: Callable[[Given], Made],
    jobs: int,
    ready: Callable[[], object],
    meanwhile: Callable[[], object],
) -> Iterator[Do[Given, Made]]:
    method = _start_method()
    if method == "fork":
        ready()
    end = partial(_end_workers, set(multiprocessing.active_children()))
    with scratch_folder() as scratch, clearing(end):
        executor = ProcessPoolExecutor(
            jobs, multiprocessing.get_context(method), _start_worker, (str(scratch), work)
        )

        def do(things: Named[Given], tell: Tell) -> tuple[Made, ...]:
            with tempfile.TemporaryDirectory(dir=scratch) as folder:
                try:
                    orders = _submitted(executor, things, Path(folder))
                    meanwhile()
                    return _gathered(orders, tell)
                except BaseException:
                    # While the folder is cleared, none of them writes into it.
                    end()
                    raise

        try:
            yield do
        except BrokenProcessPool:
            raise WorkerDiedError("a worker died; the machine may lack memory") from None
        except BaseException:
            end()
            raise
        finally:
            executor.shutdown(cancel_futures=True)


def _end_workers(others: Set[BaseProcess]) -> None:
    """End all children of this process but those; none of them is asked."""
    own = set(multiprocessing.active_children()) - others
    for worker in own:
        with suppress(OSError):
            worker.kill()
    for worker in own:
        worker.join()


@dataclass(frozen=True, slots=True)
class _Order:
    """A thing on its way through a worker, and the file in which the result comes back."""

    name: str
    done: Path
    future: Future[None]


def _submitted(
    executor: ProcessPoolExecutor, things: Named[Given], folder: Path
) -> tuple[_Order, ...]:
    """Things travel as files: a pipe that a dead worker leaves half read would block."""
    orders = []
    for number, (name, thing) in enumerate(things):
        given, done = folder / f"{number}.given", folder / f"{number}.done"
        given.write_bytes(_packed(thing))
        orders.append(_Order(name, done, executor.submit(_do_file, given, done)))
    return tuple(orders)


def _gathered(orders: Sequence[_Order], tell: Tell) -> tuple[Any, ...]:
    left = {order.future for order in orders}
    made: dict[Path, Any] = {}
    while left:
        done, left = wait(left, LOOK_UP, FIRST_COMPLETED)
        for order in orders:
            if order.future in done:
                order.future.result()
                made[order.done] = pickle.loads(order.done.read_bytes())
                tell(order.name)
    return tuple(made[order.done] for order in orders)


class _Packer(pickle.Pickler):
    """Packs our values as calls of their classes, more than twice as quickly as they would
    be packed field by field."""

    def reducer_override(self, thing: object) -> Any:
        kind: Any = type(thing)
        fields_of = _fields_of(kind)
        return (kind, fields_of(thing)) if fields_of else NotImplemented


@cache
def _fields_of(kind: type) -> Callable[[object], tuple[object, ...]] | None:
    """What a value of the class is made from, in order; None where that is not so simple."""
    own = fields(kind) if is_dataclass(kind) else ()
    # Of one name, `attrgetter` tells no tuple.
    if len(own) < 2 or not all(field.init and not field.kw_only for field in own):
        return None
    return attrgetter(*(field.name for field in own))


def _packed(thing: object) -> bytes:
    packed = io.BytesIO()
    _Packer(packed).dump(thing)
    return packed.getvalue()


def _start_method() -> str:
    """A fork is quicker, but only safe while one thread runs; elsewhere workers start anew."""
    # Here the system counts them, also those that libraries started.
    threads = Path("/proc/self/task")
    alone = threads.is_dir() and len(list(threads.iterdir())) == 1
    return "fork" if alone else "spawn"


# The work of this process, where it is a worker.
_own_work: list[Callable[[Any], Any]] = []


def _do_file(given: Path, done: Path) -> None:
    (work,) = _own_work
    done.write_bytes(_packed(work(pickle.loads(given.read_bytes()))))


def _start_worker(scratch: str, work: Callable[[Any], Any]) -> None:
    # What is sent to the whole group, the parent hears too, and ends its workers.
    signal.signal(signal.SIGINT, signal.SIG_IGN)
    signal.signal(signal.SIGHUP, signal.SIG_IGN)
    signal.signal(signal.SIGTERM, signal.SIG_DFL)
    threading.Thread(target=_end_with_parent, daemon=True).start()
    # What a worker leaves here when it is ended, the parent clears away.
    tempfile.tempdir = scratch
    _own_work[:] = [work]
    _collect_seldom()


def _end_with_parent() -> None:
    parent = multiprocessing.parent_process()
    if parent is not None:
        parent.join()
        os._exit(1)
