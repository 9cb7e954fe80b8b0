"""Shifts: how far a cluster may be moved so that it can be read, the smallest shifts first.

In: the signs of a cluster and whose they are, the style's distances. Out: all shifts after which
they can be told from the stave lines. Always holds: shifts of limbs go up, down or outward. Signs
of the centre line say nothing by where they stand across: they go to either side, and further.

    stave line ────────────────
                  ↕ line clearance, unless the sign is centred on the line
                 ▕▏
"""

from __future__ import annotations

from typing import NamedTuple

from stavebound.dance.pose import Subject
from stavebound.engrave.gather import JOINTS, REMEMBERED, Inks, ink_boxes
from stavebound.engrave.style import Style
from stavebound.geometry import Box, union
from stavebound.remembering import remembered
from stavebound.trade.catalogue import Catalogue

# How many styles are remembered with their clearances; a book has a few.
STYLES = 8

Shift = tuple[float, float]


class Shifts(NamedTuple):
    """How far, and in what steps, a sign may be moved: up or down, a limb's outward, a knee's or
    elbow's further, one of the centre line to a side. Two that are apart by no more than `level`
    have one height. A free foot gives way to others by no more than `of_foot`, up or down."""

    greatest: float
    step: float
    outward: tuple[float, ...]
    of_joint: tuple[float, ...]
    aside: float
    step_aside: float
    level: float
    of_foot: float


class Clearance(NamedTuple):
    """White between two signs, and from a sign to the middle of a stave line; how far a sign
    may be off a line on which it is centred. All in spaces."""

    white: float
    apart: float
    on_line: float
    shifts: Shifts


class Shifted(NamedTuple):
    """The signs of a cluster so far from their ideal places, their boxes, and what they take
    with the white round them."""

    inks: Inks
    boxes: tuple[Box, ...]
    box: Box
    taken: tuple[Box, ...]


@remembered(STYLES)
def clearance_of(style: Style) -> Clearance:
    return Clearance(
        style.sign_clearance,
        style.line_clearance + style.stave_line / 2,
        style.distance("on a line"),
        _shifts(style),
    )


def _shifts(style: Style) -> Shifts:
    return Shifts(
        style.distance("greatest shift"),
        style.distance("shift step"),
        _outward_steps("greatest shift outward", style),
        _outward_steps("greatest shift of a joint", style),
        style.distance("greatest shift aside"),
        style.distance("shift step aside"),
        style.distance("same height"),
        style.distance("greatest shift of a foot"),
    )


def _outward_steps(greatest: str, style: Style) -> tuple[float, ...]:
    step = style.distance("shift step outward")
    return tuple(number * step for number in range(round(style.distance(greatest) / step) + 1))


@remembered(REMEMBERED)
def moved(inks: Inks, dx: float, dy: float, white: float, catalogue: Catalogue) -> Shifted:
    boxes = ink_boxes(inks, catalogue)
    if dx or dy:
        inks = tuple([ink.moved(dx, dy) for ink in inks])
        boxes = tuple([box.moved(dx, dy) for box in boxes])
    return Shifted(inks, boxes, union(boxes), tuple([box.grown(white) for box in boxes]))


@remembered(REMEMBERED)
def moves_of(
    inks: Inks, subjects: tuple[Subject, ...], catalogue: Catalogue, clearance: Clearance
) -> tuple[tuple[Box, ...], tuple[Shift, ...]]:
    """The boxes of signs, and all moves after which the first, and those marks that must be,
    are clear of lines; of a hand's sign that is rather off them and has its place on none, those
    that bring it onto one come last."""
    boxes, lines = ink_boxes(inks, catalogue), len(catalogue.ruling.line)
    edges = [
        (box.bottom, box.top, row.lines == "never on one")
        for ink, box in zip(inks, boxes, strict=True)
        if (row := catalogue.sign(ink.sign)).lines or ink is inks[0]
    ]
    heights = _heights_off_lines(tuple(edges), lines, clearance)
    off = heights
    rather_off = catalogue.sign(inks[0].sign).lines == "rather off"
    if rather_off and subjects[0].kind == "hand" and not _on_line(inks[0].y, lines, clearance):
        own = boxes[0].bottom, boxes[0].top, True
        off = _heights_off_lines((own, *edges[1:]), lines, clearance)
    outward, shifts = _outward(inks, subjects), clearance.shifts
    if subjects[0].kind in JOINTS:
        shifts = shifts._replace(outward=shifts.of_joint)
    on = _moves_to(heights - off, outward, shifts)
    moves = (*_moves_to(off, outward, shifts), *on)
    if subjects[0].kind == "foot":
        moves = tuple(sorted(moves, key=lambda move: abs(move[1]) > shifts.of_foot))
    return boxes, moves


def _on_line(y: float, lines: int, clearance: Clearance) -> bool:
    """Whether it is the height of a stave line, where what is written there belongs."""
    return any(abs(y - line) <= clearance.on_line for line in range(lines))


def _outward(inks: Inks, subjects: tuple[Subject, ...]) -> int | None:
    """The side to which a cluster gives way, away from the axis; 0 for a sign on the centre
    line, which gives way to either; None for two limbs that touch there, which give way to
    neither."""
    if len(subjects) > 1:
        return None
    side = subjects[0].side
    if side is None:
        return 0
    crossed = inks[0].x * side.sign < 0
    return -side.sign if crossed else side.sign


@remembered(REMEMBERED)
def _heights_off_lines(
    edges: tuple[tuple[float, float, bool], ...], lines: int, clearance: Clearance
) -> frozenset[float]:
    """The shifts after which all signs with these edges, thin or not, can be told from the
    stave lines."""
    shifts = _heights(clearance.shifts)
    reach = clearance.shifts.greatest + clearance.apart + clearance.shifts.step
    for bottom, top, thin in edges:
        near = [line for line in range(lines) if bottom - reach < line < top + reach]
        shifts = [dy for dy in shifts if _off_lines(bottom + dy, top + dy, thin, near, clearance)]
    return frozenset(shifts)


def _off_lines(
    bottom: float, top: float, thin: bool, lines: list[int], clearance: Clearance
) -> bool:
    """Whether a sign is clear of the stave lines or, where it is not thin, centred on one."""
    middle, apart = (bottom + top) / 2, clearance.apart
    clear = [
        bottom - line >= apart
        or line - top >= apart
        or (not thin and abs(middle - line) <= clearance.on_line)
        for line in lines
    ]
    return all(clear)


def _heights(shifts: Shifts) -> list[float]:
    steps = round(shifts.greatest / shifts.step)
    return [step * shifts.step for step in range(-steps, steps + 1)]


@remembered(REMEMBERED)
def _moves_to(heights: frozenset[float], outward: int | None, shifts: Shifts) -> tuple[Shift, ...]:
    return tuple([move for move in _moves(outward, shifts) if move[1] in heights])


@remembered(REMEMBERED)
def _moves(outward: int | None, shifts: Shifts) -> tuple[Shift, ...]:
    """All moves, the smallest first; a move outward counts no more than one up or down."""
    if outward is None:
        across: tuple[float, ...] = (0.0,)
    elif outward:
        across = tuple(out * outward for out in shifts.outward)
    else:
        steps = range(round(shifts.aside / shifts.step_aside) + 1)
        across = tuple(way * step * shifts.step_aside for step in steps for way in (1, -1))
    moves = [(dx, dy) for dx in across for dy in _heights(shifts)]
    return tuple(sorted(moves, key=lambda move: (abs(move[0]) + abs(move[1]), abs(move[0]))))
