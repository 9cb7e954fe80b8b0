"""The storm: mutants of all kinds through the program, many thousands of them.

    python -m tests.storm --mutants 20000 --seed 1     all kinds
    python -m tests.storm --kind styles --only 4711    one of them again

Each mutant has a number; the seed, the kind and the number say what it is. Prints how many
ended how, and each that ended wrongly with the files that did it kept in a folder; exits
with 1 where there was one.
"""

from __future__ import annotations

import argparse
import multiprocessing
import os
import resource
import shutil
import sys
import tempfile
import time
from collections import Counter
from dataclasses import dataclass
from functools import partial
from pathlib import Path
from random import Random

from tests.storm.kinds import KINDS
from tests.storm.trial import SECONDS, prepare, tried

# After so many a process is made anew, so that none keeps what long runs gather.
A_PROCESS = 500
MOST_SHOWN = 40


@dataclass(frozen=True, slots=True)
class Weathered:
    """How one mutant ended: exit codes of its commands, and what was wrong, with its files."""

    number: int
    codes: tuple[int, ...]
    wrong: str | None
    seconds: float
    mebibytes: int


def weathered(kind: str, seed: int, keep: Path, number: int) -> Weathered:
    folder = Path(tempfile.mkdtemp(prefix=f"{kind}-{number}-", dir=keep))
    start, codes, wrong = time.process_time(), [], None
    for words in KINDS[kind](folder, Random(f"{seed} {kind} {number}")):
        ended = tried(*words)
        codes.append(ended.code)
        if ended.wrong:
            wrong = f"stavebound {' '.join(words)[:300]}\n{ended.wrong}"
            break
    os.chdir(keep)
    if wrong is None:
        shutil.rmtree(folder, ignore_errors=True)
    spent = time.process_time() - start
    most = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss // 1024
    return Weathered(number, tuple(codes), wrong, spent, most)


def storm(kind: str, seed: int, numbers: range, jobs: int, keep: Path) -> int:
    """How many ended wrongly; what is to be said is printed."""
    codes: Counter[int] = Counter()
    wrong, slowest, most = [], 0.0, 0
    with multiprocessing.Pool(jobs, prepare, maxtasksperchild=A_PROCESS) as pool:
        for one in pool.imap_unordered(partial(weathered, kind, seed, keep), numbers):
            codes.update(one.codes)
            slowest, most = max(slowest, one.seconds), max(most, one.mebibytes)
            if one.wrong:
                wrong.append(one)
    told = ", ".join(f"{count} with {code}" for code, count in sorted(codes.items()))
    print(f"{kind}: {len(numbers)} mutants ended {told}; the slowest took {slowest:.1f} s,")
    print(f"    the largest process {most} MiB; {len(wrong)} ended wrongly")
    for one in sorted(wrong, key=lambda one: one.number)[:MOST_SHOWN]:
        print(f"--- {kind} {one.number} (seed {seed})\n{one.wrong}", flush=True)
    return len(wrong)


def main() -> None:
    words = argparse.ArgumentParser(description=__doc__.splitlines()[0] if __doc__ else "")
    words.add_argument("--mutants", type=int, default=20_000, help="how many of each kind")
    words.add_argument("--kind", choices=sorted(KINDS), help="only this kind")
    words.add_argument("--only", type=int, help="only the mutant of this number")
    words.add_argument("--seed", type=int, default=1)
    words.add_argument("--jobs", type=int, default=os.cpu_count() or 1)
    asked = words.parse_args()
    numbers = range(asked.mutants) if asked.only is None else range(asked.only, asked.only + 1)
    keep = Path(tempfile.mkdtemp(prefix="storm-"))
    print(f"seed {asked.seed}; each mutant has {SECONDS} s; files of wrong ends stay in {keep}")
    kinds = (asked.kind,) if asked.kind else tuple(KINDS)
    found = sum(storm(kind, asked.seed, numbers, asked.jobs, keep) for kind in kinds)
    if not found:
        shutil.rmtree(keep)
    sys.exit(1 if found else 0)


if __name__ == "__main__":
    main()
