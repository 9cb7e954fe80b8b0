"""Random examples that a test can use, counted beside those that it can't.

What is random may be against a rule, or too crowded for paper. A property says
nothing of that, and a generator that makes little else would make its test say
nothing at all: so every such example is counted, the counts stand below the
results of a run, and a test fails that could use too few of its examples. One frame in a
hundred is too crowded, and a score has many: four scores in five can be used.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass, field

import pytest
from hypothesis import reject

from stavebound.diagnostics import Diagnostic

# The share of its examples that a test must be able to use.
LEAST = 0.6


@dataclass(slots=True)
class Tally:
    """`why` counts the examples that could not be used, by what was wrong with them."""

    used: int = 0
    why: Counter[str] = field(default_factory=Counter)

    @property
    def tried(self) -> int:
        return self.used + self.why.total()

    @property
    def enough(self) -> bool:
        return self.used >= LEAST * self.tried

    def __str__(self) -> str:
        why = ", ".join(f"{many} {reason}" for reason, many in sorted(self.why.items()))
        of = f"{self.used} of {self.tried} examples used, at least {LEAST:.0%} wanted"
        return f"{of}: {why}" if why else of


_running: list[Tally] = []


@contextmanager
def tallied() -> Iterator[Tally]:
    """Count what a test does; it fails where too little could be used."""
    _running.append(Tally())
    try:
        yield _running[-1]
        if not _running[-1].enough:
            pytest.fail(str(_running[-1]), pytrace=False)
    finally:
        _running.pop()


def usable(faults: Iterable[Diagnostic | str]) -> None:
    """Go on where there is no fault, else try another example. Faults are told by their code."""
    codes = {fault if isinstance(fault, str) else fault.code for fault in faults}
    tally = _running[-1]
    if codes:
        tally.why[" ".join(sorted(codes))] += 1
        reject()
    tally.used += 1
