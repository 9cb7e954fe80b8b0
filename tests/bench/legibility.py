"""How well frames that say different things are told apart in print: the least ink that differs.

Run by hand (`make legibility`), as it takes a quarter of a minute. All ways of writing are drawn
by themselves on the lowest stave that packaged books have, without the learner's centre line, and
shown in print size by a renderer that is not ours (resvg). What they add to a bare stave is spread
as an eye at a music stand spreads it; between two neighbours in meaning (`legibility.toml`) the
ink that differs is counted, the one laid over the other as well as may be. Prints the pairs that
are the hardest to tell apart, weakest first, at every number of dots an inch; the exit code is 1
where one is under the floor.

`python -m tests.bench.legibility PAIRS` prints so many of them.
"""

from __future__ import annotations

import sys
from collections.abc import Iterator
from dataclasses import dataclass

from tests.support.families import NEAR, TABLE, families
from tests.support.seeing import Eye, differing, eye_at, seen_by
from tests.support.staves import CATALOGUE

SHOWN = 60


@dataclass(frozen=True, slots=True, order=True)
class Told:
    """How much ink differs between two words of a slot where it is the least, in square
    millimetres, and the two frames in which it is."""

    ink: float
    family: str
    words: tuple[str, str]
    frames: tuple[str, str]

    @property
    def may_be_near(self) -> bool:
        return (self.family, frozenset(self.words)) in NEAR

    def __str__(self) -> str:
        one, other = (word.strip() or "nothing" for word in self.words)
        near = " (may be near)" if self.may_be_near else ""
        return f"{self.ink:8.4f}{near}  {self.family}: {one} | {other}   in {self.frames[0]}"


def main(many: int) -> int:
    missed = False
    for row in TABLE["floor"]:
        found = sorted(told_apart(eye_at(row["dpi"])))
        under = [pair for pair in found if pair.ink < row["ink"] and not pair.may_be_near]
        missed |= bool(under)
        print(f"{row['dpi']} dpi: {len(found)} pairs, {len(under)} under {row['ink']} mm² of ink")
        print(*found[: max(many, len(under))], sep="\n")
    return int(missed)


def told_apart(eye: Eye) -> Iterator[Told]:
    """All pairs of words of all slots."""
    for family in families(CATALOGUE):
        least: dict[tuple[str, str], Told] = {}
        seen = {frame: seen_by(eye, family, frame) for frame in family.frames}
        for words, one, other in family.pairs():
            ink = differing(seen[one], seen[other], eye)
            told = Told(ink, family.name, words, (family.source(one), family.source(other)))
            least[words] = min(told, least.get(words, told))
        yield from least.values()


if __name__ == "__main__":
    sys.exit(main(int(sys.argv[1]) if sys.argv[1:] else SHOWN))
