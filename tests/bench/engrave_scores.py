"""Exercises of 50 to 1000 bars, engraved and drawn; how long each takes for its frames.

Run by hand (`make bench`). Measured is all between a score in memory and the text of
its SVG: fold, gather, clear, columns, cast off, space, place and draw, in processor time on
one core, the median of five, with the garbage collected as seldom as the program does it.
The exit code is 1 where a frame of one length takes more than `MARGIN` times as long as a
frame of another: then time does not grow with the frames alone.

The engraver remembers what follows from the place of a limb or from a text. So other scores
are measured beside the exercises: those of the demonstration book, exercises that were not
seen before, and some in which no place of a hand or a free foot occurs twice.
"""

from __future__ import annotations

import gc
import sys
import time
from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path
from statistics import median

from stavebound.build.loading import load_project
from stavebound.engrave.system import System
from stavebound.score.model import Score
from stavebound.svg.staves import draw_staves
from stavebound.workers import GARBAGE_THRESHOLD
from tests.support.exercises import exercise, wandering
from tests.support.staves import FACES, engraved

BARS = (50, 100, 200, 500, 1000)
RUNS = 5
MARGIN = 1.5
BOOK = Path(__file__).parents[2] / "books" / "syllabus" / "book.xml"


@dataclass(frozen=True, slots=True)
class Measured:
    """What scores have, and the seconds that they took."""

    frames: int
    signs: int
    seconds: float

    @property
    def by_frame(self) -> float:
        return self.seconds / self.frames

    @property
    def rate(self) -> float:
        """Signs a second."""
        return self.signs / self.seconds


def main() -> int:
    gc.set_threshold(GARBAGE_THRESHOLD)
    _run((exercise(BARS[0]),))
    rows = [_typical([(exercise(bars),)] * RUNS) for bars in BARS]
    print(f"{'bars':>6}{'frames':>8}{'signs':>8}{'seconds':>10}{'signs a second':>16}")
    for bars, row in zip(BARS, rows, strict=True):
        print(f"{bars:>6}{row.frames:>8}{row.signs:>8}{row.seconds:>10.3f}{row.rate:>16.0f}")
    by_frame = [row.by_frame for row in rows]
    ratio = max(by_frame) / min(by_frame)
    print(f"time of a frame, greatest ÷ least: {ratio:.2f} (at most {MARGIN})")
    book = tuple(score for _, score in load_project(BOOK, str(BOOK)).scores)
    others: dict[str, Sequence[tuple[Score, ...]]] = {
        "the demonstration book, the first time": [book],
        "the demonstration book, again": [book] * RUNS,
        "exercises that are new": [(exercise(200, seed),) for seed in range(2, 2 + RUNS)],
        "every place new": [(wandering(200, seed),) for seed in range(RUNS)],
    }
    print("signs a second of other scores")
    for name, batches in others.items():
        print(f"{name:<40}{_typical(batches).rate:>8.0f}")
    return int(ratio > MARGIN)


def _typical(batches: Sequence[tuple[Score, ...]]) -> Measured:
    """The median of batches of scores by what a sign takes."""
    runs = [_run(batch) for batch in batches]
    middle = median([run.rate for run in runs])
    return min(runs, key=lambda run: abs(run.rate - middle))


def _run(scores: tuple[Score, ...]) -> Measured:
    gc.collect()
    begin = time.process_time()
    systems = [system for score in scores for system in _drawn(score)]
    seconds = time.process_time() - begin
    return Measured(
        frames=sum(len(phrase.frames) for score in scores for phrase in score.phrases),
        signs=sum(len(stave.signs) for system in systems for stave in system.staves),
        seconds=seconds,
    )


def _drawn(score: Score) -> tuple[System, ...]:
    systems = engraved(score).systems
    for system in systems:
        draw_staves(system, FACES)
    return systems


if __name__ == "__main__":
    sys.exit(main())
