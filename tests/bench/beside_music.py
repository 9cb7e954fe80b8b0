"""Signs a second that are engraved here, beside notes a second that Verovio engraves.

Run by hand (`make bench`). Both go from a score to the SVG of all its lines, in processor
time on one core, the median of five: ours from a score in memory, Verovio from the text of
an MEI file, which it reads in a small part of the time. There is no target: the two draw
different things, and the one only shows what is usual.
"""

from __future__ import annotations

import gc
import time
from collections.abc import Callable
from random import Random
from statistics import median

import verovio

from stavebound.svg.staves import draw_staves
from tests.support.exercises import exercise
from tests.support.staves import FACES, engraved

BARS = 500
NOTES_A_BAR = 8
RUNS = 5


def main() -> None:
    score = exercise(BARS)
    signs = sum(len(stave.signs) for system in engraved(score).systems for stave in system.staves)
    music = _music()

    def ours() -> None:
        for system in engraved(score).systems:
            draw_staves(system, FACES)

    def theirs() -> None:
        toolkit = verovio.toolkit()
        toolkit.loadData(music)
        for page in range(1, toolkit.getPageCount() + 1):
            toolkit.renderToSVG(page)

    print(f"{'signs a second, engraved here':<40}{signs / _seconds(ours):>9.0f}")
    print(
        f"{'notes a second, engraved by Verovio':<40}{BARS * NOTES_A_BAR / _seconds(theirs):>9.0f}"
    )


def _seconds(work: Callable[[], None]) -> float:
    found = []
    for _ in range(RUNS):
        gc.collect()
        gc.freeze()
        begin = time.process_time()
        work()
        found.append(time.process_time() - begin)
    return median(found)


def _music() -> str:
    """One stave of quavers by chance, in MEI."""
    chance = Random(1)
    bars = "".join(
        f'<measure n="{bar}"><staff n="1"><layer n="1">'
        + "".join(
            f'<note dur="8" oct="{chance.choice((4, 5))}" pname="{chance.choice("cdefgab")}"/>'
            for _ in range(NOTES_A_BAR)
        )
        + "</layer></staff></measure>"
        for bar in range(1, BARS + 1)
    )
    return (
        '<mei xmlns="http://www.music-encoding.org/ns/mei" meiversion="5.0">'
        "<meiHead><fileDesc><titleStmt><title/></titleStmt><pubStmt/></fileDesc></meiHead>"
        "<music><body><mdiv>"
        '<score><scoreDef meter.count="4" meter.unit="4"><staffGrp><staffDef n="1" lines="5" '
        'clef.shape="G" clef.line="2"/></staffGrp></scoreDef>'
        f"<section>{bars}</section></score></mdiv></body></music></mei>"
    )


if __name__ == "__main__":
    main()
