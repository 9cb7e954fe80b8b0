"""A hundred thousand random frames, engraved and read back; how many were misread.

Run by hand (`make bench`), as it takes some minutes. Prints what was read, what
was misread or had two readings, and how many frames a second the reader does;
the exit code is 1 where any frame was not read as written, and where too few of
the scores could be put on paper.
"""

from __future__ import annotations

import sys
import time
from collections import Counter
from dataclasses import dataclass, field

from hypothesis import HealthCheck, Phase, given, seed, settings
from hypothesis import strategies as st

from stavebound.proof.written import written_lines
from stavebound.readback.prove import prove
from stavebound.score.model import Score
from stavebound.svg.staves import draw_staves
from tests.support.made import LEAST
from tests.support.readers import KEY
from tests.support.staves import (
    FACES,
    outcome_of,
    printed_of,
    styled,
)
from tests.support.strategies import scores

WANTED = 100_000
SCORES_A_ROUND = 500
SETTINGS = [
    styled(f'<stave height="{height}" centre-line="{line}" line-names="{names}"/>')
    for height in (7, 9, 14)
    for line in ("yes", "no")
    for names in ("first", "every", "none")
]


@dataclass(slots=True)
class Tally:
    """`seconds` is the reader's time alone, without engraving and drawing."""

    seconds: float = 0.0
    counts: Counter[str] = field(default_factory=Counter)
    examples: list[str] = field(default_factory=list)


def main(wanted: int) -> int:
    tally, rounds = Tally(), 0
    while tally.counts["frames"] < wanted:
        _round(rounds, tally)
        rounds += 1
        print(f"… {tally.counts['frames']} frames", file=sys.stderr)
    for what in (
        "scores",
        "too crowded or too wide",
        "lines",
        "frames",
        "misread",
        "two readings",
    ):
        print(f"{what:<24}{tally.counts[what]:>9}")
    print(f"{'frames a second':<24}{tally.counts['frames'] / tally.seconds:>9.0f}")
    for example in tally.examples[:10]:
        print(example)
    too_few = tally.counts["too crowded or too wide"] > (1 - LEAST) * tally.counts["scores"]
    if too_few:
        print(f"fewer than {LEAST:.0%} of the scores could be put on paper")
    return int(tally.counts["misread"] + tally.counts["two readings"] > 0 or too_few)


def _round(number: int, tally: Tally) -> None:
    @seed(number)
    @settings(
        max_examples=SCORES_A_ROUND,
        phases=[Phase.generate],
        database=None,
        deadline=None,
        suppress_health_check=list(HealthCheck),
    )
    @given(scores(), st.integers(0, len(SETTINGS) - 1), st.sampled_from([80.0, 115.0, 180.0]))
    def read(score: Score, style: int, width: float) -> None:
        _read(score, style, width, tally)

    read()


def _read(score: Score, style: int, width: float, tally: Tally) -> None:
    setting = SETTINGS[style]
    outcome = outcome_of(score, width, setting)
    tally.counts["scores"] += 1
    if outcome.value is None or outcome.diagnostics:
        tally.counts["too crowded or too wide"] += 1
        return
    lines = written_lines(outcome.value, printed_of(score))
    for system, written in zip(outcome.value.systems, lines, strict=True):
        svg = draw_staves(system, FACES)
        begin = time.perf_counter()
        faults = prove(svg, written, KEY, FACES)
        tally.seconds += time.perf_counter() - begin
        tally.counts["lines"] += 1
        tally.counts["frames"] += len(written.moments)
        for fault in faults:
            tally.counts["two readings" if fault.code == "R106" else "misread"] += 1
            tally.examples.append(f"{fault.code} {fault.message}")


if __name__ == "__main__":
    sys.exit(main(int(sys.argv[1]) if len(sys.argv) > 1 else WANTED))
