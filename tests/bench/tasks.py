"""What `press_books` measures, each in a process of its own: `python -m tests.bench.tasks TASK …`.

Prints a line of JSON: seconds, pages and bytes. The seconds of the press begin when all
that it needs is in memory, and end with the PDF on disk; the loading of the software that
makes it is in them.
"""

from __future__ import annotations

import json
import pickle
import sys
import time
from collections.abc import Callable, Iterable, Iterator
from contextlib import contextmanager
from dataclasses import replace
from itertools import pairwise
from pathlib import Path
from typing import Any

from stavebound.book import key
from stavebound.book.layouts import Asked
from stavebound.book.papers import Paper
from stavebound.book.values import Manuscript
from stavebound.build import books, on_paper
from stavebound.build.loading import load_project
from stavebound.build.manuscripts import manuscript_of
from stavebound.build.values import House
from stavebound.engrave.system import System
from stavebound.faces import Faces, load_faces
from stavebound.press.numbering import FACING
from stavebound.press.pool import Press, open_press
from stavebound.press.values import Chapter, Pressed
from stavebound.proof.lines import DrawnLine
from stavebound.svg.numbers import number
from stavebound.trade.catalogue import load_catalogue
from stavebound.workers import seldom_collecting
from tests.bench.typst_task import pages_of

CORES = 2
# The parts behind the chapters.
BEHIND = ("music", "glossary", "index", "leaf")


def main(task: str, *arguments: str) -> None:
    print(json.dumps(TASKS[task](*map(Path, arguments))))


def _silent(message: str) -> None:
    """Tells nobody."""


def _unproved() -> None:
    """Lines and pictures go unread."""
    setattr(on_paper, "prove_lines", lambda *_: ())  # noqa: B010
    setattr(key, "prove", lambda *_: ())  # noqa: B010


def _edition(book: Path) -> tuple[Manuscript, Paper]:
    project = load_project(book, str(book))
    house = House(load_catalogue(), load_faces())
    found = manuscript_of(project, Asked(), house)
    if found.value is None:
        raise SystemExit("\n".join(fault.message for fault in found.diagnostics))
    paper = found.value.layout.paper(project.plan.paper if project.plan else None)
    return found.value, paper


def prepare(book: Path, folder: Path) -> dict[str, float]:
    """The book engraved, for `press`, and as Typst source."""
    from tests.bench.typst_book import typst_folder, write_typst

    _unproved()
    manuscript, paper = _edition(book)
    (folder / "edition").write_bytes(pickle.dumps(manuscript))
    seen: dict[str, Chapter] = {}
    facing: set[str] = set()

    @contextmanager
    def watched(faces: Faces, *more: Any) -> Iterator[Press]:
        with open_press(faces, *more) as press_all:

            def press(chapters: Iterable[Chapter]) -> tuple[Pressed, ...]:
                own = tuple(chapters)
                pressed = press_all(own)
                for chapter, part in zip(own, pressed, strict=True):
                    seen[chapter.key] = chapter
                    facing.update(_facing(chapter, part))
                return pressed

            yield press

    setattr(books, "open_press", watched)  # noqa: B010
    books.press_book(manuscript, CORES, _silent)
    inner = [name for name in seen if name.startswith("chapter")]
    order = [name for name in ("front", "reading", *inner, *BEHIND) if name in seen]
    for as_drawn in (False, True):
        place = typst_folder(folder, as_drawn)
        place.mkdir(exist_ok=True)
        chapters = [seen[name] for name in order]
        write_typst(place, chapters, paper, manuscript.plan.title, facing, as_drawn)
    lines = sum(len(piece.lines) for _, piece in manuscript.pieces)
    return {"lines": lines}


def _facing(chapter: Chapter, part: Pressed) -> Iterator[str]:
    """The ids of what lies open on two pages."""
    starts = (*part.openings, part.pages)
    for name, (start, end) in zip(chapter.openings, pairwise(starts), strict=True):
        if end - start == FACING:
            yield name


def ready(folder: Path) -> dict[str, float]:
    """What `press` begins with, brought into memory."""
    _unproved()
    _loaded(folder)
    return {}


def _loaded(folder: Path) -> Manuscript:
    manuscript: Manuscript = pickle.loads((folder / "edition").read_bytes())
    return replace(manuscript, setting=replace(manuscript.setting, faces=load_faces()))


def press(folder: Path) -> dict[str, float]:
    """Lines as text in memory to a bound book."""
    _unproved()
    return _pressed(_loaded(folder), folder)


def _pressed(manuscript: Manuscript, folder: Path) -> dict[str, float]:
    begin = time.perf_counter()
    with seldom_collecting():
        _parts, data = books.press_book(manuscript, CORES, _silent)
    (folder / "book.pdf").write_bytes(data)
    return _made(folder / "book.pdf", time.perf_counter() - begin)


def empty(folder: Path) -> dict[str, float]:
    """The same with nothing in the staves, but as large."""
    _unproved()
    setattr(key, "draw", lambda system, faces: _blank(system))  # noqa: B010
    manuscript = _loaded(folder)
    pieces = tuple(
        (path, replace(piece, lines=tuple(replace(line, svg=_blank(line)) for line in piece.lines)))
        for path, piece in manuscript.pieces
    )
    return _pressed(replace(manuscript, pieces=pieces), folder)


def _blank(line: System | DrawnLine) -> str:
    width, height = (number(side * line.space) for side in (line.box.width, line.box.height))
    return (
        f'<svg xmlns="http://www.w3.org/2000/svg" width="{width}mm" height="{height}mm" '
        f'viewBox="0 0 {width} {height}"></svg>'
    )


def whole(book: Path, folder: Path) -> dict[str, float]:
    """XML to PDF as `stavebound build` does it, without the proof."""
    _unproved()
    begin = time.perf_counter()
    house = House(load_catalogue(), load_faces())
    report = books.build_book(book, folder / "whole.pdf", Asked(), CORES, house, _silent)
    if not report.written:
        raise SystemExit("the book was not built")
    return _made(folder / "whole.pdf", time.perf_counter() - begin)


def _made(pdf: Path, seconds: float) -> dict[str, float]:
    return {"seconds": seconds, "pages": pages_of(pdf), "bytes": pdf.stat().st_size}


TASKS: dict[str, Callable[..., dict[str, float]]] = {
    task.__name__: task for task in (prepare, ready, press, empty, whole)
}

if __name__ == "__main__":
    main(*sys.argv[1:])
