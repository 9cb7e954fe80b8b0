"""Builds of the starter book, killed at random moments and between sync and rename.

In: how many, and a seed, from which each kill follows: its signal, its moment, how many
processes work, whether an earlier book lies there. Out: a table of how the builds ended,
and a line for each that left a book that is not whole, an earlier one that is gone or not
told of, a process that lives on, or files that stay. The exit code is 1 where there is one.

    python -m tests.storm.kills --times 300 --seed 1
"""

from __future__ import annotations

import argparse
import random
import re
import signal
import subprocess
import sys
import tempfile
import time
from collections import Counter
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path

from stavebound.build.starting import start_book
from tests.support.killed import AT_MOMENT, EARLIER, alive_after, environment

SIGNALS = (signal.SIGKILL, signal.SIGTERM, signal.SIGINT, signal.SIGHUP)
# Of builds, one in so many is killed at each named moment.
NAMED = 6
# Seconds that a build has to end.
LONGEST = 120.0


@dataclass(frozen=True, slots=True)
class Kill:
    """`moment` is a part of an undisturbed build's time, or one of the names above."""

    number: signal.Signals
    moment: float | str
    jobs: int
    earlier: bool

    def __str__(self) -> str:
        at = self.moment if isinstance(self.moment, str) else f"at {self.moment:.3f}"
        lies = "with" if self.earlier else "without"
        return f"{self.number.name} {at}, --jobs {self.jobs}, {lies} an earlier book"


@dataclass(frozen=True, slots=True)
class Place:
    """Where it storms: a book's folder, the temporary place, and what a whole book is."""

    folder: Path
    scratch: Path
    good: bytes
    seconds: float

    @property
    def book(self) -> Path:
        return self.folder / "book.pdf"

    @property
    def aside(self) -> Path:
        return self.folder / "book.earlier-1.pdf"


def kills(times: int, seed: int) -> Iterator[Kill]:
    """The same ones for a seed."""
    chance = random.Random(seed)
    for _ in range(times):
        moments = (chance.uniform(0, 1.1), "synced", "placing", "placed")
        at = chance.randrange(NAMED)
        yield Kill(
            chance.choice(SIGNALS),
            moments[at] if at < len(moments) else moments[0],
            chance.choice((1, 2)),
            chance.random() < 0.7,
        )


def settle(folder: Path) -> Place:
    """A starter book in the folder, and what comes out when nobody kills its build."""
    scratch = folder / "scratch"
    scratch.mkdir()
    start_book(folder / "book")
    start = time.monotonic()
    build(folder / "book", scratch)
    seconds = time.monotonic() - start
    return Place(folder / "book", scratch, (folder / "book" / "book.pdf").read_bytes(), seconds)


def build(folder: Path, scratch: Path) -> None:
    """A build that nobody kills."""
    run = [sys.executable, "-m", "stavebound", "build", str(folder / "book.xml")]
    subprocess.run(run, env=environment(scratch), stdout=subprocess.DEVNULL, check=True)


def killed(kill: Kill, place: Place) -> tuple[int, float, list[str]]:
    """The exit code of such a build, how many seconds after its signal it ended, and what is
    wrong with what it left."""
    place.aside.unlink(missing_ok=True)
    place.book.unlink(missing_ok=True)
    if kill.earlier:
        place.book.write_bytes(EARLIER)
    before, named = litter(place), isinstance(kill.moment, str)
    begun = ["-c", AT_MOMENT, str(int(kill.number)), str(kill.moment)] if named else ["-m"]
    rest = ["build", str(place.folder / "book.xml"), "--jobs", str(kill.jobs)]
    process = subprocess.Popen(
        [sys.executable, *begun, *([] if named else ["stavebound"]), *rest],
        env=environment(place.scratch),
        stdout=subprocess.DEVNULL,
        stderr=subprocess.PIPE,
        text=True,
        start_new_session=True,
    )
    if isinstance(kill.moment, float):
        time.sleep(kill.moment * place.seconds)
        process.send_signal(kill.number)
    sent = time.monotonic()
    said = process.communicate(timeout=LONGEST)[1]
    waited = 0.0 if named else time.monotonic() - sent
    return process.returncode, waited, list(faults(kill, place, before, process, said))


def faults(
    kill: Kill, place: Place, before: list[str], process: subprocess.Popen[str], said: str
) -> Iterator[str]:
    code, number = process.returncode, int(kill.number)
    yield from _of_the_book(kill, place, code, said)
    ours = "stavebound" in said or "Stopped" in said
    # An interpreter that has not come to our first line has its own way of ending.
    early = kill.number is signal.SIGINT and code == 1 and "KeyboardInterrupt" in said and not ours
    if code not in (0, -number, 128 + number) and not early:
        yield f"exit code {code}: {said}"
    if code >= 0 and "Traceback" in said and not early:
        yield f"a traceback: {said}"
    if left := alive_after(process.pid):
        yield f"processes live on: {left}"
    yield from _new_litter(before, place, kill.number is signal.SIGKILL)


def _of_the_book(kill: Kill, place: Place, code: int, said: str) -> Iterator[str]:
    """Whether what lies there is whole, and what was told of it is so."""
    book = place.book.read_bytes() if place.book.exists() else None
    aside = place.aside.read_bytes() if place.aside.exists() else None
    before = EARLIER if kill.earlier else None
    stopped = code == 128 + kill.number
    told_new = f"Written before that: {place.book}." in said
    told_aside = f"The earlier {place.book} is now {place.aside}" in said
    if book not in (None, before, place.good):
        yield f"a book of {len(book or b'')} bytes that is not whole"
    if code == 0 and book != place.good:
        yield "exit code 0 without a new book"
    if aside not in (None, before):
        yield "another file under the earlier book's new name"
    if told_aside != (aside is not None):
        yield f"the earlier book was set aside: {aside is not None}, told: {told_aside}"
    if kill.earlier and before not in (book, aside) and book != place.good:
        yield "the earlier book is gone"
    if stopped and told_new != (book == place.good):
        yield f"a new book: {book == place.good}, told: {told_new}"
    if stopped and not told_new and "Nothing was written" not in said:
        yield f"a stop that does not say what became of files: {said}"
    yield from _at_named_moment(kill, code, book == place.good, book is not None and book == before)


def _at_named_moment(kill: Kill, code: int, new: bool, as_it_was: bool) -> Iterator[str]:
    """There is one outcome for each."""
    if not isinstance(kill.moment, str):
        return
    outright = kill.number is signal.SIGKILL
    wanted = {"synced": False, "placing": not outright, "placed": True}[kill.moment]
    if new != wanted:
        yield f"a new book: {new}, wanted: {wanted}"
    if code != (-kill.number if outright else 128 + kill.number):
        yield f"exit code {code} at a named moment"
    if outright and kill.earlier and not new and not as_it_was:
        yield "a build that was killed outright touched the earlier book"


def litter(place: Place) -> list[str]:
    """What lies in the temporary place, and hidden beside the book."""
    beside = (path.name for path in place.folder.iterdir() if path.name.startswith("."))
    return [*(path.name for path in place.scratch.iterdir()), *beside]


def _new_litter(before: list[str], place: Place, outright: bool) -> Iterator[str]:
    """Only a build that is killed outright leaves anything, and what it leaves does not grow:
    it has cleared away what the one before it left."""
    now = litter(place)
    own = all(re.fullmatch(r"\.?stavebound-[0-9a-f]{12}", name) for name in now)
    new = set(now) - set(before)
    if not own or (new and not outright) or len(now) > 2:
        yield f"files that stay: {now}, where there were {before}"


def main() -> int:
    # Whatever was ignored where this began, a build can be stopped.
    for number in SIGNALS[1:]:
        signal.signal(number, signal.default_int_handler)
    parser = argparse.ArgumentParser(
        description=__doc__, formatter_class=argparse.RawTextHelpFormatter
    )
    parser.add_argument("--times", type=int, default=100)
    parser.add_argument("--seed", type=int, default=1)
    asked = parser.parse_args()
    ends: Counter[str] = Counter()
    wrong, longest = 0, 0.0
    with tempfile.TemporaryDirectory() as folder:
        place = settle(Path(folder))
        for kill in kills(asked.times, asked.seed):
            code, waited, found = killed(kill, place)
            longest = max(longest, waited if code else 0.0)
            ends[f"{kill.number.name:8}exit code {code}"] += 1
            wrong += bool(found)
            for fault in found:
                print(f"{kill}: {fault}", flush=True)
        build(place.folder, place.scratch)
        if left := litter(place):
            wrong += 1
            print(f"files that stay after a whole build: {left}")
    for end, count in sorted(ends.items()):
        print(f"{count:6}  {end}")
    print(f"{longest:6.2f}  seconds from a signal to the end of the build, at the most")
    print(f"{asked.times} builds killed, seed {asked.seed}: {wrong} left something wrong")
    return 1 if wrong else 0


if __name__ == "__main__":
    sys.exit(main())
