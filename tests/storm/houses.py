"""Random houses: every sign and every way of writing, engraved and proved in each.

    python -m tests.storm.houses --times 200 --seed 1
    python -m tests.storm.houses --only 17 --seed 1

Each house has a number. It is refused by the checks of its style, or the printed catalogue's
plate and movements are engraved in it and read back, and so is every picture of the key: all
is as written, or is told at a line. Prints how many ended how, and the style of each that
ended wrongly; exits with 1 where there was one.
"""

from __future__ import annotations

import argparse
import multiprocessing
import os
import sys
import time
from collections import Counter
from collections.abc import Iterable, Iterator
from functools import cache, partial
from random import Random

from stavebound.build.movements import movement_lines
from stavebound.build.on_paper import score_on_paper
from stavebound.build.pictures import picture_faults
from stavebound.build.setting import key_in, setting_of, style_faults
from stavebound.build.sign_catalogue import PLATE, PLATE_STYLE, SIGNS_LAYOUT, packaged
from stavebound.build.values import House, open_house
from stavebound.diagnostics import Diagnostic
from stavebound.plan.book import StyleSheet
from stavebound.score.model import Score
from stavebound.source.rules import NAMESPACE
from tests.support.any_styles import any_signs, any_style
from tests.support.sources import root_of

# Beyond this nobody waits for an answer.
SECONDS = 20.0
# How one ends that is as it should be, besides a refusal by codes; and all others.
PRINTED, WRONG = "printed", "wrong"


def house_text(seed: int, number: int, house: House) -> str:
    chance = Random(f"{seed} {number}")
    inside = chance.choice((any_signs, any_signs, any_style))(chance, house.catalogue)
    return f'<style xmlns="{NAMESPACE}">{inside}</style>'


def ended(text: str, house: House) -> tuple[str, str]:
    """How a house ends, and what is wrong with it."""
    sheet = root_of(text, "house.xml")
    assert isinstance(sheet, StyleSheet)
    if refused := style_faults((sheet,), house):
        return "refused by its style: " + _codes(refused), _astray(refused)
    faults = tuple(_of_all(sheet, house))
    if not faults:
        return PRINTED, ""
    astray = ", ".join(sorted({fault.code for fault in faults if fault.code.startswith("R")}))
    return "told at a frame: " + _codes(faults), astray or _astray(faults)


def _of_all(sheet: StyleSheet, house: House) -> Iterator[Diagnostic]:
    plate_style, plate = (root_of(packaged(name), name) for name in (PLATE_STYLE, PLATE))
    assert isinstance(plate_style, StyleSheet)
    assert isinstance(plate, Score)
    setting = setting_of((plate_style, sheet), house)
    paper = house.layouts[SIGNS_LAYOUT].paper("A4")
    key = key_in(setting, house)
    yield from score_on_paper(plate, None, paper, setting, key).diagnostics
    yield from movement_lines(paper, setting, key).diagnostics
    yield from picture_faults((sheet,), setting, key)


def _codes(faults: Iterable[Diagnostic]) -> str:
    return ", ".join(sorted({fault.code for fault in faults}))


def _astray(faults: Iterable[Diagnostic]) -> str:
    return "" if all(fault.span for fault in faults) else "a fault without a place"


def tried(seed: int, number: int) -> tuple[int, str, str, str, float]:
    house = _house()
    text, start = house_text(seed, number, house), time.process_time()
    try:
        how, wrong = ended(text, house)
    except Exception as failure:
        how, wrong = WRONG, f"{type(failure).__name__}: {failure}"
    spent = time.process_time() - start
    if spent > SECONDS:
        wrong = wrong or f"{spent:.0f} s"
    return number, WRONG if wrong else how, wrong, text, spent


@cache
def _house() -> House:
    return open_house()


def main() -> None:
    words = argparse.ArgumentParser(description=__doc__.splitlines()[0] if __doc__ else "")
    words.add_argument("--times", type=int, default=200, help="how many houses")
    words.add_argument("--only", type=int, help="only the house of this number")
    words.add_argument("--seed", type=int, default=1)
    words.add_argument("--jobs", type=int, default=os.cpu_count() or 1)
    asked = words.parse_args()
    numbers = range(asked.times) if asked.only is None else range(asked.only, asked.only + 1)
    ways: Counter[str] = Counter()
    slowest = 0.0
    with multiprocessing.Pool(asked.jobs) as pool:
        for number, how, wrong, text, spent in pool.imap(partial(tried, asked.seed), numbers):
            ways[how] += 1
            slowest = max(slowest, spent)
            if wrong or asked.only is not None:
                print(f"--- house {number} (seed {asked.seed}): {how}: {wrong}\n{text}", flush=True)
    for how, count in ways.most_common():
        print(f"{count:5} {how}")
    print(f"seed {asked.seed}; the slowest took {slowest:.1f} s")
    sys.exit(1 if ways[WRONG] else 0)


if __name__ == "__main__":
    main()
