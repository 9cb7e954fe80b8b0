"""Lines: the one place where the lines of a score become text, and are proved.

In: an engraved score. Out: its lines as SVG, each with the title that it will have, and
diagnostics where one of them says something else than was written, or could be read in two
ways. The reader sees that very text, which is painted into books and written to files.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from stavebound.dance.danced import Danced
from stavebound.dance.printed import Printed
from stavebound.diagnostics import Diagnostic
from stavebound.engrave.engraving import Engraved
from stavebound.engrave.parts import Setting
from stavebound.engrave.system import System
from stavebound.geometry import Box
from stavebound.proof.written import written_lines
from stavebound.readback.claims import ReadingKey
from stavebound.readback.prove import order_faults, place_faults, proved_staves
from stavebound.readback.repeats import joined
from stavebound.score.form import BarForm
from stavebound.score.model import STEP
from stavebound.svg.staves import draw_staves


@dataclass(frozen=True, slots=True)
class DrawnLine:
    """A line as it goes on paper: its SVG, the numbers of its first and last bar, the box that
    it fills in spaces, a space in millimetres, and the names of the steps that stand in it."""

    svg: str
    bars: tuple[int, int]
    box: Box
    space: float
    steps: tuple[str, ...] = ()

    @property
    def height(self) -> float:
        """In millimetres."""
        return self.box.height * self.space


@dataclass(frozen=True, slots=True)
class OnPaper:
    """A score as it is danced, as it is printed and as it was engraved, and its lines as they
    go on paper."""

    danced: Danced
    printed: Printed
    engraved: Engraved
    lines: tuple[DrawnLine, ...]


def drawn_lines(engraved: Engraved, title: str, setting: Setting) -> tuple[DrawnLine, ...]:
    """Every line, drawn once; `title` is the score's."""
    return tuple(_drawn(system, title, setting) for system in engraved.systems)


def _drawn(system: System, title: str, setting: Setting) -> DrawnLine:
    first, last = system.bars
    svg = draw_staves(system, setting.faces, f"{title}, bars {first} to {last}")
    steps = tuple(text.text for text in system.texts if text.lane == STEP)
    return DrawnLine(svg, system.bars, system.box, system.space, steps)


def prove_lines(
    lines: Sequence[DrawnLine],
    engraved: Engraved,
    printed: Printed,
    setting: Setting,
    key: ReadingKey,
) -> tuple[Diagnostic, ...]:
    """Every line of the score, read back stave by stave; where it is printed with signs of
    repeats also whether all its bars, danced as those say, are those of the written-out score."""
    found = list(place_faults(key, printed.score.origin.span))
    forms: list[tuple[BarForm, ...]] = []
    staves = range(len(printed.danced.lines))
    written = zip(*(written_lines(engraved, printed, stave) for stave in staves), strict=True)
    for drawn, line, wanted in zip(lines, engraved.lines, written, strict=True):
        readings = proved_staves(drawn.svg, wanted, key, setting.faces)
        found += readings.diagnostics
        own = line.end - line.start
        forms.append(readings.value[0].form[-own:] if readings.value else ())
    if printed.parts and not found:
        found += order_faults(joined(forms), printed.order, printed.parts[0].origin.span)
    return tuple(found)
