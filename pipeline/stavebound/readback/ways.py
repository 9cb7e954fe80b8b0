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
from math import cos, hypot, inf, radians, sin
from typing import NamedTuple

from stavebound.dance.pose import HandPose, Move, Posed, Standing, Subject
from stavebound.dance.state import BOTH
from stavebound.readback.claims import DEPTHS, DIRECTIONS, ReadingKey
from stavebound.readback.places import (
    Spot,
    foot_spot,
    hand_spot,
    limb_spot,
    standing_row,
    standing_spot,
)
from stavebound.readback.springs import AIR, BEAT, front_foot, marks_of
from stavebound.readback.table import ShapeRow, Ways
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

Marked = list[tuple[ShapeRead, SignRead]]
BOWS = {f"bow {bow}": bow for bow in Bow}
# The signs that belong to lines of movement.
MARKS = frozenset((*BOWS, BEAT, *AIR))
DEPTH_SIGN = {depth: name for name, depth in DEPTHS.items()}
# How much of a heading one long goes up or down where it is level, and where it is upright.
LEVEL, STEEP = 0.03, 0.9
UPRIGHT = 90.0
BOWS_NEAR = 0.02
FEET = Subject("feet")
DIRECTION_SIGN = {direction: name for name, direction in DIRECTIONS.items()}


@dataclass(frozen=True, slots=True)
class Ends:
    """A limb at which a line may end: the middle of its sign, from the axis, and how far its ink
    reaches to either side and up and down; nought for both feet. A line of weight ends so far
    `off` the middle of the sign; `hook` is how far a hook reaches out from it, to the left below
    nought. `apart`: it may end over the sign or under it too."""

    subject: Subject
    x: float
    y: float
    across: float = 0.0
    up: float = 0.0
    off: float = 0.0
    hook: float = 0.0
    apart: bool = False


# ---------------------------------------------------------------- from ink


def is_way(shape: ShapeRead, key: ReadingKey) -> bool:
    """Whether it is as thick as some line of movement, or is drawn as nothing else is."""
    thick = abs(shape.width - key.table.ways.width) <= key.table.tolerance.width
    return shape.name is None and (
        shape.kind == "line" or (shape.kind in ("stroke", "band") and thick)
    )


def is_bar_of_a_way(shape: ShapeRead, key: ReadingKey) -> bool:
    """Whether it may be the bar of a held limb, though it has the form of a part of a sign: a
    house may draw one as small."""
    thick = abs(shape.width - key.table.ways.width) <= key.table.tolerance.width
    return thick and _is_bar(shape, key)


def with_ways(
    frames: list[FrameRead],
    lines: Iterable[ShapeRead],
    signs: Iterable[SignRead],
    edges: tuple[float, ...],
    key: ReadingKey,
) -> tuple[list[FrameRead], tuple[LeavingRead, ...], list[Fault]]:
    """The frames with the lines that end there, and the lines that leave at the right edge;
    `signs` are the marks of lines.
    `edges` are where lines may come from without a frame before them, the first of them the
    stave's left end, and last its right end."""
    found, faults = list(frames), []
    marks, every = list(signs), list(lines)
    bars = [line for line in every if _is_bar(line, key)]
    rest = [line for line in every if line not in bars]
    marked = _bows([one for one in marks if one.name in BOWS], rest, key)
    out = edges[-1] - key.table.ways.inset
    last = next((frame for frame in reversed(frames) if frame.subjects), None)
    leaving: list[LeavingRead] = []
    for line in sorted((line for line in every if line not in bars), key=lambda each: each.x):
        if last is not None and _meets(max(line.ends)[0], out, key):
            leaving.append(_leaving(line, last, bars, key))
            continue
        bow = next((mark for one, mark in marked if one is line and mark in marks), None)
        if bow:
            marks.remove(bow)
        told = list(_ways(line, bow, found, bars, edges, key))
        told = told or list(_ways(line.backwards, bow, found, bars, edges, key))
        if len(told) == 1:
            ((index, way),) = told
            way = _marked(way, line, marks, key)
            found[index] = replace(found[index], ways=(*found[index].ways, way))
        else:
            what = "that ends at two limbs" if told else "that ends at no limb"
            kind = "twofold" if told else "unread"
            faults.append(Fault(kind, f"a line of movement {what}", line.x, line.y))
    begun = {spot for frame in found for way in frame.ways for spot in way.bars}
    begun |= {spot for one in leaving for spot in one.bars}
    faults += (
        Fault("shape", "the bar of a line that does not begin there", bar.x, bar.y)
        for bar in bars
        if bar.middle not in begun
    )
    faults += (Fault("shape", f"a {mark.name} beside no line", mark.x, mark.y) for mark in marks)
    return found, tuple(leaving), faults


def _marked(way: WayRead, line: ShapeRead, marks: list[SignRead], key: ReadingKey) -> WayRead:
    """A spring with its own marks, which are taken out of all of them."""
    if way.kind != "spring":
        return way
    own = marks_of(line, way, marks, key)
    for mark in own:
        marks.remove(mark)
    beats = tuple(front_foot(mark) for mark in own if mark.name == BEAT)
    return replace(way, beats=beats, air=tuple(mark.name for mark in own if mark.name in AIR))


def _is_bar(line: ShapeRead, key: ReadingKey) -> bool:
    """The short upright bar with which a line begins where its limb is held."""
    table, near = key.table.ways, key.table.tolerance
    upright = abs(line.angle - UPRIGHT) <= near.angle
    return line.kind == "stroke" and upright and abs(line.length - table.held) <= near.length


def _leaving(
    line: ShapeRead, last: FrameRead, bars: list[ShapeRead], key: ReadingKey
) -> LeavingRead:
    """It begins at a sign of the last frame, at a bar, or under the feet."""
    one = line if line.ends[0] < line.ends[1] else line.backwards
    (x, y), (_, height) = one.ends
    limb = next((each for each in _limbs(last, key) if _begins_at(one, each, last.axis, key)), None)
    bar = _bar_at((x, y), bars, key)
    subject = limb.subject if limb else None
    return LeavingRead((x - last.axis, y), height, subject, bar)


def _bar_at(spot: Spot, bars: list[ShapeRead], key: ReadingKey) -> tuple[Spot, ...]:
    found = (bar.middle for bar in bars if _same_spot(bar.middle, spot, key))
    return tuple(found)[:1]


def _same_spot(a: Spot, b: Spot, key: ReadingKey) -> bool:
    return _meets(a[0], b[0], key) and _meets(a[1], b[1], key)


def _bows(marks: Iterable[SignRead], lines: Iterable[ShapeRead], key: ReadingKey) -> Marked:
    """Each mark with the line to whose middle it stands best."""
    every, found = [*lines], []
    for mark in marks:
        off, at = min(
            ((_off(mark, line, key), at) for at, line in enumerate(every)), default=(inf, 0)
        )
        if off <= BOWS_NEAR:
            found.append((every[at], mark))
    return found


def _off(mark: SignRead, line: ShapeRead, key: ReadingKey) -> float:
    """How far it is off where it would be over the line or under it."""
    (x, y), (dx, dy) = line.middle, _towards_right(line)
    along, up = (mark.x - x) * dx + (mark.y - y) * dy, (mark.y - y) * dx - (mark.x - x) * dy
    aside = min(abs(along - each) for each in key.table.ways.along)
    return hypot(aside, min(abs(abs(up) - each) for each in key.table.ways.rises))


def _towards_right(line: ShapeRead) -> Spot:
    """Where a line goes in its middle, from left to right."""
    if line.kind != "line":
        (x1, y1), (x2, y2) = line.ends
        x, y = x2 - x1, y2 - y1
    else:
        (ax, ay), (bx, by) = line.headings[1:3]
        x, y = ax + bx, ay + by
    length = hypot(x, y) or 1.0
    return (x / length, y / length) if x >= 0 else (-x / length, -y / length)


def _ways(
    line: ShapeRead,
    bow: SignRead | None,
    frames: list[FrameRead],
    bars: list[ShapeRead],
    edges: tuple[float, ...],
    key: ReadingKey,
) -> Iterator[tuple[int, WayRead]]:
    """What the line may say, run from the one end to the other."""
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
        base = before.axis if before else edge + inset
        for ends in _ends(kind, frame, key):
            if not _arrives(line, ends, frame.axis, kind, key):
                continue
            start_of = _start(line, kind, ends.subject, before, base, bars, key)
            if start_of is None or not _lies(line, kind, before is None, key):
                continue
            middle = line.middle[0] - (base + frame.axis) / 2, line.middle[1]
            yield (
                index,
                WayRead(
                    kind,
                    ends.subject,
                    start_of.spot,
                    middle,
                    _sag(line, kind, ends, frame.axis, before, key),
                    BOWS[bow.name] if bow else None,
                    before is None,
                    before is None or any(_meets(line.middle[0], x, key) for x in within),
                    start_of.bars,
                ),
            )


class _Start(NamedTuple):
    """Where a line begins, from the axis of the frame before; None at its own limb's sign."""

    spot: Spot | None
    bars: tuple[Spot, ...] = ()


def _start(
    line: ShapeRead,
    kind: str,
    subject: Subject,
    before: FrameRead | None,
    base: float,
    bars: list[ShapeRead],
    key: ReadingKey,
) -> _Start | None:
    """None where a way begins in empty air."""
    (x, y), (end, _) = line.ends
    trim = key.table.ways.trim if x < end else -key.table.ways.trim
    if before is None:
        return _Start((x - base, y))
    if kind != "way":
        return _Start((x - trim - base, y))
    own = (limb for limb in _limbs(before, key) if limb.subject == subject)
    if any(_begins_at(line, limb, before.axis, key) for limb in own):
        return _Start(None)
    bar = _bar_at((x, y), bars, key)
    return _Start((x - base, y), bar) if bar else None


def _sag(
    line: ShapeRead,
    kind: str,
    ends: Ends,
    axis: float,
    before: FrameRead | None,
    key: ReadingKey,
) -> Spot:
    """How far the middle is off the straight line between the limbs; of a line from an edge,
    how far it is over both its ends or under them."""
    if kind != "way":
        return 0.0, 0.0
    (x, y), (to, down) = line.ends
    mx, my = line.middle
    if _same_spot((mx, my), ((x + to) / 2, (y + down) / 2), key):
        return 0.0, 0.0
    own = (limb for limb in _limbs(before, key) if limb.subject == ends.subject) if before else ()
    limb = next((limb for limb in own if before and _begins_at(line, limb, before.axis, key)), None)
    if limb and before:
        x, y = before.axis + limb.x, limb.y
    if before is None:
        low, high = sorted((y, ends.y))
        return 0.0, my - min(max(my, low), high)
    return mx - (x + axis + ends.x) / 2, my - (y + ends.y) / 2


def _meets(a: float, b: float, key: ReadingKey) -> bool:
    return abs(a - b) <= key.table.tolerance.place


def _kind(line: ShapeRead, key: ReadingKey) -> str | None:
    """By its form, whatever its place; None where it has the form of none."""
    table = key.table.ways
    if line.kind != "line":
        return "way"
    kind = next((name for name, form in FORMS.items() if form(line, table)), "way")
    even = _as_thick(line, (table.width,) * 3, key)
    return kind if kind in table.transfer or even else None


def _as_thick(line: ShapeRead, wanted: tuple[float, ...], key: ReadingKey) -> bool:
    near = key.table.tolerance.width
    return all(abs(a - b) <= near for a, b in zip(line.widths, wanted, strict=True))


def _slides(line: ShapeRead, table: Ways) -> bool:
    """Under the stave, level until its middle, and at its end turned up."""
    (_, begin), (_, into), _, (_, end) = line.headings
    rises = abs(line.middle[1] - line.ends[0][1])
    return _is_below(line, table) and max(abs(begin), abs(into), rises) < LEVEL and end > STEEP


def _steps(line: ShapeRead, table: Ways) -> bool:
    """Thicker towards its end."""
    begin, _, end = line.widths
    row = table.transfer["step"]
    return end - begin > (row.widths[2] - row.cut) / 2


def _springs(line: ShapeRead, table: Ways) -> bool:
    """Turns in a point, or comes down from one at an edge and ends level under the stave."""
    begin, into, out, end = line.headings
    pointed = into[0] * out[0] + into[1] * out[1] < cos(radians(table.turn))
    falls = begin[1] < -STEEP / 2 and abs(end[1]) < LEVEL
    return pointed or (_is_below(line, table) and falls)


def _is_below(line: ShapeRead, table: Ways) -> bool:
    return all(y < table.highest for _, y in line.ends)


FORMS: Mapping[str, Callable[[ShapeRead, Ways], bool]] = {
    "step": _steps,
    "spring": _springs,
    "slide": _slides,
}


def _lies(line: ShapeRead, kind: str, at_edge: bool, key: ReadingKey) -> bool:
    """Whether a line of weight is as thick as its kind, and in its lane."""
    row = key.table.ways.transfer.get(kind)
    if row is None:
        return True
    cut = row.cut, (row.cut + row.widths[2]) / 2, row.widths[2]
    return _as_thick(line, cut if at_edge else row.widths, key) and any(
        _in_lane(line, kind, row.begin - by, row.lane - by, at_edge, key)
        for by in (0.0, key.table.ways.deeper)
    )


def _in_lane(
    line: ShapeRead, kind: str, begin: float, lane: float, at_edge: bool, key: ReadingKey
) -> bool:
    start, end = (y for _, y in line.ends)
    level = kind != "spring" or _meets(end, begin, key)
    if at_edge:
        return level and _meets(start, lane, key)
    return level and _meets(start, begin, key) and _meets(line.middle[1], lane, key)


def _ends(kind: str, frame: FrameRead, key: ReadingKey) -> Iterator[Ends]:
    if kind == "spring":
        yield Ends(FEET, 0.0, 0.0)
        return
    for limb in _limbs(frame, key):
        if limb.subject.kind == "foot" or kind == "way":
            yield limb


def _limbs(frame: FrameRead, key: ReadingKey) -> Iterator[Ends]:
    for read in frame.subjects:
        if isinstance(read, HandRead):
            yield _hand_ends(read, key)
        elif isinstance(read, FootRead | FeetRead | FreeRead):
            yield from _foot_ends(read, key)


def _hand_ends(read: HandRead, key: ReadingKey) -> Ends:
    name = DEPTH_SIGN[read.depth]
    pose = HandPose(read.depth, read.height, read.out, 0.0)
    x, y = hand_spot(pose, key.catalogue)
    if read.touching == "hand":
        x = key.catalogue.marks.joined[name]
    return Ends(Subject("hand", read.side), read.side.sign * x, y, *_ink(name, key), apart=True)


def _foot_ends(read: FootRead | FeetRead | FreeRead, key: ReadingKey) -> Iterator[Ends]:
    if isinstance(read, FreeRead):
        x, y = read.side.sign * read.at[0], read.at[1]
        sign = DIRECTION_SIGN[read.direction]
        pointed = {row.name for row in key.catalogue.feet.free.place if row.hook}
        hook = read.side.sign * key.table.ways.hooked[sign] if read.place in pointed else 0.0
        yield Ends(Subject("foot", read.side), x, y, *_ink(sign, key), hook=hook)
        return
    sides = (read.side,) if isinstance(read, FootRead) else BOTH
    for side in sides:
        if isinstance(read, FootRead):
            foot = Standing(read.rise)
        else:
            foot = Standing(read.rise, read.position, read.front)
        x, y = standing_spot(foot, side, key.catalogue)
        row = standing_row(foot, side, key.catalogue)
        ink, off = _ink(row.sign, key), side.sign * (row.dot - row.x)
        yield Ends(Subject("foot", side), side.sign * x, y, *ink, off, apart=True)


def _ink(sign: str, key: ReadingKey) -> Spot:
    """How far the ink of a sign reaches from its middle, to either side and up and down."""
    parts = next(row.parts for row in key.table.sign if row.name == sign)
    shapes = {row.name: row for row in key.table.shape}
    reaches = [(part.at, *_half(shapes[part.shape])) for part in parts]
    across = max(abs(at[0]) + wide for at, wide, _ in reaches)
    return across, max(abs(at[1]) + high for at, _, high in reaches)


def _half(shape: ShapeRow) -> Spot:
    if shape.kind in ("disc", "ring"):
        return shape.length / 2, shape.length / 2
    angle = radians(shape.angle)
    wide, high = abs(cos(angle)), abs(sin(angle))
    length, width = shape.length / 2, shape.width / 2
    if shape.kind == "band":
        # A half of an oval: at its ends it goes across its chord.
        length, width = length + width, width + abs(shape.bulge)
    return length * wide + width * high, length * high + width * wide


def _arrives(line: ShapeRead, ends: Ends, axis: float, kind: str, key: ReadingKey) -> bool:
    """A way points at the middle of its limb's sign, and stops white before it; a line of weight
    is under its foot."""
    near, table = key.table.tolerance.place, key.table.ways
    (start, _), (x, y) = line.ends
    if kind == "way":
        return _points_at(line.ends[1], _headed(line, 3), ends, axis, table.white["end"], key)
    trim = table.trim if start < x else -table.trim
    to = x + (trim if kind == "spring" else 0.0)
    return abs(to - axis - ends.x - ends.off) <= near and y <= table.highest + near


def _begins_at(line: ShapeRead, limb: Ends, axis: float, key: ReadingKey) -> bool:
    """Whether it comes from the middle of a limb's sign."""
    dx, dy = _headed(line, 0)
    return _points_at(line.ends[0], (-dx, -dy), limb, axis, key.table.ways.white["start"], key)


def _headed(line: ShapeRead, at: int) -> Spot:
    if line.kind == "line":
        return line.headings[at]
    (x1, y1), (x2, y2) = line.ends
    length = hypot(x2 - x1, y2 - y1) or 1.0
    return (x2 - x1) / length, (y2 - y1) / length


def _points_at(
    spot: Spot, heading: Spot, limb: Ends, axis: float, white: float, key: ReadingKey
) -> bool:
    """Whether a line points at the middle of a limb's sign, or stands over that of a hand or of a
    standing foot, or under it."""
    (x, y), (dx, dy) = spot, heading
    away, up = axis + limb.x - x, limb.y - y
    far, aside = away * dx + up * dy, up * dx - away * dy
    across, high = limb.across, limb.up
    if dx * limb.hook < 0:
        across, high = abs(limb.hook), max(high, key.table.ways.hooked["high"])
    reach = 1 / max(abs(dx) / across, abs(dy) / high)
    near = key.table.ways.near
    tip = limb.apart and max(abs(away), abs(abs(up) - limb.up - white)) <= near
    off = key.table.ways.level if abs(dy) < LEVEL / 2 else near
    return tip or (abs(aside) <= off and abs(far - reach - white) <= near)


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
    yield WayRead(
        move.kind,
        move.subject,
        start,
        None,
        (0.0, 0.0),
        None,
        at_edge,
        beats=move.beats,
        air=move.air,
    )


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
    place that it passes, and under the counts."""
    end = via or limb_spot(move.subject.kind, side, posed.pose, key.catalogue)
    apart = side.sign * key.table.ways.apart
    return min((start + end[1]) / 2 + sag, key.table.ways.breaks) + apart if end else start


def expected_leaving(posed: Posed, key: ReadingKey) -> Iterator[LeavingRead]:
    """The lines that leave a line of the score, by the moves of the next moment."""
    trim = key.table.ways.trim
    starts, goals = (tuple(expected_ways(posed, at_edge, key)) for at_edge in (False, True))
    for start, goal in zip(starts, goals, strict=True):
        x, y = start.start or (0.0, 0.0)
        _, height = goal.start or (0.0, 0.0)
        if row := key.table.ways.transfer.get(start.kind):
            yield LeavingRead((x + trim, row.begin), row.lane)
        else:
            yield LeavingRead((x, y), height, start.subject)


def same_leaving(found: LeavingRead, wanted: LeavingRead, key: ReadingKey, near: float) -> bool:
    """Whether a line that leaves is the one that was written: from the sign of its limb, from a
    bar where its limb is held, or from under its foot."""
    if found.subject and wanted.subject:
        return found.subject == wanted.subject and abs(found.height - wanted.height) <= near
    if bool(found.bars) != bool(wanted.subject):
        return False
    (x, y), height, table = wanted.start, wanted.height, key.table.ways
    if wanted.subject:
        return _near(found.start, (x, y), near) and abs(found.height - height) <= near
    late = -near <= found.start[0] - x <= table.later + near
    down = (abs(found.start[1] - y + by) <= near for by in (0.0, table.deeper))
    deep = (abs(found.height - height + by) <= near for by in (0.0, table.deeper))
    return late and any(a and b for a, b in zip(down, deep, strict=True))


def same_way(found: WayRead, wanted: WayRead, key: ReadingKey, near: float) -> bool:
    """Whether a line says what was written."""
    plain = (found.kind, found.subject, found.bow, found.beats, found.air, found.at_edge)
    if plain != (wanted.kind, wanted.subject, wanted.bow, wanted.beats, wanted.air, wanted.at_edge):
        return False
    if found.start and wanted.start and not _same_start(found.start, wanted, key, near):
        return False
    if wanted.middle and found.middle:
        return passes(found, wanted.middle, key, near)
    return form_of(found, key) == form_of(wanted, key)


def passes(way: WayRead, spot: Spot, key: ReadingKey, near: float) -> bool:
    """Whether a line passes a place: there, or so much lower where that is on the floor; a hand
    also over or under it, where two pass abreast."""
    if way.middle is None:
        return False
    apart = 0.0 if way.by_edge else abs(way.middle[0] - spot[0])
    low = way.subject.kind == "foot" and spot[1] < 0
    up = abs(way.middle[1] - spot[1] + (key.table.ways.under if low else 0.0))
    over = abs(up - key.table.ways.abreast) if way.subject.kind == "hand" else up
    return apart <= near and min(up, over) <= near


def _same_start(found: Spot, wanted: WayRead, key: ReadingKey, near: float) -> bool:
    """A line of weight may be in a deeper lane, and begin later, behind one that ends there."""
    x, y = wanted.start or found
    if wanted.kind not in key.table.ways.transfer:
        return _near(found, (x, y), near)
    late = -near <= found[0] - x <= key.table.ways.later + near
    return late and any(abs(found[1] - y + by) <= near for by in (0.0, key.table.ways.deeper))


def form_of(way: WayRead, key: ReadingKey) -> str | None:
    """Over, under or straight, which may bow a little, by how far its middle is off the straight
    line; None where it is none of them."""
    table, (x, y) = key.table.ways, way.sag
    if way.kind != "way":
        return way.kind
    least = table.least["edge" if way.at_edge else "inside"]
    low = not way.at_edge and way.middle is not None and way.middle[1] < table.slight["below"]
    if is_straight(way, key):
        return "straight"
    if abs(x) > table.near:
        return None
    if abs(y) < (table.slight["most"] if low else least):
        return "straight" if low or way.at_edge else None
    return next((name for name, sag in table.sag.items() if y * sag > 0), None)


def is_straight(way: WayRead, key: ReadingKey) -> bool:
    return max(abs(each) for each in way.sag) <= key.table.ways.near


def _near(a: Spot, b: Spot, near: float) -> bool:
    return max(abs(a[0] - b[0]), abs(a[1] - b[1])) <= near
