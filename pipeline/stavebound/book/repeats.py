"""Repeats in the key: the signs by which the book's repeats are printed, and no others.

In: a `Manuscript`. Out: the rows of the table for what stands at its bars, in its order, and
a picture of each, a short stave with counts, proved like any other.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace

from stavebound.book.key import PictureError
from stavebound.book.values import Manuscript
from stavebound.dance.danced import dance
from stavebound.dance.printed import written_out
from stavebound.engrave.engraving import engrave
from stavebound.engrave.parts import Setting
from stavebound.proof.lines import DrawnLine, drawn_lines, prove_lines
from stavebound.readback.claims import ReadingKey
from stavebound.score.form import BarForm, Leap, form_features
from stavebound.score.model import At, Phrase, SaidBar, Score
from stavebound.trade.catalogue import Catalogue
from stavebound.trade.repeats import RepeatKeyRow
from stavebound.trade.tables import School

# In millimetres, and no distance: wide enough for any row; the picture is as wide as its bars.
WIDTH = 200.0


def repeat_rows(manuscript: Manuscript, catalogue: Catalogue) -> tuple[RepeatKeyRow, ...]:
    used = form_features(bar for _, piece in manuscript.pieces for bar in piece.form)
    return tuple(row for row in catalogue.repeats.key if row.feature in used)


def white_over(drawn: Mapping[str, DrawnLine]) -> dict[str, float]:
    """In millimetres, what is over each picture where all staves stand at one height."""
    highest = max((line.height for line in drawn.values()), default=0.0)
    return {feature: highest - line.height for feature, line in drawn.items()}


def shown_bars(row: RepeatKeyRow) -> tuple[BarForm, ...]:
    """What stands at the bars that a row shows."""
    return tuple(
        BarForm(**bar.model_dump(exclude={"leap"}), leap=Leap(bar.leap) if bar.leap else None)
        for bar in row.bars
    )


def repeat_picture(
    row: RepeatKeyRow, setting: Setting, school: School, key: ReadingKey
) -> DrawnLine:
    """The picture of a row, read back. PictureError where it does not say what it shows."""
    bars = shown_bars(row)
    of_a_count = tuple(SaidBar(At(1 + at), counts=1) for at in range(len(bars)))
    score = Score("", (Phrase(len(bars), (), of_a_count),))
    bare = replace(setting, style=replace(setting.style, line_names="none", centre_line=False))
    printed = replace(written_out(dance(score, setting.catalogue, school)), bars=bars)
    engraved = engrave(printed, WIDTH, bare)
    if engraved.value is None or engraved.diagnostics:
        raise PictureError(f"it cannot be drawn: {row.feature}")
    (line,) = lines = drawn_lines(engraved.value, row.feature, bare)
    faults = prove_lines(lines, engraved.value, printed, bare, key)
    if faults:
        raise PictureError(f"{row.feature}: {faults[0].message}")
    return line
