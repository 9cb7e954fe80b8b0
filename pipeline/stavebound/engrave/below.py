"""Below: the lanes under a stave are closed up where a line does not use all of them.

In: a stave's cells on their axes, with every sign at the height that it has where all lanes are
used. Out: the same cells with the signs below at the heights of their line. Always holds: what
stands in a lane keeps its distance from what stands in the next one that is used.

    ○─                  ○─
       →       is        →          ↷ ½
          ↷ ½               ↷ ½            with turns alone
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from stavebound.engrave.clear import Cleared
from stavebound.engrave.columns import OnAxis
from stavebound.trade.lanes import Lanes


def used(placed: Iterable[OnAxis], lanes: Lanes) -> frozenset[str]:
    """The names of the lanes below in which something stands."""
    return frozenset(
        lane
        for at in placed
        for cleared in at.cell.signs
        if (lane := lanes.lane_of.get(cleared.cluster.subjects[0].kind))
    )


def closed_up(placed: Sequence[OnAxis], lanes: Lanes) -> tuple[OnAxis, ...]:
    own = used(placed, lanes)
    heights = lanes.heights(own)
    lifted = {name: heights[name] - lanes.below[name] for name in own}
    if not any(lifted.values()):
        return tuple(placed)
    lifts = {kind: lifted[lane] for kind, lane in lanes.lane_of.items() if lane in own}
    return tuple(_lifted(at, lifts) for at in placed)


def _lifted(at: OnAxis, lifts: dict[str, float]) -> OnAxis:
    signs = tuple(
        _moved(cleared, lifts.get(cleared.cluster.subjects[0].kind, 0.0))
        for cleared in at.cell.signs
    )
    return at._replace(cell=at.cell._replace(signs=signs))


def _moved(cleared: Cleared, up: float) -> Cleared:
    if not up:
        return cleared
    inks = tuple(ink._replace(y=ink.y + up) for ink in cleared.cluster.inks)
    boxes = tuple(box.moved(0.0, up) for box in cleared.boxes)
    cluster = cleared.cluster._replace(inks=inks)
    return cleared._replace(cluster=cluster, boxes=boxes, box=cleared.box.moved(0.0, up))
