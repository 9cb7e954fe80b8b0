"""The press against Typst, and how a book's time, memory and size grow with its pages.

Run by hand (`make bench`). Each figure is the median of five runs, each in a process of
its own on two cores, one task after another in turn, so that whatever else the machine
does falls on all. It does not weigh alike: the press needs both cores, Typst little more
than one. So the load before and after is printed, and the same ratios by seconds of the
processor, which other work changes least; the growth is told by these. Both programs set
the same words, draw the same staves and write the same number of pages; Typst without
tags, as the press has none. It draws the staves in two ways: the same outlines, one by one,
and with each centre line as one dotted stroke, which is less work. What is over its target
is said to be missed, and the exit code is 1.

    a        lines in memory to bound PDF        ÷ Typst, source to PDF
    b        XML to PDF without the proof        ÷ Typst, both with the start of the process
    staves   1 − the press with empty staves     ÷ the press
"""

from __future__ import annotations

import json
import os
import subprocess
import sys
import tempfile
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path
from statistics import median

from stavebound.faces import load_faces
from tests.bench.made_book import make_book
from tests.bench.typst_book import typst_folder

BOOK = Path(__file__).parents[2] / "books" / "syllabus" / "book.xml"
RUNS = 5
PAGES = 200
GROWTH = (50, 100, 200, 400)
MEBI, KIBI = 1024 * 1024, 1024

# The most that each may be.
PRESS, WHOLE, STAVES = 1.5, 3.0, 0.40
PAGES_APART = 0.02
MEMORY, MEMORY_A_PAGE = 150, 0.5
SIZE_A_PAGE = 16
# Time of a further page in the upper half of the growth ÷ in the lower half.
BEND = 1.25


@dataclass(frozen=True, slots=True)
class Run:
    """One process: seconds inside and in all, of the processor, and the most memory that
    one of its processes had, in MiB."""

    inside: float
    whole: float
    processor: float
    memory: float
    pages: int
    size: int


@dataclass(frozen=True, slots=True)
class Row:
    """A figure with its target; `most` is None where there is none."""

    name: str
    value: float
    most: float | None = None
    unit: str = ""

    @property
    def missed(self) -> bool:
        return self.most is not None and self.value > self.most

    def __str__(self) -> str:
        target = "" if self.most is None else f"at most {self.most:g}"
        return f"  {self.name:<44}{self.value:>9.2f} {self.unit:<10}{target:<16}" + (
            "missed" if self.missed else ""
        )


def main(runs: int) -> int:
    rows: list[Row] = []
    print(f"load of the machine before: {os.getloadavg()[0]:.1f} of {os.cpu_count()}")
    with tempfile.TemporaryDirectory(prefix="stavebound-bench-") as scratch:
        made = make_book(Path(scratch) / "made", PAGES)
        for title, book in ((f"{PAGES} made-up pages", made), ("the demonstration book", BOOK)):
            rows += _printed(f"{title}, medians of {runs}", _race(book, Path(scratch), runs))
        rows += _printed(f"growth, medians of {runs}", _growth(Path(scratch), runs))
    print(f"load of the machine after: {os.getloadavg()[0]:.1f} of {os.cpu_count()}")
    missed = [row.name for row in rows if row.missed]
    print(f"missed: {', '.join(missed)}" if missed else "every target is met")
    return int(bool(missed))


def _printed(title: str, rows: Iterator[Row]) -> Iterator[Row]:
    print(title)
    for row in rows:
        print(row, flush=True)
        yield row


def _race(book: Path, scratch: Path, runs: int) -> Iterator[Row]:
    folder = Path(tempfile.mkdtemp(dir=scratch))
    _run("prepare", book, folder)
    faces = load_faces().faces[0].path.parent
    tasks = {
        "ready": (folder,),
        "press": (folder,),
        "empty": (folder,),
        "whole": (book, folder),
        "typst dotted": (typst_folder(folder, as_drawn=False), faces),
        "typst as drawn": (typst_folder(folder, as_drawn=True), faces),
    }
    found = _in_turn(tasks, runs)
    press, empty, whole = (found[name] for name in ("press", "empty", "whole"))
    typst = found["typst dotted"]
    yield Row("pages", press[0].pages)
    apart = abs(typst[0].pages / press[0].pages - 1)
    yield Row("pages of Typst's, how many more or less", apart * 100, PAGES_APART * 100, "%")
    for name, each in found.items():
        yield Row(f"{name}: seconds inside", _of(each, "inside"), unit="s")
        yield Row(f"{name}: seconds with its process", _of(each, "whole"), unit="s")
        yield Row(f"{name}: processor", _of(each, "processor"), unit="s")
    used = {name: _of(each, "processor") for name, each in found.items()}
    for name in ("typst as drawn", "typst dotted"):
        other = found[name]
        yield Row(f"a: press ÷ {name}", _of(press, "inside") / _of(other, "inside"), PRESS)
        yield Row(f"b: whole ÷ {name}", _of(whole, "whole") / _of(other, "whole"), WHOLE)
        yield Row(f"a by processor, {name}", (used["press"] - used["ready"]) / used[name])
        yield Row(f"b by processor, {name}", used["whole"] / used[name])
    yield Row("staves' share of the press", 1 - _of(empty, "inside") / _of(press, "inside"), STAVES)
    pages = whole[0].pages
    most = MEMORY + MEMORY_A_PAGE * pages
    share = (used["press"] - used["empty"]) / (used["press"] - used["ready"])
    yield Row("staves' share by processor", share)
    yield Row("largest process", _of(whole, "memory"), most, "MiB")
    yield Row("size of a page", whole[0].size / pages / KIBI, SIZE_A_PAGE, "KiB")


def _growth(scratch: Path, runs: int) -> Iterator[Row]:
    """Seconds by pages, and whether a further page costs more in a longer book."""
    tasks: dict[str, tuple[Path, ...]] = {}
    for pages in GROWTH:
        folder = scratch / f"pages-{pages}"
        tasks[f"whole {pages}"] = make_book(folder, pages), folder
    found = _in_turn(tasks, runs)
    places = []
    for each in found.values():
        pages, used = each[0].pages, _of(each, "processor")
        places.append((pages, used))
        yield Row(f"whole: {pages} pages", _of(each, "whole"), unit="s")
        yield Row(f"whole: {pages} pages, processor", used, unit="s")
        yield Row(f"whole: {pages} pages, processor a page", 1000 * used / pages, unit="ms")
        most = MEMORY + MEMORY_A_PAGE * pages
        yield Row(f"whole: {pages} pages, largest process", _of(each, "memory"), most, "MiB")
    (p1, s1), (p2, s2), (p3, s3), (p4, s4) = places
    bend = ((s4 - s3) / (p4 - p3)) / ((s2 - s1) / (p2 - p1))
    yield Row("a further page, long book ÷ short book", bend, BEND)


def _of(runs: list[Run], what: str) -> float:
    return float(median(getattr(run, what) for run in runs))


def _in_turn(tasks: dict[str, tuple[Path, ...]], runs: int) -> dict[str, list[Run]]:
    found: dict[str, list[Run]] = {name: [] for name in tasks}
    for _ in range(runs):
        for name, arguments in tasks.items():
            found[name].append(_run(name.split()[0], *arguments))
    return found


def _run(task: str, *arguments: Path) -> Run:
    module = ["tests.bench.typst_task"] if task == "typst" else ["tests.bench.tasks", task]
    command = [sys.executable, "-m", *module, *map(str, arguments)]
    with subprocess.Popen(command, stdout=subprocess.PIPE, text=True) as child:
        assert child.stdout is not None
        begin = os.times().elapsed
        said = child.stdout.read()
        _, status, used = os.wait4(child.pid, 0)
        child.returncode = os.waitstatus_to_exitcode(status)
        elapsed = os.times().elapsed - begin
    if child.returncode:
        raise SystemExit(f"{task} failed")
    told = json.loads(said)
    return Run(
        inside=told.get("seconds", 0.0),
        whole=elapsed,
        processor=used.ru_utime + used.ru_stime,
        memory=used.ru_maxrss / KIBI,
        pages=int(told.get("pages", 0)),
        size=int(told.get("bytes", 0)),
    )


if __name__ == "__main__":
    sys.exit(main(int(sys.argv[1]) if len(sys.argv) > 1 else RUNS))
