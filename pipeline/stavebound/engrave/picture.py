"""A picture: one position on a short piece of stave, or one sign by itself, for keys,
guides and catalogues.

In: a `Posed` or a sign's name, and the setting. Out: a `System` without counts or
bar lines, with the lines' names at its left where `named`.
"""

from __future__ import annotations

from fractions import Fraction

from stavebound.diagnostics import Outcome
from stavebound.engrave.clear import clear
from stavebound.engrave.columns import Column, beside
from stavebound.engrave.lane_signs import written_signs
from stavebound.engrave.outline import outline, sign_box
from stavebound.engrave.parts import (
    Setting,
    axes,
    line_names,
    names_width,
    placed_signs,
    stave_lines,
    system,
    texts_beside,
)
from stavebound.engrave.system import PlacedSign, Stave, System
from stavebound.geometry import Box
from stavebound.score.model import unwritten
from stavebound.score.pose import Posed

HALF_WIDTH = 2.2


def picture(posed: Posed, setting: Setting, named: bool = False) -> Outcome[System]:
    """The position in the middle of a stave `HALF_WIDTH` to either side, in spaces."""
    catalogue, style = setting.catalogue, setting.style
    cleared = clear(written_signs(posed, catalogue), catalogue, style)
    left = names_width(setting) if named else 0.0
    amounts = tuple(beside(posed, catalogue, style, setting.faces))
    column = Column(Fraction(0), True, cleared.value or (), amounts)
    placed = ((column, left + HALF_WIDTH),)
    stave = Stave(
        floor=0.0,
        rules=tuple(stave_lines((left, left + 2 * HALF_WIDTH), setting)),
        axes=tuple(axes(placed, setting)) if setting.style.centre_line else (),
        signs=tuple(placed_signs(placed, setting)),
    )
    names = tuple(line_names(left, setting)) if named else ()
    texts = (*texts_beside(placed, setting), *names)
    return Outcome(system(stave, texts, (0, 0), setting), cleared.diagnostics)


def sign_picture(name: str, times: float, half: tuple[float, float], setting: Setting) -> System:
    """One sign without a stave, so many times as large as in print, its ink in the middle
    of a box `half` as wide and as high, in spaces. KeyError where there is no such sign."""
    row = setting.catalogue.sign(name)
    ink = sign_box(row)
    x, y = (ink.left + ink.right) / 2, (ink.bottom + ink.top) / 2
    sign = PlacedSign(name, 0.0, 0.0, outline(row), ink, (), unwritten())
    box = Box(x - half[0], y - half[1], x + half[0], y + half[1])
    space = setting.style.space * times
    return System((Stave(0.0, (), (), (sign,)),), (), box, (0, 0), space, 0.0)
