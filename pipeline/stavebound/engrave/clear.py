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

from collections.abc import Iterator
from dataclasses import dataclass
from functools import cache
from math import inf

from stavebound.diagnostics import Diagnostic, Outcome
from stavebound.engrave.gather import Cluster, ink_boxes
from stavebound.engrave.style import Style
from stavebound.geometry import Box, union
from stavebound.trade.catalogue import Catalogue

STEP = 0.01
# The last is what a hand's stroke needs to pass a raised foot's dot.
OUTWARD = (0.0, 0.08, 0.16, 0.24, 0.32, 0.40)
ASIDE = 0.04
# Too little for an eye to see that a sign is not quite on its line.
ON_LINE = 0.03
SAME_HEIGHT = 0.02
# Placed first, and hardly ever moved: they are known by their heights.
LEGS = ("foot", "knee")


@dataclass(frozen=True, slots=True)
class Cleared:
    """A cluster at its final place; `dx` and `dy` are how far it was moved, in spaces.

    `boxes` are those of its signs, one each, and `box` is round all of them.
    """

    cluster: Cluster
    boxes: tuple[Box, ...]
    box: Box
    dx: float
    dy: float


def clear(
    clusters: tuple[Cluster, ...], catalogue: Catalogue, style: Style
) -> Outcome[tuple[Cleared, ...]]:
    """One after the other; what then finds no place is tried again before all arms and
    parts of the centre line, as often as that is another order."""
    legs = tuple(cluster for cluster in clusters if cluster.limbs[0].kind in LEGS)
    others = tuple(cluster for cluster in clusters if cluster.limbs[0].kind not in LEGS)
    first = outcome = _in_order(legs + others, catalogue, style)
    for _ in others:
        crowded = next((fault for fault in outcome.diagnostics), None)
        stuck = [one for one in others if crowded and one.origin.span == crowded.span]
        if not stuck:
            break
        others = (*stuck, *(one for one in others if one not in stuck))
        outcome = _in_order(legs + others, catalogue, style)
    return first if outcome.diagnostics else outcome


def _in_order(
    clusters: tuple[Cluster, ...], catalogue: Catalogue, style: Style
) -> Outcome[tuple[Cleared, ...]]:
    placed: list[Cleared] = []
    taken: list[Box] = []
    faults: list[Diagnostic] = []
    white = style.sign_clearance
    for cluster in clusters:
        found = next(_free_places(cluster, placed, taken, catalogue, style), None)
        if found is None:
            faults.append(_crowded(cluster, placed, catalogue))
            found = _unmoved(cluster, catalogue)
        placed.append(found)
        taken += [box.grown(white) for box in found.boxes]
    return Outcome(tuple(placed), tuple(faults))


def _free_places(
    cluster: Cluster, placed: list[Cleared], taken: list[Box], catalogue: Catalogue, style: Style
) -> Iterator[Cleared]:
    """`taken` are the boxes of all that is placed, with the white round them."""
    if cluster.fixed:
        yield _unmoved(cluster, catalogue)
        return
    ideal = ink_boxes(cluster, catalogue)
    shifts = _clear_of_lines(cluster, ideal, catalogue, style)
    near = _near(union(ideal), taken, style.distance("greatest shift"))
    for dx, dy in _moves(cluster.outward, shifts, style.distance("greatest shift aside")):
        if _stands_apart(ideal, dx, dy, near) and all(
            _keeps_order(cluster, dy, other) for other in placed
        ):
            yield _at(cluster, ideal, dx, dy)


def _stands_apart(boxes: tuple[Box, ...], dx: float, dy: float, others: list[Box]) -> bool:
    for box in boxes:
        for other in others:
            if box.overlaps(other, dx, dy):
                return False
    return True


def _near(box: Box, taken: list[Box], greatest: float) -> list[Box]:
    """Those that are as high or as low as the box may come."""
    reach = greatest + STEP
    row = Box(-inf, box.bottom - reach, inf, box.top + reach)
    return [other for other in taken if other.overlaps(row)]


def _clear_of_lines(
    cluster: Cluster, ideal: tuple[Box, ...], catalogue: Catalogue, style: Style
) -> frozenset[float]:
    """The shifts after which its sign, and those marks that must be, are clear of lines."""
    off, thin = catalogue.marks.off_the_lines, catalogue.marks.never_on_a_line
    edges = [
        (box.bottom, box.top, ink.sign in thin)
        for ink, box in zip(cluster.inks, ideal, strict=True)
        if ink is cluster.inks[0] or ink.sign in off or ink.sign in thin
    ]
    apart = style.line_clearance + style.stave_line / 2
    greatest = style.distance("greatest shift")
    return _shifts_off_lines(tuple(edges), len(catalogue.body.line), apart, greatest)


@cache
def _shifts_off_lines(
    edges: tuple[tuple[float, float, bool], ...], lines: int, apart: float, greatest: float
) -> frozenset[float]:
    """The shifts after which all signs with these edges, thin or not, can be told from the
    stave lines."""
    steps = round(greatest / STEP)
    return frozenset(
        dy
        for dy in (step * STEP for step in range(-steps, steps + 1))
        if all(
            _off_every_line(bottom + dy, top + dy, thin, lines, apart)
            for bottom, top, thin in edges
        )
    )


def _off_every_line(bottom: float, top: float, thin: bool, lines: int, apart: float) -> bool:
    """Whether a sign is clear of every stave line or, where it is not thin, centred on it."""
    middle = (bottom + top) / 2
    return all(
        bottom - line >= apart
        or line - top >= apart
        or (not thin and abs(middle - line) <= ON_LINE)
        for line in range(lines)
    )


@cache
def _moves(
    outward: int | None, heights: frozenset[float], aside: float
) -> tuple[tuple[float, float], ...]:
    """All moves to these heights, the smallest first; a move outward counts no more than one
    up or down."""
    if outward is None:
        across: tuple[float, ...] = (0.0,)
    elif outward:
        across = tuple(out * outward for out in OUTWARD)
    else:
        steps = range(round(aside / ASIDE) + 1)
        across = tuple(way * step * ASIDE for step in steps for way in (1, -1))
    moves = [(dx, dy) for dx in across for dy in sorted(heights)]
    return tuple(sorted(moves, key=lambda move: (abs(move[0]) + abs(move[1]), abs(move[0]))))


def _keeps_order(cluster: Cluster, dy: float, other: Cleared) -> bool:
    before = cluster.inks[0].y - (other.cluster.inks[0].y - other.dy)
    after = before + dy - other.dy
    if abs(before) <= SAME_HEIGHT:
        return True
    return before * after > 0 and abs(after) > SAME_HEIGHT


def _unmoved(cluster: Cluster, catalogue: Catalogue) -> Cleared:
    return _at(cluster, ink_boxes(cluster, catalogue), 0.0, 0.0)


def _at(cluster: Cluster, ideal: tuple[Box, ...], dx: float, dy: float) -> Cleared:
    """The cluster with its boxes, so far from its ideal place."""
    if dx == dy == 0:
        return Cleared(cluster, ideal, union(ideal), dx, dy)
    boxes = tuple([box.moved(dx, dy) for box in ideal])
    return Cleared(cluster.moved(dx, dy), boxes, union(boxes), dx, dy)


def _crowded(cluster: Cluster, placed: list[Cleared], catalogue: Catalogue) -> Diagnostic:
    box = union(ink_boxes(cluster, catalogue))
    others = [other for other in placed if box.overlaps(other.box)]
    limb = cluster.limbs[0]
    what = f"the sign of the {limb}"
    near = f"the sign of the {_named(others[0])}" if others else "the others of its frame"
    return Diagnostic(
        "E401",
        f"{what} cannot be placed so that it is read apart from {near}",
        cluster.origin.span,
        hints=("Write one of the two in another frame, or place the hand further away.",),
        related=tuple((other.cluster.origin.span, "the other sign") for other in others),
    )


def _named(cleared: Cleared) -> str:
    return str(cleared.cluster.limbs[0])
