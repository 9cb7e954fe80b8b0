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

KNOWN, UNKNOWN = Sides(), Sides(BOTH)


def doubts(change: Change, doubtful: Sides, catalogue: Catalogue, school: School) -> Sides:
    if isinstance(change, ArmsChange):
        return KNOWN if arms_shape(catalogue, school, change.name) else UNKNOWN
    if not isinstance(change, HandChange):
        return doubtful
    if change.name and not hand_shape(catalogue, school, change.name):
        return doubtful | {change.side}
    in_full = change.height and change.out is not None and change.depth
    return doubtful - {change.side} if doubtful and (change.name or in_full) else doubtful
