"""The demonstration book as it is bound, made once in a run for each paper.

In: a folder that all processes of a run share, and a paper. Out: the book's file, and the parts
that it was bound of. Whoever comes first makes it, and others wait.
"""

from __future__ import annotations

import fcntl
import pickle
from dataclasses import dataclass
from pathlib import Path

from stavebound.book.layouts import Asked
from stavebound.build.books import press_book
from stavebound.build.loading import load_project
from stavebound.build.manuscripts import manuscript_of
from stavebound.build.values import open_house
from stavebound.press.values import Pressed

BOOK = Path(__file__).parents[2] / "books" / "syllabus" / "book.xml"
JOBS = 2


@dataclass(frozen=True, slots=True)
class ClassBook:
    pdf: Path
    parts: tuple[Pressed, ...]

    @property
    def chapters(self) -> tuple[Pressed, ...]:
        """Those with the exercises."""
        return tuple(part for part in self.parts if part.key.startswith("chapter"))


def class_book(folder: Path, paper: str) -> ClassBook:
    pdf, parts = folder / f"class-{paper}.pdf", folder / f"class-{paper}.parts"
    with (folder / f"class-{paper}.lock").open("w") as lock:
        fcntl.flock(lock, fcntl.LOCK_EX)
        if not parts.exists():
            made, data = _made(paper)
            pdf.write_bytes(data)
            parts.write_bytes(pickle.dumps(made))
    return ClassBook(pdf, pickle.loads(parts.read_bytes()))


def _made(paper: str) -> tuple[tuple[Pressed, ...], bytes]:
    project = load_project(BOOK, str(BOOK), JOBS)
    manuscript = manuscript_of(project, Asked(paper=paper), open_house(), JOBS)
    assert manuscript.diagnostics == ()
    assert manuscript.value is not None
    return press_book(manuscript.value, JOBS, lambda what: None)
