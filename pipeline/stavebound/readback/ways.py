"""Ways: lines of movement, and which limb of which moment they end at.

In: shapes that are lines of movement, the marks of their bows, and the frames of
a stave. Out: what each line says, with its frame; faults for those that end at
nothing, or at two limbs. Written of in the same terms: what a `Move` asks for.

    frame before        frame of arrival
      ▬ ╵                  ▬       a way ends over or under a limb's sign
        ╰──────●───────────╵
      ═══════════════════════
        ────────────╯              slide, step, spring: under the feet
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Mapping
from dataclasses import dataclass, replace
from math import cos, hypot, radians

from stavebound.dance.pose import HandPose, Move, Posed, Standing, Subject
from stavebound.dance.state import BOTH
from stavebound.readback.claims import DEPTHS, DIRECTIONS, ReadingKey
from stavebound.readback.places import (
    Spot,
    foot_spot,
    hand_spot,
    limb_spot,
    standing_spot,
)
from stavebound.readback.table import Ways
from stavebound.readback.values import (
    Fault,
    FeetRead,
    FootRead,
    FrameRead,
    FreeRead,
    HandRead,
    LeavingRead,
    ShapeRead,
    SignRead,
    WayRead,
)
from stavebound.score.model import Bow, Side
from stavebound.trade.catalogue import Catalogue

BOWS = {"bow front": Bow.FRONT, "bow behind": Bow.BEHIND}
DEPTH_SIGN = {depth: name for name, depth in DEPTHS.items()}
# How much of a heading one long goes up or down where it is level, and where it is upright.
LEVEL, STEEP = 0.03, 0.9
DIRECTION_SIGN = {direction: name for name, direction in DIRECTIONS.items()}


@dataclass(frozen=True, slots=True)
class Ends:
    """Where a limb's line may end: out from the axis, up, and how far off its sign."""

    subject: Subject
    x: float
    y: float
    off: float


# ---------------------------------------------------------------- from ink


def is_way(shape: ShapeRead, key: ReadingKey) -> bool:
    """Whether it is as thick as some line of movement, or is drawn as nothing else is."""
    thick = abs(shape.width - key.table.ways.width) <= key.table.tolerance.width
    return shape.name is None and (
        shape.kind == "line" or (shape.kind in ("stroke", "band") and thick)
    )


def with_ways(
    frames: list[FrameRead],
    lines: Iterable[ShapeRead],
    bows: Iterable[SignRead],
    edges: tuple[float, ...],
    key: ReadingKey,
) -> tuple[list[FrameRead], tuple[LeavingRead, ...], list[Fault]]:
    """The frames with the lines that end there, and the lines that leave at the right edge.
    `edges` are where lines may come from without a frame before them, the first of them the
    stave's left end, and last its right end."""
    found, faults = list(frames), []
    marks = list(bows)
    out = edges[-1] - key.table.ways.inset
    last = next((frame.axis for frame in reversed(frames) if frame.subjects), None)
    leaving: list[LeavingRead] = []
    for line in sorted(lines, key=lambda each: each.x):
        if last is not None and _meets(max(line.ends)[0], out, key):
            leaving.append(_leaving(line, last))
            continue
        bow = next((mark for mark in marks if _bows(mark, line, key)), None)
        if bow:
            marks.remove(bow)
        ways = list(_ways(line, bow, found, edges, key))
        if not ways:
            ways = list(_ways(line.backwards, bow, found, edges, key))
        if len(ways) == 1:
            ((index, way),) = ways
            found[index] = replace(found[index], ways=(*found[index].ways, way))
        else:
            what = "that ends at two limbs" if ways else "that ends at no limb"
            kind = "twofold" if ways else "unread"
            faults.append(Fault(kind, f"a line of movement {what}", line.x, line.y))
    faults += (Fault("shape", f"a {mark.name} beside no line", mark.x, mark.y) for mark in marks)
    return found, tuple(leaving), faults


def _leaving(line: ShapeRead, axis: float) -> LeavingRead:
    (x, y), (_, height) = sorted(line.ends)
    return LeavingRead((x - axis, y), height)


def _bows(mark: SignRead, line: ShapeRead, key: ReadingKey) -> bool:
    x, y = line.middle
    rise = key.table.ways.rise
    return hypot(mark.x - x, mark.y - y - rise) <= key.table.tolerance.place


def _ways(
    line: ShapeRead,
    bow: SignRead | None,
    frames: list[FrameRead],
    edges: tuple[float, ...],
    key: ReadingKey,
) -> Iterator[tuple[int, WayRead]]:
    """What the line may say, run from the one end to the other."""
    start, end = line.ends
    inset = key.table.ways.inset
    within = edges[0] + inset, edges[-1] - inset
    kind = _kind(line, key)
    if kind is None:
        return
    for index, frame in enumerate(frames):
        edge = max((x for x in edges[:-1] if x < frame.axis), default=edges[0])
        before = next(
            (each for each in reversed(frames[:index]) if each.subjects and each.axis > edge), None
        )
        for ends in _ends(kind, frame, key):
            trim = key.table.ways.trim if start[0] < end[0] else -key.table.ways.trim
            to = end[0] + (trim if kind == "spring" else 0.0)
            if not _ends_at((to - frame.axis, end[1]), ends, kind, key):
                continue
            if not _lies(line, kind, before is None, key):
                continue
            whence = start[0] - (trim if kind != "way" and before else 0.0)
            base = before.axis if before else edge + inset
            middle = line.middle[0] - (base + frame.axis) / 2, line.middle[1]
            chord = (start[0] + end[0]) / 2, (start[1] + end[1]) / 2
            sag = line.middle[0] - chord[0], line.middle[1] - chord[1]
            sag = sag if kind == "way" else (0.0, 0.0)
            at = (whence - base, start[1])
            yield (
                index,
                WayRead(
                    kind,
                    ends.subject,
                    at,
                    middle,
                    sag,
                    BOWS[bow.name] if bow else None,
                    before is None,
                    before is None or any(_meets(line.middle[0], x, key) for x in within),
                ),
            )


def _meets(a: float, b: float, key: ReadingKey) -> bool:
    return abs(a - b) <= key.table.tolerance.place


def _kind(line: ShapeRead, key: ReadingKey) -> str | None:
    """By its form, whatever its place; None where it has the form of none."""
    table = key.table.ways
    if line.kind != "line":
        return "way"
    kind = next((name for name, form in FORMS.items() if form(line, table)), "way")
    row = table.transfer.get(kind)
    wanted = row.widths if row else (table.width,) * 3
    near = key.table.tolerance.width
    alike = all(abs(a - b) <= near for a, b in zip(line.widths, wanted, strict=True))
    return kind if alike else None


def _slides(line: ShapeRead, table: Ways) -> bool:
    """Level, and at its end turned up."""
    (_, begin), (_, into), _, (_, end) = line.headings
    return abs(begin) < LEVEL and abs(into) < LEVEL and end > STEEP


def _steps(line: ShapeRead, table: Ways) -> bool:
    """Thicker towards its end."""
    begin, _, end = line.widths
    wanted = table.transfer["step"].widths
    return end - begin > (wanted[2] - wanted[0]) / 2


def _springs(line: ShapeRead, table: Ways) -> bool:
    """Turns in a point, or comes down from one at an edge and ends level under the stave."""
    begin, into, out, end = line.headings
    pointed = into[0] * out[0] + into[1] * out[1] < cos(radians(table.turn))
    below = all(y < table.highest for _, y in line.ends)
    return pointed or (below and begin[1] < -STEEP / 2 and abs(end[1]) < LEVEL)


FORMS: Mapping[str, Callable[[ShapeRead, Ways], bool]] = {
    "step": _steps,
    "spring": _springs,
    "slide": _slides,
}


def _lies(line: ShapeRead, kind: str, at_edge: bool, key: ReadingKey) -> bool:
    """Whether a line of weight is in its lane."""
    row = key.table.ways.transfer.get(kind)
    if row is None:
        return True
    start, end = (y for _, y in line.ends)
    level = kind != "spring" or _meets(end, row.begin, key)
    if at_edge:
        return level and _meets(start, row.lane, key)
    return level and _meets(start, row.begin, key) and _meets(line.middle[1], row.lane, key)


def _ends(kind: str, frame: FrameRead, key: ReadingKey) -> Iterator[Ends]:
    if kind == "spring":
        yield Ends(Subject("feet"), 0.0, 0.0, 0.0)
        return
    for read in frame.subjects:
        if isinstance(read, HandRead) and kind == "way":
            yield _hand_ends(read, key)
        elif isinstance(read, FootRead | FeetRead | FreeRead):
            yield from _foot_ends(read, key)


def _hand_ends(read: HandRead, key: ReadingKey) -> Ends:
    name = DEPTH_SIGN[read.depth]
    pose = HandPose(read.depth, read.height, read.out, 0.0)
    x, y = hand_spot(pose, key.catalogue)
    if read.touching == "hand":
        x = key.catalogue.marks.joined[name]
    return Ends(Subject("hand", read.side), read.side.sign * x, y, key.table.ways.off[name])


def _foot_ends(read: FootRead | FeetRead | FreeRead, key: ReadingKey) -> Iterator[Ends]:
    off = key.table.ways.off
    if isinstance(read, FreeRead):
        x, y = read.side.sign * read.at[0], read.at[1]
        yield Ends(Subject("foot", read.side), x, y, off[DIRECTION_SIGN[read.direction]])
        return
    sides = (read.side,) if isinstance(read, FootRead) else BOTH
    for side in sides:
        if isinstance(read, FootRead):
            foot = Standing(read.rise)
        else:
            foot = Standing(read.rise, read.position, read.front)
        x, y = standing_spot(foot, side, key.catalogue)
        yield Ends(
            Subject("foot", side), side.sign * x, y, off[_standing_sign(foot, side, key.catalogue)]
        )


def _standing_sign(foot: Standing, side: Side, catalogue: Catalogue) -> str:
    row = {row.name: row for row in catalogue.feet.position}.get(foot.position or "")
    if row is None or row.right:
        placed = row.right if row and row.right else catalogue.feet.alone
    else:
        placed = (row.front if foot.front is side else row.behind) or catalogue.feet.alone
    return "level" if placed.sign == "level long" else placed.sign


def _ends_at(end: Spot, ends: Ends, kind: str, key: ReadingKey) -> bool:
    near = key.table.tolerance.place
    if abs(end[0] - ends.x) > near:
        return False
    if kind != "way" and end[1] > key.table.ways.highest + near:
        return False
    return kind != "way" or abs(abs(end[1] - ends.y) - ends.off) <= near


# ---------------------------------------------------------------- as written


def expected_ways(posed: Posed, at_edge: bool, key: ReadingKey) -> Iterator[WayRead]:
    """The lines that a moment's moves ask for; `at_edge` where no frame stands before it
    on its line. `middle` is that of a way by a place, else `sag` tells."""
    for move in posed.moves:
        if move.kind in key.table.ways.transfer:
            yield from _expected_transfer(move, posed, at_edge, key)
        elif move.subject.side:
            yield from _expected_way(move, move.subject.side, posed, at_edge, key)


def _expected_transfer(
    move: Move, posed: Posed, at_edge: bool, key: ReadingKey
) -> Iterator[WayRead]:
    row, side = key.table.ways.transfer[move.kind], move.subject.side
    x = 0.0
    if side:
        spot = limb_spot("foot", side, posed.before, key.catalogue)
        if spot is None:
            return
        x = side.sign * spot[0]
    start = (0.0, row.lane) if at_edge else (x, row.begin)
    yield WayRead(move.kind, move.subject, start, None, (0.0, 0.0), None, at_edge)


def _expected_way(
    move: Move, side: Side, posed: Posed, at_edge: bool, key: ReadingKey
) -> Iterator[WayRead]:
    start = limb_spot(move.subject.kind, side, posed.before, key.catalogue)
    if start is None:
        return
    via: Spot | None = None
    if isinstance(move.via, HandPose):
        x, y = hand_spot(move.via, key.catalogue)
        via = side.sign * x, y
    elif move.via:
        x, y = foot_spot(move.via, side, key.catalogue)
        via = side.sign * x, y
    sag = 0.0, key.table.ways.sag[move.path] if move.path else 0.0
    at = side.sign * start[0], start[1]
    if at_edge:
        at = 0.0, _halfway(start[1], via, sag[1], move, side, posed, key)
    yield WayRead("way", move.subject, at, via, sag, move.bow, at_edge)


def _halfway(
    start: float,
    via: Spot | None,
    sag: float,
    move: Move,
    side: Side,
    posed: Posed,
    key: ReadingKey,
) -> float:
    """The height at which a way goes over the end of a line: halfway to its end, or to the
    place that it passes."""
    end = via or limb_spot(move.subject.kind, side, posed.pose, key.catalogue)
    return (start + end[1]) / 2 + sag if end else start


def expected_leaving(posed: Posed, key: ReadingKey) -> Iterator[LeavingRead]:
    """The lines that leave a line of the score, by the moves of the next moment."""
    trim = key.table.ways.trim
    starts, goals = (tuple(expected_ways(posed, at_edge, key)) for at_edge in (False, True))
    for start, goal in zip(starts, goals, strict=True):
        if row := key.table.ways.transfer.get(start.kind):
            yield LeavingRead((start.start[0] + trim, row.begin), row.lane)
        else:
            yield LeavingRead(start.start, goal.start[1])


def same_leaving(found: LeavingRead, wanted: LeavingRead, key: ReadingKey, near: float) -> bool:
    """Whether a line that leaves is the one that was written."""
    offs = (0.0, *key.table.ways.off.values())
    rise = abs(found.start[1] - wanted.start[1])
    apart = max(abs(found.start[0] - wanted.start[0]), abs(found.height - wanted.height))
    return apart <= near and min(abs(rise - off) for off in offs) <= near


def same_way(found: WayRead, wanted: WayRead, key: ReadingKey, near: float) -> bool:
    """Whether a line says what was written; it may begin over or under its start."""
    plain = (found.kind, found.subject, found.bow, found.at_edge)
    if plain != (wanted.kind, wanted.subject, wanted.bow, wanted.at_edge):
        return False
    offs = (0.0, *key.table.ways.off.values()) if found.kind == "way" else (0.0,)
    rise = abs(found.start[1] - wanted.start[1])
    apart = found.start[0] - wanted.start[0]
    if abs(apart) > near or min(abs(rise - off) for off in offs) > near:
        return False
    if wanted.middle and found.middle:
        apart = 0.0 if found.at_edge else found.middle[0] - wanted.middle[0]
        return max(abs(apart), abs(found.middle[1] - wanted.middle[1])) <= near
    return _near(found.sag, wanted.sag, near)


def _near(a: Spot | None, b: Spot, near: float) -> bool:
    return a is not None and max(abs(a[0] - b[0]), abs(a[1] - b[1])) <= near
