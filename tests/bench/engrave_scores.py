"""Exercises of 50 to 1000 bars, engraved and drawn; how long each takes for its frames.

Run by hand (`make bench`). Measured is all between a score in memory and the text of
its SVG: fold, gather, clear, columns, cast off, space, place and draw, in processor time on
one core, the median of five. What was in memory before is left out of the garbage
collector's rounds, what the engraver makes is not. The exit code is 1 where a frame of one
length takes more than `MARGIN` times as long as a frame of another: then time does not grow
with the frames alone.
"""

from __future__ import annotations

import gc
import sys
import time
from dataclasses import dataclass
from statistics import median

from stavebound.score.model import Score
from stavebound.svg.draw import draw
from tests.exercises import exercise
from tests.staves import FACES, engraved

BARS = (50, 100, 200, 500, 1000)
RUNS = 5
MARGIN = 1.5


@dataclass(frozen=True, slots=True)
class Measured:
    """What a score has, and the seconds that it took."""

    bars: int
    frames: int
    signs: int
    seconds: float

    @property
    def by_frame(self) -> float:
        return self.seconds / self.frames


def main() -> int:
    rows = [_measured(bars) for bars in BARS]
    print(f"{'bars':>6}{'frames':>8}{'signs':>8}{'seconds':>10}{'signs a second':>16}")
    for row in rows:
        rate = row.signs / row.seconds
        print(f"{row.bars:>6}{row.frames:>8}{row.signs:>8}{row.seconds:>10.3f}{rate:>16.0f}")
    by_frame = [row.by_frame for row in rows]
    ratio = max(by_frame) / min(by_frame)
    print(f"time of a frame, greatest ÷ least: {ratio:.2f} (at most {MARGIN})")
    return int(ratio > MARGIN)


def _measured(bars: int) -> Measured:
    score = exercise(bars)
    systems = engraved(score).systems
    return Measured(
        bars=bars,
        frames=sum(len(phrase.frames) for phrase in score.phrases),
        signs=sum(len(stave.signs) for system in systems for stave in system.staves),
        seconds=median(_seconds(score) for _ in range(RUNS)),
    )


def _seconds(score: Score) -> float:
    gc.collect()
    gc.freeze()
    begin = time.process_time()
    for system in engraved(score).systems:
        draw(system, FACES)
    return time.process_time() - begin


if __name__ == "__main__":
    sys.exit(main())
