"""Weight: the forms of slides, steps and springs, under the feet.

In: a form's row, where its line begins and ends, and whether it is whole or goes over a break.
Out: its course. What goes over a break is half of it on either line of the score.

    slide   ─────────╯     level along the floor, turned up into its foot
    step    ╰──────━╯      one dip that swells until it is under its foot
    spring  ──╱╲──         two halves that rise to a point
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from enum import Enum
from math import copysign

from stavebound.drawing.courses import Course, Spot, Widths, halved, straight
from stavebound.drawing.figures import QUARTER
from stavebound.trade.movement import TransferLine

Half = Callable[[Spot, Spot, float], tuple[Spot, Spot]]


class Part(Enum):
    """What of a line is drawn: all of it, what leaves a line of the score, or what comes into
    the next."""

    WHOLE = "whole"
    LEAVING = "leaving"
    COMING = "coming"


def weight_course(kind: str, row: TransferLine, start: float, end: Spot, part: Part) -> Course:
    """`start` is where it begins across; `end` is under its foot, or at the edge of the line of
    the score that it leaves."""
    return FORMS[kind](row, start, end, part)


def weight_widths(row: TransferLine, part: Part) -> Widths:
    """How thick it is at its start, in its middle and at its end; of a half, as at its cut."""
    start, _, end = row.widths
    if part is Part.LEAVING:
        return start, (start + row.cut) / 2, row.cut
    return (row.cut, (row.cut + end) / 2, end) if part is Part.COMING else row.widths


def _slide(row: TransferLine, start: float, end: Spot, part: Part) -> Course:
    x, y = end
    if part is Part.LEAVING:
        return straight((start, row.lane), (x, row.lane))
    bend = copysign(min(row.bend, abs(x - start) / 2, y - row.lane), x - start)
    corner = x - bend, row.lane
    level = straight((start, row.lane), (2 * corner[0] - start, row.lane))[:4]
    arc = (x - bend * (1 - QUARTER), row.lane), (x, y - (y - row.lane) * (1 - QUARTER))
    return Course(*level, *arc, end)


def _step(row: TransferLine, start: float, end: Spot, part: Part) -> Course:
    begin = start, row.begin
    if part is Part.LEAVING:
        return _fall(begin, (end[0], row.lane))
    return _halves(begin, end, row, part, _dip)


def _spring(row: TransferLine, start: float, end: Spot, part: Part) -> Course:
    return _halves((start, row.begin), (end[0], row.begin), row, part, _rise)


def _halves(start: Spot, end: Spot, row: TransferLine, part: Part, half: Half) -> Course:
    """Two halves from either end to the middle; where the line is broken there, one of them. That
    which leaves bends all the way, so that it is not taken for what runs level."""
    reach = {Part.WHOLE: 0.5, Part.LEAVING: 1.0, Part.COMING: 0.0}[part]
    run = end[0] - start[0]
    middle = start[0] + run * reach, row.lane
    if part is not Part.LEAVING and row.reach and abs(end[0] - middle[0]) > row.reach:
        near = end[0] - copysign(row.reach, run), row.lane
        nearing, leaving = half(end, near, row.bend)
        coming = part is Part.COMING
        first = straight(middle, near)[:5:2] if coming else (start, *half(start, near, row.bend))
        return Course(*first, near, leaving, nearing, end)
    bend = max(row.bend, abs(run)) if part is Part.LEAVING else row.bend
    if part is Part.LEAVING:
        return halved(start, *half(start, middle, bend), middle)
    nearing, leaving = half(end, middle, bend)
    if part is Part.COMING:
        return halved(middle, leaving, nearing, end)
    return Course(start, *half(start, middle, bend), middle, leaving, nearing, end)


def _dip(foot: Spot, low: Spot, bend: float) -> tuple[Spot, Spot]:
    """From a foot down to the lowest spot, which it comes to level."""
    (x, y), (lx, ly) = foot, low
    near = copysign(min(abs(lx - x) * (1 - QUARTER), bend), lx - x)
    return (x + near / 2, y + (ly - y) * QUARTER), (lx - (lx - x) * QUARTER, ly)


def _fall(foot: Spot, low: Spot) -> Course:
    """All the way down from a foot to the edge, so that it is not taken for what runs level."""
    (x, y), (lx, ly) = foot, low
    run, fall = (lx - x) / 2, (ly - y) / 2
    return halved(
        foot, (lx - run * (1 + QUARTER / 2), y + fall), (lx - run * (1 - QUARTER), ly), low
    )


def _rise(foot: Spot, point: Spot, bend: float) -> tuple[Spot, Spot]:
    """From a foot level along, and up to a point that keeps its form however far it is."""
    (x, y), (px, py) = foot, point
    half = copysign(min(abs(px - x), bend), px - x)
    steep = copysign(min(abs(half) / 2, bend / 9), half)
    return (px - half * (1 - QUARTER), y), (px - steep, y + (py - y) * (1 - QUARTER))


FORMS: Mapping[str, Callable[[TransferLine, float, Spot, Part], Course]] = {
    "slide": _slide,
    "step": _step,
    "spring": _spring,
}
