"""Passing: what of the weight turns up where a way through the floor passes.

In: the lines that come to a frame, and those that go from it. Out: the former, the weight's so low
at their ends that no way passes through them.

    ═════════╭─ ▬ ═══════
     ╰───────╯   ╭─           the way of a foot, through the floor
    ─────────────╯            a slide
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import replace

from stavebound.engrave.ways import Way
from stavebound.trade.catalogue import Catalogue


def under_passing(
    coming: Iterable[Way], going: Iterable[Way], catalogue: Catalogue
) -> tuple[Way, ...]:
    """A way through the floor hangs under it; what ends where that passes stops below."""
    moves = catalogue.moves
    passing = [
        (way.start.x, way.via[1] - moves.weight.clear - moves.width / 2)
        for way in going
        if way.via and way.subject.kind == "foot" and way.via[1] < -moves.way.low["under"]
    ]
    return tuple([_stopped(way, passing) if way.subject.side else way for way in coming])


def _stopped(way: Way, passing: Iterable[tuple[float, float]]) -> Way:
    if way.kind == "way":
        return way
    tips = [y for x, y in passing if x < way.end.x]
    return replace(way, end=way.end._replace(y=min([way.end.y, *tips])))
