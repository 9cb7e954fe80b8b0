"""Changes: what was read of a limb, as the model's own values.

In: a limb that was read, the lines of movement of its frame, and the key. Out: the change
that writes it: sides and places as numbers. What ink does not hold is not there: names of
the arms, how far forward a hand is, by how much a sign was moved.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from decimal import Decimal

from stavebound.readback.arrivals import passing, transfer
from stavebound.readback.claims import ReadingKey
from stavebound.readback.values import (
    FacingRead,
    FeetRead,
    FootRead,
    FreeRead,
    HandRead,
    JointRead,
    LaneRead,
    LimbRead,
    PartRead,
    TravelRead,
    TurnRead,
    WayRead,
    WholeRead,
)
from stavebound.score.attitude import STRAIGHT
from stavebound.score.lanes import (
    DIRECTIONS,
    FacingChange,
    LaneChange,
    TravelChange,
    TurnChange,
)
from stavebound.score.measures import Height
from stavebound.score.model import (
    Bend,
    CentreChange,
    Change,
    Depth,
    ElbowChange,
    FeetChange,
    FootChange,
    HandChange,
    KneelChange,
    KneesChange,
    LegDirection,
    Return,
    Weight,
    WholeChange,
)
from stavebound.trade.naming import nearest_line
from stavebound.trade.tables import Scale

# How rows are named in which a dancer who kneels sits back on the heels.
SITTING = "sitting back"
# How far a foot may be from a place of the table and still be named after it, in spaces.
NEAR = 0.012


def change_of(read: LimbRead, key: ReadingKey, ways: tuple[WayRead, ...] = ()) -> Change:
    """The change that writes this limb, and how it comes there by the lines of its frame."""
    change = _change(read, key)
    via, path, bow = passing(read, ways, key)
    by, moving, flight = transfer(read, ways)
    match change:
        case HandChange():
            return replace(change, via=via, path=path, bow=bow)
        case FootChange():
            return replace(change, by=by, flight=flight, via=via, path=path, bow=bow)
        case FeetChange():
            return replace(change, by=by, moving=moving, flight=flight)
    return change


def said(subjects: tuple[LimbRead, ...], key: ReadingKey) -> tuple[LimbRead, ...]:
    """Those of a frame that are written: a knee bent by where its foot is goes without saying, and
    written with numbers it would no more move with its foot."""
    rows = {row.name: row.bend for row in key.catalogue.feet.free.place if row.bend}
    bent = {
        foot.side: rows.get(foot.place or "") for foot in subjects if isinstance(foot, FreeRead)
    }
    return tuple(
        subject
        for subject in subjects
        if not (isinstance(subject, JointRead) and _is_usual(subject, bent.get(subject.side), key))
    )


def _is_usual(knee: JointRead, bent: Mapping[str, float] | None, key: ReadingKey) -> bool:
    """Whether a half bent knee is where its foot bends it, or where it is moved with that."""
    half = (knee.kind, knee.bend, knee.depth) == ("knee", Bend.HALF, Depth.LEVEL)
    if bent is None or not half:
        return False
    (x, y), moved, slack = knee.at, key.table.moved, key.table.tolerance.place
    return abs(x - bent["x"]) <= moved.out + slack and abs(y - bent["y"]) <= moved.up + slack


def _change(read: LimbRead, key: ReadingKey) -> Change:
    match read:
        case HandRead():
            return _hand(read, key)
        case FeetRead():
            return _feet(read, key)
        case FootRead(side, rise, own):
            return FootChange(side, rise=rise, departures=own)
        case FreeRead():
            return _free(read, key)
        case JointRead():
            return _joint(read, key)
        case PartRead(part, attitude, _):
            return Return(part) if attitude == STRAIGHT else CentreChange(part, attitude)
        case WholeRead(what, _) | LaneRead(what):
            return WholeChange.named(what)
        case FacingRead() | TurnRead() | TravelRead():
            return _lane(read)


def _feet(read: FeetRead, key: ReadingKey) -> FeetChange | KneelChange:
    if any(row.name == read.position for row in key.catalogue.feet.kneeling):
        on = Weight(read.front.other.value) if read.front else Weight.BOTH
        return KneelChange(on, read.position.endswith(SITTING))
    weight = read.weight if read.weight is not Weight.BOTH else None
    return FeetChange(read.position, read.front, read.rise, weight, read.departures)


def _lane(read: FacingRead | TurnRead | TravelRead) -> LaneChange:
    match read:
        case FacingRead(eighth):
            return FacingChange(DIRECTIONS[eighth])
        case TurnRead(side, by, on, lasts, spotting):
            return TurnChange(side, by, on, lasts, spotting)
        case TravelRead(to, of, path, steps):
            return TravelChange(to, of, path, steps)


def _free(read: FreeRead, key: ReadingKey) -> FootChange:
    """By the table's name where the foot is at one of its places, else by its height."""
    change = FootChange(read.side, read.direction, departures=read.departures)
    name = read.place or _free_place(read, key)
    if name is None:
        across = key.catalogue.ruling.across
        scale = across.foot_aside if read.direction is LegDirection.SIDE else across.foot
        height, out = _height(read.at[1], key), _out(read.at[0], scale)
        return replace(change, height=height, out=_statures(out, key))
    if name.isdecimal():
        return replace(change, raised=int(name))
    return replace(change, place=name)


def _free_place(read: FreeRead, key: ReadingKey) -> str | None:
    """The place of the table in the air at which the foot is."""
    free = key.catalogue.feet.free
    for row in free.place:
        x = row.side if read.direction is LegDirection.SIDE else free.before
        y = row.front if read.direction is LegDirection.FRONT else row.level
        if not (row.hook or row.touch) and max(abs(read.at[0] - x), abs(read.at[1] - y)) <= NEAR:
            return row.name
    return None


def _out(x: float, scale: Scale) -> float:
    """From a place on paper to the distance out from the centre."""
    if x < 0:
        return min((x + scale.base) / scale.slope, -0.01)
    return max((x - scale.base) / scale.slope, 0.0)


def _hand(read: HandRead, key: ReadingKey) -> HandChange:
    """A hand on the barre has no place of its own."""
    change = HandChange(read.side, departures=read.departures)
    if read.touching == "barre":
        return change
    height, out = _height(read.height, key), _statures(read.out, key)
    return replace(change, height=height, out=out, depth=read.depth)


def _joint(read: JointRead, key: ReadingKey) -> KneesChange | ElbowChange:
    """A straight joint has no place of its own; `out` is on the scale of the hands."""
    change = (KneesChange if read.kind == "knee" else ElbowChange)(read.bend, read.side)
    if read.bend is Bend.NONE:
        return change
    out = max(_out(read.at[0], key.catalogue.ruling.across.hand), 0.0)
    height = _height(read.at[1], key)
    return replace(change, depth=read.depth, height=height, out=_statures(out, key))


def _height(height: float, key: ReadingKey) -> Height:
    return Height(*nearest_line(key.catalogue.ruling, height))


def _statures(out: float, key: ReadingKey) -> Decimal:
    """As far out as a score can say: what stands further out was moved for clearance."""
    most = key.table.written.out
    return Decimal(f"{min(max(out, -most), most):.2f}")
