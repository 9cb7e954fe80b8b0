"""A picture: one position on a short piece of stave, or one sign by itself, for keys,
guides and catalogues.

In: a `Posed` or a sign's name, and the setting. Out: a `System` without bar lines, with the
lines' names at its left where `named`; of one sign, a `Drawing`.
"""

from __future__ import annotations

from fractions import Fraction

from stavebound.dance.pose import Mention, Posed, Subject
from stavebound.dance.state import BOTH
from stavebound.diagnostics import Diagnostic, Outcome
from stavebound.drawing.values import Drawing, Pen
from stavebound.engrave.below import closed_up
from stavebound.engrave.clear import clear
from stavebound.engrave.columns import COUNTS, Cell, OnAxis, beside
from stavebound.engrave.lane_signs import counts_top, written_signs
from stavebound.engrave.outline import outline, sign_box
from stavebound.engrave.parts import (
    Setting,
    axes,
    line_names,
    names_width,
    placed_lastings,
    placed_phrasings,
    placed_signs,
    placed_ways,
    texts_beside,
)
from stavebound.engrave.ruling import breaks_round, stave_lines
from stavebound.engrave.stack import StaveRow, system
from stavebound.engrave.system import PlacedText, Stave, System
from stavebound.engrave.texts import set_text
from stavebound.engrave.ways import ways
from stavebound.geometry import Box
from stavebound.score.model import unwritten


def picture(
    posed: Posed, setting: Setting, named: bool = False, phrased: bool = False
) -> Outcome[System]:
    """The position in the middle of a stave "half picture" to either side; one
    that is come to by a move, or by a turn that lasts, on count 1 after the position before;
    where both are `phrased`, they are counts 1 and 2 under a bow."""
    catalogue, style = setting.catalogue, setting.style
    left = names_width(setting) if named else 0.0
    placed: list[OnAxis] = []
    faults: list[Diagnostic] = []
    x = left + style.distance("half picture")
    top = counts_top(style, setting.faces)
    for time, each in enumerate((*before_move(posed, phrased), posed)):
        cleared = clear(written_signs(each, top, catalogue), catalogue, style)
        signs = cleared.value or ()
        amounts = tuple(beside(each, catalogue, style, setting.faces))
        moved = tuple(ways(each, signs, catalogue, placed[-1].cell.signs if placed else ()))
        cell = Cell(True, signs, moved, amounts)
        placed.append(OnAxis(Fraction(time), x, cell, amounts))
        faults += cleared.diagnostics
        x += style.distance("picture frame distance")
    placed = list(closed_up(placed, catalogue.lanes))
    right = placed[-1].x + style.distance("half picture")
    edges, span = (left, right), (Fraction(0), Fraction(1))
    stave = Stave(
        floor=0.0,
        rules=tuple(stave_lines(edges, setting, breaks_round(placed, setting))),
        axes=tuple(axes(placed, setting)) if setting.style.centre_line else (),
        signs=tuple(placed_signs(placed, setting)),
        ways=tuple(placed_ways(placed, edges, {}, setting)),
        phrasings=tuple(placed_phrasings([span] * phrased, placed, edges, (), setting)),
        lasting=tuple(placed_lastings([span] * lasts(posed), placed, edges, catalogue.lanes)),
    )
    names = line_names(left, setting) if named else ()
    counted = placed if phrased else placed[1:]
    counts = (_count(number, at.x, setting) for number, at in enumerate(counted, 1))
    texts = (*texts_beside(placed, setting), *names, *counts)
    return Outcome(system((StaveRow(stave, texts),), (0, 0), setting), tuple(faults))


def before_move(posed: Posed, phrased: bool = False) -> tuple[Posed, ...]:
    """The position from which a limb moves, or with which a phrasing begins or a turn that
    lasts, with all that is known of it."""
    known = tuple(
        Mention(subject, unwritten())
        for side in BOTH
        for subject, is_known in (
            (Subject("hand", side), posed.before.hands.of(side)),
            (Subject("foot", side), posed.before.feet.of(side)),
        )
        if is_known
    )
    return (Posed(posed.before, known),) if posed.moves or phrased or lasts(posed) else ()


def lasts(posed: Posed) -> bool:
    """Whether a turn lasts until this position."""
    return bool(posed.turn and posed.turn.lasts)


def _count(number: int, axis: float, setting: Setting) -> PlacedText:
    count = set_text(COUNTS, str(number), setting)
    y = setting.style.distance("counts lane")
    return count.at(axis - count.width / 2, y)


def sign_picture(name: str, times: float, half: tuple[float, float], setting: Setting) -> Drawing:
    """One sign without a stave, so many times as large as in print, its ink in the middle of a
    box `half` as wide and as high, in spaces. KeyError where there is no such sign."""
    row = setting.catalogue.sign(name)
    ink = sign_box(row)
    x, y = (ink.left + ink.right) / 2, (ink.bottom + ink.top) / 2
    box = Box(x - half[0], y - half[1], x + half[0], y + half[1])
    return Drawing(box, setting.style.space * times, (Pen(figures=outline(row)),))
