"""Said: what a line of movement says, as attributes of the limb at which it ends.

In: a limb that was read, and the lines of its frame. Out: attributes of the plain
dialect. A place that a limb passes has the name of the tables that stands there;
where none does, a comment after the element says so.
"""

from __future__ import annotations

from collections.abc import Iterator

from stavebound.readback.places import foot_spot, hand_spot
from stavebound.readback.table import load_table
from stavebound.readback.values import FeetRead, FootRead, LimbRead, WayRead
from stavebound.score.model import Bow, Depth, Rise, Side, Way
from stavebound.score.pose import FootPose, Free, HandPose, Limb, Standing
from stavebound.trade.catalogue import Catalogue, load_catalogue

# In spaces: both axes and both ends of a line are rounded.
NEAR = 0.025
FEET = Limb("feet")

Named = tuple[str, tuple[float, float], Bow | None]


def moved(read: LimbRead, ways: tuple[WayRead, ...]) -> str:
    """The attributes by which the limb comes there, each after a blank."""
    return "".join(f' {name}="{value}"' for name, value in _attributes(read, ways))


def passes_unnamed(read: LimbRead, ways: tuple[WayRead, ...]) -> bool:
    """Whether the limb passes a place that has no name."""
    own = (way for way in ways if way.kind == "way" and way.limb in read.limbs)
    return any(not tuple(_way(way)) for way in own)


def _attributes(read: LimbRead, ways: tuple[WayRead, ...]) -> Iterator[tuple[str, str]]:
    for way in ways:
        springs = way.limb == FEET and isinstance(read, FootRead | FeetRead)
        if not springs and way.limb not in read.limbs:
            continue
        if way.kind != "way":
            yield "by", way.kind
            if isinstance(read, FeetRead) and way.limb.side:
                yield "moving", way.limb.side
        else:
            yield from _way(way)


def _way(way: WayRead) -> Iterator[tuple[str, str]]:
    form = next((name for name, sag in load_table().ways.sag.items() if _sags(way, sag)), None)
    if form:
        yield "path", form
        if way.bow:
            yield "bow", way.bow
        return
    names = [named for named in _places(way, load_catalogue()) if _passes(way, named[1])]
    best = sorted(names, key=lambda named: named[2] is not way.bow)
    if best:
        name, _, bow = best[0]
        yield "via", name
        if way.bow and way.bow is not bow:
            yield "bow", way.bow


def _sags(way: WayRead, sag: float) -> bool:
    return abs(way.sag[0]) <= NEAR and abs(way.sag[1] - sag) <= NEAR


def _passes(way: WayRead, spot: tuple[float, float]) -> bool:
    if way.middle is None:
        return False
    apart = 0.0 if way.by_edge else abs(way.middle[0] - spot[0])
    return max(apart, abs(way.middle[1] - spot[1])) <= NEAR


def _places(way: WayRead, catalogue: Catalogue) -> Iterator[Named]:
    """The names that a limb may pass, with where they are and how they bow."""
    side = way.limb.side or Side.RIGHT
    if way.limb.kind == "hand":
        for row in catalogue.shapes.hand:
            x, y = hand_spot(HandPose(Depth(row.depth), row.height, row.out, 0.0), catalogue)
            bow = {"front": Bow.FRONT, "behind": Bow.BEHIND}.get(row.depth)
            yield row.name, (side.sign * x, y), bow
        return
    for name, foot, bow in _feet(catalogue):
        x, y = foot_spot(foot, side, catalogue)
        yield name, (side.sign * x, y), bow


def _feet(catalogue: Catalogue) -> Iterator[tuple[str, FootPose, Bow | None]]:
    yield "first", Standing(Rise.WHOLE), None
    for way, bow in ((Way.FRONT, Bow.FRONT), (Way.SIDE, None), (Way.BACK, Bow.BEHIND)):
        for row in catalogue.feet.free.place:
            yield (
                (row.name, Free(way, row.name), None)
                if row.touch
                else (
                    way,
                    Free(way, row.name),
                    bow,
                )
            )
