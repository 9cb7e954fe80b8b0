"""Clear: each cluster to a place where it can be read.

In: the clusters of one frame at their ideal places. Out: the same clusters,
moved as little as need be, each with its shift; and a diagnostic for each that
no small move could clear. Always holds: feet with weight do not move; a moved
sign keeps its order of height with every other. Where one finds no place, one or
two of those before it give way to it.

                 ▕▏
               ←→ sign clearance
              ▕▏
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from itertools import chain
from math import inf
from typing import NamedTuple

from stavebound.diagnostics import Diagnostic, Outcome
from stavebound.engrave.gather import Cluster, ink_boxes
from stavebound.engrave.shifts import Clearance, Shift, clearance_of, moved, moves_of
from stavebound.engrave.style import Style
from stavebound.geometry import Box, union
from stavebound.trade.catalogue import Catalogue

# Placed first, and hardly ever moved: they are known by their heights.
LEGS = ("foot", "knee")
# So many at most give way to a cluster that finds no place.
GIVING_WAY = 2

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


class Clearing(NamedTuple):
    """What every placing goes by."""

    catalogue: Catalogue
    clearance: Clearance

    def at(self, cluster: Cluster, shift: Shift) -> Cleared:
        dx, dy = shift
        inks, boxes, box, _ = moved(cluster.inks, dx, dy, self.clearance.white, self.catalogue)
        own = cluster._replace(inks=inks) if dx or dy else cluster
        return Cleared(own, boxes, box, dx, dy)

    def taken(self, placed: Iterable[Cleared]) -> list[Box]:
        """The boxes of all that is placed, with the white round them."""
        boxes = chain.from_iterable([one.boxes for one in placed])
        return [box.grown(self.clearance.white) for box in boxes]


def clear(
    clusters: tuple[Cluster, ...], catalogue: Catalogue, style: Style
) -> Outcome[tuple[Cleared, ...]]:
    """One after the other, legs first; what finds no place, where others give way to it."""
    ordered = sorted(clusters, key=lambda cluster: cluster.subjects[0].kind not in LEGS)
    by = Clearing(catalogue, clearance_of(style))
    placed: list[Cleared] = []
    taken: list[Box] = []
    faults: list[Diagnostic] = []
    for cluster in ordered:
        free = UNMOVED if cluster.fixed else _free_move(cluster, placed, taken, by)
        if free is not None:
            placed.append(by.at(cluster, free))
            taken += by.taken(placed[-1:])
            continue
        others = _making_way(cluster, ordered, placed, by)
        if others is None:
            faults.append(_crowded(cluster, placed, catalogue))
            others = [*placed, by.at(cluster, UNMOVED)]
        placed, taken = others, by.taken(others)
    return Outcome(tuple(placed), tuple(faults))


def _free_move(
    cluster: Cluster, placed: Sequence[Cleared], taken: Sequence[Box], by: Clearing
) -> Shift | None:
    """The smallest move to a free place. `taken` are the boxes of all that is placed, with the
    white round them."""
    ideal, moves = moves_of(cluster.inks, cluster.subjects, by.catalogue, by.clearance)
    return next(_free_of(moves, ideal, cluster, placed, taken, by), None)


def _free_of(
    moves: Iterable[Shift],
    ideal: tuple[Box, ...],
    cluster: Cluster,
    placed: Sequence[Cleared],
    taken: Sequence[Box],
    by: Clearing,
) -> Iterator[Shift]:
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
            if _keeps_order(cluster, dy, placed, by.clearance.shifts.level):
                yield dx, dy


def _making_way(
    cluster: Cluster, ordered: Sequence[Cluster], placed: Sequence[Cleared], by: Clearing
) -> list[Cleared] | None:
    """The cluster at the nearest place to its own at which all that is in its way can give
    way; `ordered` are the clusters of what is placed, as they were, and those to come."""
    _, moves = moves_of(cluster.inks, cluster.subjects, by.catalogue, by.clearance)
    for move in moves:
        own = by.at(cluster, move)
        moving = [at for at, other in enumerate(placed) if _in_the_way(own, other, by)]
        if len(moving) <= GIVING_WAY and not any(placed[at].cluster.fixed for at in moving):
            others = _giving_way(moving, [*placed, own], ordered, by)
            if others is not None:
                return others
    return None


def _in_the_way(own: Cleared, other: Cleared, by: Clearing) -> bool:
    taken, level = by.taken((other,)), by.clearance.shifts.level
    overlap = any(box.overlaps(around) for box in own.boxes for around in taken)
    before = own.cluster._replace(inks=(own.cluster.inks[0].moved(-own.dx, -own.dy),))
    return overlap or not _keeps_order(before, own.dy, (other,), level)


def _giving_way(
    moving: Sequence[int], placed: list[Cleared], ordered: Sequence[Cluster], by: Clearing
) -> list[Cleared] | None:
    """All that is placed, those at `moving` where they are clear of the others; or None."""
    standing = {at for at in range(len(placed)) if at not in moving}
    for at in moving:
        others = [placed[other] for other in sorted(standing)]
        ideal, moves = moves_of(ordered[at].inks, ordered[at].subjects, by.catalogue, by.clearance)
        most = by.clearance.shifts.of_foot if ordered[at].subjects[0].kind == "foot" else inf
        small = (move for move in moves if abs(move[1]) <= most)
        free = next(_free_of(small, ideal, ordered[at], others, by.taken(others), by), None)
        if free is None:
            return None
        placed[at] = by.at(ordered[at], free)
        standing.add(at)
    return placed


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


def _crowded(cluster: Cluster, placed: Sequence[Cleared], catalogue: Catalogue) -> Diagnostic:
    box = union(ink_boxes(cluster.inks, catalogue))
    others = [other for other in placed if box.overlaps(other.box)]
    both = {cluster.subjects[0].kind, *(other.cluster.subjects[0].kind for other in others[:1])}
    away = ", or place the hand further away" if "hand" in both else ""
    subject = cluster.subjects[0]
    what = f"the sign of the {subject}"
    near = f"the sign of the {_named(others[0])}" if others else "the others of its frame"
    return Diagnostic(
        "E401",
        f"{what} cannot be placed so that it is read apart from {near}",
        cluster.origin.span,
        hints=(f"Write one of them in another frame{away}.",),
        related=tuple(
            (other.cluster.origin.span, f"the sign of the {_named(other)}") for other in others
        ),
    )


def _named(cleared: Cleared) -> str:
    return str(cleared.cluster.subjects[0])
