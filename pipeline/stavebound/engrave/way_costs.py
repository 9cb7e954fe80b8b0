"""Costs of ways: what a line of movement costs where it runs, alone and beside others.

In: spots along lines, the boxes of signs with their white, and the trade's table. Out: costs by
their names in moves.toml.
"""

from __future__ import annotations

from collections.abc import Sequence
from itertools import pairwise
from math import atan2, hypot, inf
from typing import NamedTuple

from stavebound.drawing.courses import Half, Spot
from stavebound.geometry import Box
from stavebound.trade.catalogue import Catalogue
from stavebound.trade.movement import WayLine

Costs = dict[str, float]
# What a line is charged for by itself.
COUNTED = ("sign", "white", "count", "stave", "line", "turned", "tense", "length")


class Sampled(NamedTuple):
    """Where a line runs, or half of it: its spots, the box round them, what it costs, and by how
    much it turns in all to the left and to the right, in radians."""

    along: tuple[Spot, ...]
    box: Box
    costs: Costs
    total: float
    turns: tuple[float, float] = (0.0, 0.0)


def spots_of(along: tuple[Spot, ...]) -> Sampled:
    """Where a line runs, which costs nothing."""
    xs, ys = zip(*along, strict=True)
    return Sampled(along, Box(min(xs), min(ys), max(xs), max(ys)), {}, 0.0)


def run_of(along: tuple[Spot, ...], boxes: Sequence[Box], catalogue: Catalogue) -> Sampled:
    """Where a line runs, and what it costs by itself but for its turns."""
    run, table = spots_of(along), catalogue.moves.way
    pieces = [*pairwise(along)]
    signs, whites, counts = _into(run, pieces, boxes, catalogue)
    turns, tense, length = _form(pieces)
    lines = len(catalogue.ruling.line)
    stave = _beside_lines(pieces, lines, table)
    line = _on_lines(along, pieces, length, lines, table) if stave else 0
    counted = (signs, whites, counts, stave, line, sum(turns), tense, length)
    costs = {name: table.cost[name].value * n for name, n in zip(COUNTED, counted, strict=True)}
    return run._replace(costs=costs, total=sum(costs.values()), turns=turns)


def is_clear(along: tuple[Spot, ...], boxes: Sequence[Box], catalogue: Catalogue) -> bool:
    """Whether it comes into no sign, nor its white, and not near the counts."""
    return not any(_into(spots_of(along), [*pairwise(along)], boxes, catalogue))


def _into(
    run: Sampled, pieces: Sequence[tuple[Spot, Spot]], boxes: Sequence[Box], catalogue: Catalogue
) -> tuple[int, int, int]:
    """How many of its pieces come into signs, how many into the white of these alone, and how
    many near the counts."""
    moves = catalogue.moves
    crossed = [box for box in boxes if box.touches(run.box)]
    near = [piece for piece in pieces if _inked(*piece, crossed)] if crossed else []
    inks = [box.grown(moves.width / 2 - moves.way.white["beside"]) for box in crossed]
    signs = sum([_inked(*piece, inks) for piece in near])
    numbers = moves.way.counts["from"]
    counts = sum([y > numbers for _, y in run.along]) if run.box.top > numbers else 0
    return signs, len(near) - signs, counts


def _form(pieces: Sequence[tuple[Spot, Spot]]) -> tuple[tuple[float, float], float, float]:
    """By how much a line turns from piece to piece, to the left and to the right, in radians, how
    tensely a lath would be bent so: the square of each turn by the space in which it is made, and
    how long it is."""
    left = right = tense = length = 0.0
    before: tuple[float, float, float] | None = None
    for (x1, y1), (x2, y2) in pieces:
        bx, by = x2 - x1, y2 - y1
        long = hypot(bx, by)
        if before:
            ax, ay, last = before
            angle = atan2(ax * by - ay * bx, ax * bx + ay * by)
            left, right = left + max(angle, 0.0), right + max(-angle, 0.0)
            tense += 2 * angle * angle / (last + long or inf)
        before, length = (bx, by, long), length + long
    return (left, right), tense, length


def bend_at(half: Half) -> float:
    """How tightly a cubic is bent where it begins, to the left above nought."""
    (x, y), (x1, y1), (x2, y2), _ = half
    ax, ay, bx, by = x1 - x, y1 - y, x2 - x1, y2 - y1
    long = hypot(ax, ay)
    return 2 / 3 * (ax * by - ay * bx) / long**3 if long else 0.0


def _inked(a: Spot, b: Spot, boxes: Sequence[Box]) -> bool:
    """Whether the piece from a to b comes into one of the boxes."""
    (x, y), (x2, y2) = a, b
    dx, dy = x2 - x, y2 - y
    left, right = (x, x2) if dx > 0 else (x2, x)
    bottom, top = (y, y2) if dy > 0 else (y2, y)
    for box in boxes:
        if left <= box.right and box.left <= right and bottom <= box.top and box.bottom <= top:
            low, high = dx * (box.bottom - y), dx * (box.top - y)
            one, other = dy * (box.left - x), dy * (box.right - x)
            if max(one, other) >= min(low, high) and min(one, other) <= max(low, high):
                return True
    return False


def _beside_lines(pieces: Sequence[tuple[Spot, Spot]], lines: int, table: WayLine) -> float:
    """How far the pieces run along a line of the stave, too near to it: the nearer, the more."""
    within, slope = table.along["within"], table.along["slope"]
    found = 0.0
    for (x1, y1), (x2, y2) in pieces:
        if abs(y2 - y1) <= slope * abs(x2 - x1):
            middle = (y1 + y2) / 2
            line = round(middle)
            if 0 <= line < lines:
                found += abs(x2 - x1) * max(1 - abs(middle - line) / within, 0.0)
    return found


def _on_lines(
    along: Sequence[Spot],
    pieces: Sequence[tuple[Spot, Spot]],
    length: float,
    lines: int,
    table: WayLine,
) -> int:
    """Along how many lines of the stave it runs for more than its share, and not as its ends
    are there."""
    within, slope, ends = table.along["within"], table.along["slope"], (along[0][1], along[-1][1])
    near = dict.fromkeys(range(lines), 0.0)
    for (x, y), (x2, y2) in pieces:
        middle = (y + y2) / 2
        line = round(middle)
        if line in near and abs(y2 - y) <= slope * abs(x2 - x) and abs(middle - line) < within:
            near[line] += hypot(x2 - x, y2 - y)
    free = [line for line in near if max(abs(y - line) for y in ends) > table.along["ends"]]
    return sum([near[line] > table.along["share"] * length for line in free])


def pair_costs(a: Sampled, b: Sampled, table: WayLine) -> tuple[float, int]:
    """What two lines cost together by running along each other, the nearer the more, and how
    often they cross."""
    within, near = table.beside["within"], 0.0
    for (x, y, one), (x2, y2, other) in pairwise(_aparts(a.along, b.along)):
        apart, across = (abs(one) + abs(other)) / 2, x2 - x
        length = hypot(across, y2 - y)
        if apart * across < within * length:
            near += length - apart * across / within
    crossed = crossings(a.along, b.along)
    return table.cost["way"].value * near, crossed


def crossings(a: Sequence[Spot], b: Sequence[Spot]) -> int:
    """How often two lines cross."""
    found = 0
    others = [*pairwise(b)]
    for (x, y), (x2, y2) in pairwise(a):
        dx, dy = x2 - x, y2 - y
        left, right = (x, x2) if dx > 0 else (x2, x)
        for (ax, ay), (bx, by) in others:
            if (ax < left and bx < left) or (ax > right and bx > right):
                continue
            if (dx * (ay - y) - dy * (ax - x)) * (dx * (by - y) - dy * (bx - x)) < 0:
                ex, ey = bx - ax, by - ay
                found += (ex * (y - ay) - ey * (x - ax)) * (ex * (y2 - ay) - ey * (x2 - ax)) < 0
    return found


def _aparts(a: Sequence[Spot], b: Sequence[Spot]) -> list[tuple[float, float, float]]:
    """The spots of one line, and how far they are over the other, where there is any of that."""
    (x, y), *others = b if b[0][0] <= b[-1][0] else b[::-1]
    found: list[tuple[float, float, float]] = []
    at, last = 0, len(others) - 1
    for ax, ay in a if a[0][0] <= a[-1][0] else a[::-1]:
        if ax < x:
            continue
        while at < last and others[at][0] < ax:
            x, y = others[at]
            at += 1
        nx, ny = others[at]
        if nx < ax:
            break
        found.append((ax, ay, ay - (y + (ny - y) * (ax - x) / (nx - x) if nx > x else ny)))
    return found
