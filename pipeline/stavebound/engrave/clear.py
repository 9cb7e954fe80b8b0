"""Clear: each cluster to a place where it can be read.

In: the clusters of one frame at their ideal places. Out: the same clusters,
moved as little as need be, each with its shift; and a diagnostic for each that
no small move could clear. Always holds: feet with weight do not move; a moved
sign keeps its order of height with every other; shifts of limbs go up, down or
outward. Signs of the centre line say nothing by where they stand across: they
go to either side, and further.

    stave line ────────────────
                  ↕ line clearance, unless the sign is centred on the line
                 ▕▏
               ←→ sign clearance
              ▕▏
"""

from __future__ import annotations

from collections.abc import Iterable
from typing import NamedTuple

from stavebound.dance.pose import Subject
from stavebound.diagnostics import Diagnostic, Outcome
from stavebound.engrave.gather import REMEMBERED, Cluster, Inks, ink_boxes
from stavebound.engrave.style import Style
from stavebound.geometry import Box, union
from stavebound.remembering import remembered
from stavebound.trade.catalogue import Catalogue

# Placed first, and hardly ever moved: they are known by their heights.
LEGS = ("foot", "knee")
# How many styles are remembered with their clearances; a book has a few.
STYLES = 8

Shift = tuple[float, float]
UNMOVED = (0.0, 0.0)


class Cleared(NamedTuple):
    """A cluster at its final place; `dx` and `dy` are how far it was moved, in spaces.

    `boxes` are those of its signs, one each, and `box` is round all of them.
    """

    cluster: Cluster
    boxes: tuple[Box, ...]
    box: Box
    dx: float
    dy: float


class Shifts(NamedTuple):
    """How far, and in what steps, a sign may be moved: up or down, a limb's outward, one of the
    centre line to a side. Two that are apart by no more than `level` have one height."""

    greatest: float
    step: float
    outward: tuple[float, ...]
    aside: float
    step_aside: float
    level: float


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


def clear(
    clusters: tuple[Cluster, ...], catalogue: Catalogue, style: Style
) -> Outcome[tuple[Cleared, ...]]:
    """One after the other; what then finds no place is tried again before all arms and
    parts of the centre line, as often as that is another order."""
    legs = tuple([cluster for cluster in clusters if cluster.subjects[0].kind in LEGS])
    others = tuple([cluster for cluster in clusters if cluster.subjects[0].kind not in LEGS])
    clearance = _clearance(style)
    first = outcome = _in_order(legs + others, catalogue, clearance)
    if not first.diagnostics:
        return first
    for _ in others:
        crowded = next((fault for fault in outcome.diagnostics), None)
        stuck = [one for one in others if crowded and one.origin.span == crowded.span]
        if not stuck:
            break
        others = (*stuck, *(one for one in others if one not in stuck))
        outcome = _in_order(legs + others, catalogue, clearance)
    return first if outcome.diagnostics else outcome


@remembered(STYLES)
def _clearance(style: Style) -> Clearance:
    return Clearance(
        style.sign_clearance,
        style.line_clearance + style.stave_line / 2,
        style.distance("on a line"),
        _shifts(style),
    )


def _shifts(style: Style) -> Shifts:
    step = style.distance("shift step outward")
    steps = round(style.distance("greatest shift outward") / step)
    return Shifts(
        style.distance("greatest shift"),
        style.distance("shift step"),
        tuple(number * step for number in range(steps + 1)),
        style.distance("greatest shift aside"),
        style.distance("shift step aside"),
        style.distance("same height"),
    )


def _in_order(
    clusters: tuple[Cluster, ...], catalogue: Catalogue, clearance: Clearance
) -> Outcome[tuple[Cleared, ...]]:
    placed: list[Cleared] = []
    taken: list[Box] = []
    faults: list[Diagnostic] = []
    for cluster in clusters:
        fixed = cluster.fixed
        free = UNMOVED if fixed else _free_move(cluster, placed, taken, catalogue, clearance)
        if free is None:
            faults.append(_crowded(cluster, placed, catalogue))
        dx, dy = free or UNMOVED
        inks, boxes, box, grown = _moved(cluster.inks, dx, dy, clearance.white, catalogue)
        own = cluster._replace(inks=inks) if dx or dy else cluster
        placed.append(Cleared(own, boxes, box, dx, dy))
        taken += grown
    return Outcome(tuple(placed), tuple(faults))


@remembered(REMEMBERED)
def _moved(inks: Inks, dx: float, dy: float, white: float, catalogue: Catalogue) -> Shifted:
    boxes = ink_boxes(inks, catalogue)
    if dx or dy:
        inks = tuple([ink.moved(dx, dy) for ink in inks])
        boxes = tuple([box.moved(dx, dy) for box in boxes])
    return Shifted(inks, boxes, union(boxes), tuple([box.grown(white) for box in boxes]))


def _free_move(
    cluster: Cluster,
    placed: list[Cleared],
    taken: list[Box],
    catalogue: Catalogue,
    clearance: Clearance,
) -> Shift | None:
    """The smallest move to a free place. `taken` are the boxes of all that is placed, with the
    white round them."""
    ideal, moves = _moves_of(cluster.inks, cluster.subjects, catalogue, clearance)
    near: dict[float, list[tuple[Box, Box]]] = {}
    for dx, dy in moves:
        if dx not in near:
            near[dx] = [
                (box, other)
                for box in ideal
                for other in taken
                if box.left + dx < other.right and other.left < box.right + dx
            ]
        for box, other in near[dx]:
            if box.bottom + dy < other.top and other.bottom < box.top + dy:
                break
        else:
            if _keeps_order(cluster, dy, placed, clearance.shifts.level):
                return dx, dy
    return None


@remembered(REMEMBERED)
def _moves_of(
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
    on = _moves_to(heights - off, outward, shifts)
    return boxes, (*_moves_to(off, outward, shifts), *on)


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


def _keeps_order(cluster: Cluster, dy: float, placed: Iterable[Cleared], level: float) -> bool:
    """Whether its sign stays above all that it is above, and below what it is below."""
    y = cluster.inks[0].y
    for other in placed:
        before = y - (other.cluster.inks[0].y - other.dy)
        after = before + dy - other.dy
        is_level = abs(before) <= level
        if not is_level and not (before * after > 0 and abs(after) > level):
            return False
    return True


def _crowded(cluster: Cluster, placed: list[Cleared], catalogue: Catalogue) -> Diagnostic:
    box = union(ink_boxes(cluster.inks, catalogue))
    others = [other for other in placed if box.overlaps(other.box)]
    subject = cluster.subjects[0]
    what = f"the sign of the {subject}"
    near = f"the sign of the {_named(others[0])}" if others else "the others of its frame"
    return Diagnostic(
        "E401",
        f"{what} cannot be placed so that it is read apart from {near}",
        cluster.origin.span,
        hints=("Write one of the two in another frame, or place the hand further away.",),
        related=tuple((other.cluster.origin.span, "the other sign") for other in others),
    )


def _named(cleared: Cleared) -> str:
    return str(cleared.cluster.subjects[0])
