"""Every place of the tables moved, one at a time: who sees it?

Run by hand (`make mutate`), as it takes some minutes. For each mutant the anchors are asked,
and the proof of scores that use its table: what the ink says against what was written, without
the anchors. What neither sees, the checks outside are run on. Prints how many were seen by
whom, and those that nobody saw with the reasons of `places.toml`; the exit code is 1 where a
survivor has no reason there, or one that has does not survive.

`python -m tests.bench.mutate_places PATH…` tries the places whose paths begin so.
"""

from __future__ import annotations

import os
import subprocess
import sys
from collections import Counter
from collections.abc import Iterable, Iterator
from concurrent.futures import ProcessPoolExecutor
from dataclasses import dataclass
from pathlib import Path

from pydantic import ValidationError

from stavebound.build.setting import key_in, setting_of
from stavebound.build.values import House
from stavebound.dance.printed import Printed, with_signs, written_out
from stavebound.engrave.engraving import engrave
from stavebound.engrave.parts import Setting
from stavebound.proof.lines import drawn_lines, prove_lines
from stavebound.readback.claims import ReadingKey
from tests.bench.mutated import MUTANT
from tests.support.mutants import DATA, Mutant, anchors_see, house_with, mutants, places, spared
from tests.support.readers import EVERY_SIGN
from tests.support.sources import score_of
from tests.support.staves import (
    MEASURE,
    danced_of,
    printed_of,
)

ROOT = Path(__file__).parents[2]
CASES = ROOT / "tests" / "cases" / "engrave"
OUTSIDE = ("test_body.py", "test_trade_facts.py", "test_sides.py")
ANCHOR = "R202"
# How what is not seen by the ink may break on its way there.
BREAKS = (ArithmeticError, AssertionError, LookupError, ValueError)


@dataclass(frozen=True, slots=True)
class Verdict:
    mutant: Mutant
    seen_by: tuple[str, ...]


def main(*beginnings: str) -> int:
    chosen = {path: leaf for path, leaf in places().items() if path.startswith(beginnings or "")}
    every = [mutant for path, leaf in chosen.items() for mutant in mutants(path, leaf)]
    verdicts: list[Verdict] = []
    with ProcessPoolExecutor() as pool:
        for verdict in pool.map(judged, every, chunksize=4):
            verdicts.append(verdict)
            if len(verdicts) % 100 == 0:
                print(f"… {len(verdicts)} of {len(every)}", file=sys.stderr)
    _print_totals(len(chosen), verdicts)
    return _print_survivors(chosen, verdicts)


def judged(mutant: Mutant) -> Verdict:
    try:
        house = house_with(mutant)
    except ValidationError:
        return Verdict(mutant, ("tables",))
    asked = (("anchors", anchors_see(mutant)), ("ink", ink_sees(mutant, house)))
    seen = tuple(who for who, sees in asked if sees)
    if not seen and outside_sees(mutant):
        seen = ("outside",)
    return Verdict(mutant, seen)


def ink_sees(mutant: Mutant, house: House) -> bool:
    """Whether a score that uses the table fails its proof, or is not engraved at all."""
    setting = setting_of((), house)
    key = key_in(setting, house)
    try:
        return any(_fails(printed, setting, key) for printed in shown(mutant))
    except BREAKS:
        return True


def _fails(printed: Printed, setting: Setting, key: ReadingKey) -> bool:
    outcome = engrave(printed, MEASURE, setting)
    if outcome.value is None or outcome.diagnostics:
        return True
    lines = drawn_lines(outcome.value, printed.score.title, setting)
    faults = prove_lines(lines, outcome.value, printed, setting, key)
    return any(fault.code != ANCHOR for fault in faults)


def shown(mutant: Mutant) -> Iterator[Printed]:
    """Every sign once, and the cases that show more of the mutant's table."""
    yield printed_of(EVERY_SIGN)
    for name in DATA["shown"].get(mutant.path.partition(".")[0], ()):
        score = score_of((CASES / f"{name}.xml").read_text(encoding="utf-8"), name)
        form = with_signs if name.startswith("repeats") else written_out
        yield form(danced_of(score))


def outside_sees(mutant: Mutant) -> bool:
    """Whether a check against things that are not ours fails, with the mutant in the tables."""
    command = [sys.executable, "-m", "pytest", "-q", "-x", "-p", "tests.bench.mutated"]
    files = [f"tests/outside/{name}" for name in OUTSIDE]
    environment = {**os.environ, MUTANT: str(mutant)}
    ran = subprocess.run(
        [*command, "-p", "no:cacheprovider", *files], cwd=ROOT, env=environment, capture_output=True
    )
    return ran.returncode != 0


def _print_totals(many: int, verdicts: list[Verdict]) -> None:
    by = Counter(who for verdict in verdicts for who in verdict.seen_by)
    alone = Counter(verdict.seen_by[0] for verdict in verdicts if len(verdict.seen_by) == 1)
    print(f"{'places':<24}{many:>6}\n{'mutants':<24}{len(verdicts):>6}")
    for who, what in (
        ("tables", "refused by the tables"),
        ("anchors", "seen by the anchors"),
        ("ink", "seen in the ink"),
        ("outside", "seen by checks outside"),
    ):
        print(f"{what:<24}{by[who]:>6}, of which by nothing else {alone[who]}")
    print(f"{'seen by nobody':<24}{sum(not verdict.seen_by for verdict in verdicts):>6}")


def _print_survivors(chosen: Iterable[str], verdicts: list[Verdict]) -> int:
    listed = spared()
    reasons = {path: listed[path] for path in chosen if path in listed}
    alive: dict[str, list[str]] = {}
    for verdict in verdicts:
        if not verdict.seen_by:
            alive.setdefault(verdict.mutant.path, []).append(str(verdict.mutant))
    for path, some in alive.items():
        print(f"survives: {', '.join(some)}\n    {reasons.get(path, 'NOT LISTED in places.toml')}")
    for path in reasons.keys() - alive.keys():
        print(f"NO LONGER survives, and is listed in places.toml: {path}")
    return int(reasons.keys() != alive.keys())


if __name__ == "__main__":
    sys.exit(main(*sys.argv[1:]))
