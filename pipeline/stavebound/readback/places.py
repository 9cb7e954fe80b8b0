"""Places: where hands and feet stand on paper, by the trade's tables.

In: a hand's or a foot's pose. Out: how far out from the axis towards its side, and
how high, in spaces; and by which sign. Nothing here knows the engraver.
"""

from __future__ import annotations

from stavebound.dance.pose import FootPose, Free, HandPose, Pose, Standing
from stavebound.score.model import LegDirection, Side
from stavebound.trade.catalogue import Catalogue
from stavebound.trade.tables import FreePlace, PlacedRow, Scale

Spot = tuple[float, float]


def across(out: float, scale: Scale) -> float:
    return (scale.base if out >= 0 else -scale.base) + scale.slope * out


def hand_spot(hand: HandPose, catalogue: Catalogue) -> Spot:
    return across(hand.out, catalogue.ruling.across.hand), hand.height


def free_row(foot: Free, catalogue: Catalogue) -> FreePlace:
    """The row of a free foot at a place of the table. KeyError where it has a height of its own."""
    return {row.name: row for row in catalogue.feet.free.place}[foot.place or ""]


def free_spot(foot: Free, catalogue: Catalogue) -> Spot:
    if foot.height is not None and foot.out is not None:
        scales = catalogue.ruling.across
        scale = scales.foot_aside if foot.direction is LegDirection.SIDE else scales.foot
        return across(foot.out, scale), foot.height
    row = free_row(foot, catalogue)
    x = row.side if foot.direction is LegDirection.SIDE else catalogue.feet.free.before
    return x, row.front if foot.direction is LegDirection.FRONT else row.level


def standing_spot(foot: Standing, side: Side, catalogue: Catalogue) -> Spot:
    rise, placed = catalogue.feet.rise[foot.rise], standing_row(foot, side, catalogue)
    return placed.x, rise.of(placed.sign)


def standing_row(foot: Standing, side: Side, catalogue: Catalogue) -> PlacedRow:
    rows = (*catalogue.feet.position, *catalogue.feet.kneeling)
    row = {row.name: row for row in rows}.get(foot.position or "")
    placed = catalogue.feet.alone
    if row:
        crossed = row.front if foot.front is side else row.behind
        placed = row.right or crossed or placed
    return placed


def foot_spot(foot: FootPose, side: Side, catalogue: Catalogue) -> Spot:
    if isinstance(foot, Free):
        return free_spot(foot, catalogue)
    return standing_spot(foot, side, catalogue)


def limb_spot(kind: str, side: Side, pose: Pose, catalogue: Catalogue) -> Spot | None:
    """None where nothing is known of the limb."""
    hand, foot = pose.hands.of(side), pose.feet.of(side)
    if kind == "hand":
        return hand_spot(hand, catalogue) if hand else None
    return foot_spot(foot, side, catalogue) if foot else None
