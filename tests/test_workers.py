"""Work in several processes: what comes out, and in which order, is that of one."""

import multiprocessing
import os
import threading
from collections.abc import Iterator
from contextlib import contextmanager
from functools import partial
from pathlib import Path

import pytest

from stavebound.book.layouts import Asked
from stavebound.build.loading import load_project
from stavebound.build.manuscripts import manuscript_of
from stavebound.build.values import House
from stavebound.diagnostics import Diagnostic
from stavebound.workers import WorkerDiedError, silent, workers, worth
from tests.support.staves import CATALOGUE, FACES

FAULTY = {
    "book.xml": '<book xmlns="urn:stavebound:1" title="T" date="2026-01-01" language="en" '
    'layout="syllabus"><chapter title="C"><exercise score="b.xml"/><exercise score="gone.xml"/>'
    '<exercise score="a.xml"/><exercise score="c.xml"/></chapter></book>',
    "a.xml": '<score xmlns="urn:stavebound:1" title="A"><phrase counts="4">'
    '<frame at="9"><knees bend="half"/></frame></phrase></score>',
    "b.xml": '<score xmlns="urn:stavebound:1" title="B"><phrase counts="4"><frame at="1">'
    '<arms in="nowhere"/></frame></phrase></score>',
    "c.xml": "<score xmlns='urn:stavebound:1'",
}


def halved(base: int, number: int) -> float:
    return base / number


def ended(number: int) -> None:
    os._exit(number)


@contextmanager
def another_thread() -> Iterator[None]:
    """Within, workers are not forked but start anew."""
    stop = threading.Event()
    other = threading.Thread(target=stop.wait)
    other.start()
    try:
        yield
    finally:
        stop.set()
        other.join()


@pytest.mark.parametrize("jobs", [1, 2])
def test_results_come_in_the_order_given_and_names_are_told(jobs: int) -> None:
    told: list[str] = []
    with workers(partial(halved, 12), jobs) as do:
        first = do(((str(number), number) for number in (4, 1, 3)), told.append)
        second = do([("6", 6)], told.append)
    assert (first, second) == ((3, 12, 4), (2,))
    assert sorted(told[:3]) == ["1", "3", "4"]
    assert told[3:] == ["6"]
    with another_thread(), workers(partial(halved, 6), jobs) as do:
        assert do((("one", 1), ("three", 3)), silent) == (6, 2)


@pytest.mark.parametrize("jobs", [1, 2])
def test_the_first_failure_is_the_failure_of_all(jobs: int) -> None:
    with pytest.raises(ZeroDivisionError), workers(partial(halved, 1), jobs) as do:
        do([("nought", 0), ("one", 1)], silent)
    assert multiprocessing.active_children() == []


def test_a_worker_that_ends_is_told() -> None:
    with pytest.raises(WorkerDiedError, match="lack memory"), workers(ended, 2) as do:
        do([("one", 1)], silent)


def test_faults_of_a_book_are_the_same_in_the_same_order(tmp_path: Path) -> None:
    for name, text in FAULTY.items():
        (tmp_path / name).write_text(text, encoding="utf-8")
    book, house = tmp_path / "book.xml", House(CATALOGUE, FACES)
    alone = faults(book, house, 1)
    assert faults(book, house, 2) == alone
    with another_thread():
        assert faults(book, house, 2) == alone
    assert {fault.span.path for fault in alone if fault.span} >= {"a.xml", "b.xml", "c.xml"}


def faults(book: Path, house: House, jobs: int) -> tuple[Diagnostic, ...]:
    project = load_project(book, "book.xml", jobs)
    return manuscript_of(project, Asked(), house, jobs).diagnostics


def test_no_process_is_started_for_a_score_alone() -> None:
    assert [worth(2, things) for things in (0, 1, 4)] == [1, 1, 2]
