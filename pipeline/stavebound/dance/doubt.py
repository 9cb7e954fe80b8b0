"""Doubt: the hands that rest on a name that nobody knows.

In: a change, and the hands that are in doubt before it. Out: those in doubt after it. So
one slip of the pen is not reported as two.
"""

from __future__ import annotations

from stavebound.dance.pose import BOTH, Sides
from stavebound.score.model import ArmsChange, Change, HandChange
from stavebound.trade.catalogue import Catalogue
from stavebound.trade.naming import arms_shape, hand_shape
from stavebound.trade.tables import School


def doubts(change: Change, doubtful: Sides, catalogue: Catalogue, school: School) -> Sides:
    match change:
        case ArmsChange(name):
            return Sides() if arms_shape(catalogue, school, name) else Sides(BOTH)
        case HandChange(side, name) if name:
            known = hand_shape(catalogue, school, name)
            return doubtful - {side} if known else doubtful | {side}
        case HandChange(side) if change.height and change.out is not None and change.depth:
            return doubtful - {side}
    return doubtful
