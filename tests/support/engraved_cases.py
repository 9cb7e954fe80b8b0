"""The cases of engraving, each put on paper once.

A case is a score in cases/engrave, with a house style beside it where it needs
one; its comment says what it shows.
"""

from __future__ import annotations

from functools import cache
from pathlib import Path

from stavebound.dance.printed import Printed, with_signs
from stavebound.engrave.parts import Setting
from stavebound.score.model import Score
from tests.support.sources import score_of
from tests.support.staves import (
    MEASURE,
    SETTING,
    View,
    danced_of,
    least_width,
    printed_of,
    setting_of,
    style_of,
    view,
)

FOLDER = Path(__file__).parents[1] / "cases" / "engrave"
STYLE = ".style.xml"
CASES = sorted(path.stem for path in FOLDER.glob("*.xml") if not path.name.endswith(STYLE))


@cache
def score_in(case: str) -> Score:
    return score_of((FOLDER / f"{case}.xml").read_text(encoding="utf-8"), f"{case}.xml")


@cache
def setting_in(case: str) -> Setting:
    path = FOLDER / f"{case}{STYLE}"
    return setting_of(style_of(path.read_text(encoding="utf-8"))) if path.exists() else SETTING


@cache
def printed_in(case: str) -> Printed:
    """What is printed of the case: its repeats as signs where its name begins with repeats."""
    score = score_in(case)
    if case.startswith("repeats"):
        return with_signs(danced_of(score))
    return printed_of(score)


@cache
def page_of(case: str, narrow: bool) -> View:
    """The case on A5 paper, or on the narrowest that holds its bars and texts."""
    printed, setting = printed_in(case), setting_in(case)
    width = least_width(printed.score, setting, printed) + 0.001 if narrow else MEASURE
    return view(printed.score, width, setting, printed)
