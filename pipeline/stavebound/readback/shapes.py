"""Shapes: what form an outline has.

In: an outline, in millimetres, y downwards. Out: a `ShapeRead` in spaces, y upwards,
with the rows of the table that it fits.

    stroke ▬ ╱    four right-angled corners
    disc ●        four cubics, as wide as high
    ring ○        a disc in the middle of another that runs the other way: a hole
    band (        two sides of one curve, everywhere the same width apart
    spot ·        eight corners round a middle: a dot of the learner's centre line
    line ‿        six cubics: out on one side and back on the other, by a middle
    taper ◠       two cubics joined by short upright ends: thick in the middle, fine there
"""

from __future__ import annotations

from collections.abc import Iterable
from math import atan2, cos, degrees, hypot, radians, sin

from stavebound.readback.table import ShapeRow, Table
from stavebound.readback.values import Outline, ShapeRead, Spot

# A share of the form's own size that rounding may change.
UNEVEN = 0.03
# In spaces.
ROUNDING = 0.01
# How far the two sides of a line may run from each other, by a heading one long.
ASTRAY = 0.08
# A line's outline has so many points: from each of its sides these are its start, its middle
# and its end, and those next to them tell where it goes.
LINE = 19
SIDES = ((0, 15), (3, 12), (6, 9))
NEXT = ((0, 1), (2, 3), (3, 4), (5, 6))
# The points of a taper's upright ends that stand over each other.
JOINTS = ((3, 4), (3, 5), (3, 6), (9, 10), (9, 11), (9, 12))


def shape_of(outline: Outline, space: float, floor: float) -> ShapeRead:
    """`floor` is the height of the floor line on the page, `space` a space, in millimetres."""
    points = [(x / space, (floor - y) / space) for x, y in outline.points]
    across = [x for x, _ in points]
    return _form(points, outline.curved)._replace(left=min(across), right=max(across))


def _form(points: list[Spot], curved: bool) -> ShapeRead:
    if curved:
        if len(points) == LINE:
            return line(points)
        taper = _taper(points)
        return taper if taper.kind == "taper" else _disc(points)
    if len(points) == 4:
        return _stroke(points)
    if len(points) == 8:
        return _spot(points)
    if len(points) % 2 == 0:
        return _band(points)
    return _strange(points)


def named(shapes: Iterable[ShapeRead], table: Table) -> tuple[ShapeRead, ...]:
    """The shapes with their names, discs and their holes joined to rings."""
    rows: dict[str, list[ShapeRow]] = {}
    for row in table.shape:
        rows.setdefault(row.kind, []).append(row)
    joined = _rings(list(shapes))
    return tuple(_named(shape, rows.get(shape.kind, []), table) for shape in joined)


def _named(shape: ShapeRead, rows: list[ShapeRow], table: Table) -> ShapeRead:
    """By the row that it fits best; of each row the way that it fits better."""
    found = []
    for index, row in enumerate(rows):
        if abs(shape.length - row.length) > table.tolerance.length:
            continue
        ways = ((_misfit(shape, row, turned, table), -turned) for turned in (1, -1))
        misfit, back = min(ways)
        if misfit <= 1:
            found.append((misfit, index, -back))
    if not found:
        return shape
    fits = tuple((rows[index].name, turned) for _, index, turned in sorted(found))
    return shape._replace(name=fits[0][0], turned=fits[0][1], fits=fits)


def _misfit(shape: ShapeRead, row: ShapeRow, turned: int, table: Table) -> float:
    """How far the form is from the row: the greatest share of a tolerance."""
    limit = table.tolerance
    angle = row.angle if turned == 1 else (180 - row.angle) % 180
    bulge = row.bulge if turned == 1 or row.angle == 0 else -row.bulge
    apart = abs(shape.angle - angle)
    return max(
        abs(shape.length - row.length) / limit.length,
        abs(shape.width - row.width) / limit.width,
        abs(shape.bulge - bulge) / limit.width,
        min(apart, 180 - apart) / limit.angle,
    )


def _rings(shapes: list[ShapeRead]) -> list[ShapeRead]:
    """The largest disc that runs the other way in the middle of a disc is the hole of a ring."""
    discs = [shape for shape in shapes if shape.kind == "disc"]
    discs.sort(key=lambda disc: -disc.length)
    found = [shape for shape in shapes if shape.kind != "disc"]
    while discs:
        one, *discs = discs
        hole = next((disc for disc in discs if _is_hole(disc, one)), None)
        if hole is None:
            found.append(one._replace(turned=1))
            continue
        discs.remove(hole)
        width = (one.length - hole.length) / 2
        found.append(one._replace(kind="ring", width=width, turned=1))
    return found


def _is_hole(disc: ShapeRead, outer: ShapeRead) -> bool:
    near = hypot(disc.x - outer.x, disc.y - outer.y) <= ROUNDING
    return near and disc.turned != outer.turned and disc.length < outer.length


def _strange(points: list[Spot]) -> ShapeRead:
    x, y = _middle(points)
    return ShapeRead("strange", x, y, 0.0)


def _middle(points: list[Spot]) -> Spot:
    xs, ys = [x for x, _ in points], [y for _, y in points]
    return (min(xs) + max(xs)) / 2, (min(ys) + max(ys)) / 2


def _stroke(points: list[Spot]) -> ShapeRead:
    (ax, ay), (bx, by), (cx, cy), (dx, dy) = points
    ux, uy, vx, vy = bx - ax, by - ay, cx - bx, cy - by
    one, other = hypot(ux, uy), hypot(vx, vy)
    even = hypot(ax - bx + cx - dx, ay - by + cy - dy) <= ROUNDING
    square = abs(ux * vx + uy * vy) <= max(one, other) * ROUNDING / 2
    if not (even and square):
        return _strange(points)
    return stroke(((ax + dx) / 2, (ay + dy) / 2), ((bx + cx) / 2, (by + cy) / 2), other)


def stroke(start: Spot, end: Spot, width: float) -> ShapeRead:
    """A straight stroke with square ends; its length is the longer of its two sides."""
    dx, dy = end[0] - start[0], end[1] - start[1]
    length, angle = hypot(dx, dy), _level(degrees(atan2(dy, dx)))
    x, y = (start[0] + end[0]) / 2, (start[1] + end[1]) / 2
    if length < width:
        aside = width / 2 / length if length else 0.0
        sides = (x - dy * aside, y + dx * aside), (x + dy * aside, y - dx * aside)
        return stroke(*sides, length)._replace(angle=_level(angle + 90))
    ends = (start, end) if start[0] <= end[0] else (end, start)
    return ShapeRead("stroke", x, y, length, width, angle, ends=ends, middle=(x, y))


def _level(angle: float) -> float:
    """From 0 to 180 degrees; what is level but for rounding is at 0."""
    angle %= 180
    return 0.0 if angle > 179.5 else angle


def _disc(points: list[Spot]) -> ShapeRead:
    """Four cubics round a middle; `turned` is the way they run."""
    if len(points) != 13:
        return _strange(points)
    x, y = _middle(points)
    ends = [points[i] for i in (0, 3, 6, 9)]
    radii = [hypot(px - x, py - y) for px, py in ends]
    radius = sum(radii) / 4
    if max(radii) - min(radii) > ROUNDING or radius <= 0:
        return _strange(points)
    (ax, ay), (bx, by) = ends[0], ends[1]
    runs = (ax - x) * (by - y) - (ay - y) * (bx - x)
    return ShapeRead("disc", x, y, 2 * radius, turned=1 if runs > 0 else -1)


def _taper(points: list[Spot]) -> ShapeRead:
    """`width` is how thick it is in the middle, `bulge` how thick at its ends."""
    if len(points) != 13:
        return _strange(points)
    over, under = points[0:4], points[9:5:-1]
    tips = [a[1] - b[1] for a, b in zip(over, under, strict=True) if abs(a[0] - b[0]) <= ROUNDING]
    joined = all(abs(points[i][0] - points[j][0]) <= ROUNDING for i, j in JOINTS)
    if len(tips) != 4 or not joined or abs(tips[0] - tips[3]) > ROUNDING:
        return _strange(points)
    line = [((ax + bx) / 2, (ay + by) / 2) for (ax, ay), (bx, by) in zip(over, under, strict=True)]
    thick = (tips[0] + 3 * tips[1] + 3 * tips[2] + tips[3]) / 8
    middle = tuple((a + 3 * b + 3 * c + d) / 8 for a, b, c, d in zip(*line, strict=True))
    (x1, y1), (x2, y2) = line[0], line[3]
    ends = ((x1, y1), (x2, y2))
    return ShapeRead(
        "taper",
        (x1 + x2) / 2,
        (y1 + y2) / 2,
        hypot(x2 - x1, y2 - y1),
        thick,
        bulge=tips[0],
        ends=ends,
        middle=(middle[0], middle[1]),
    )


def line(points: list[Spot]) -> ShapeRead:
    """A line of movement; no line where its two sides do not run beside each other, or where it
    has no direction."""
    (sx, sy), (mx, my), (ex, ey) = spots = [_mean(points[a], points[b]) for a, b in SIDES]
    headings = [_heading(points[a], points[b]) for a, b in NEXT]
    other = [_heading(points[15 - a], points[15 - b]) for a, b in NEXT]
    if any(hypot(a - c, b - d) > ASTRAY for (a, b), (c, d) in zip(headings, other, strict=True)):
        return _strange(points)
    into, out = headings[1:3]
    sharp = max(hypot(into[0] + out[0], into[1] + out[1]) / 2, ROUNDING)
    one, two, three = (_apart(points[a], points[b]) for a, b in SIDES)
    x, y = (sx + ex) / 2, (sy + ey) / 2
    return ShapeRead(
        "line",
        x,
        y,
        hypot(ex - sx, ey - sy),
        two * sharp,
        ends=(spots[0], spots[2]),
        middle=(mx, my),
        widths=(one, two * sharp, three),
        headings=(headings[0], headings[1], headings[2], headings[3]),
    )


def _mean(a: Spot, b: Spot) -> Spot:
    return (a[0] + b[0]) / 2, (a[1] + b[1]) / 2


def _apart(a: Spot, b: Spot) -> float:
    return hypot(b[0] - a[0], b[1] - a[1])


def _heading(a: Spot, b: Spot) -> Spot:
    length = _apart(a, b) or 1.0
    return (b[0] - a[0]) / length, (b[1] - a[1]) / length


def _spot(points: list[Spot]) -> ShapeRead:
    x, y = _middle(points)
    radii = [hypot(px - x, py - y) for px, py in points]
    if max(radii) - min(radii) > ROUNDING:
        return _band(points)
    return ShapeRead("spot", x, y, 2 * max(radii))


def _band(points: list[Spot]) -> ShapeRead:
    half = len(points) // 2
    pairs = list(zip(points[:half], reversed(points[half:]), strict=True))
    widths = [hypot(ax - bx, ay - by) for (ax, ay), (bx, by) in pairs]
    width = sum(widths) / half
    if max(widths) - min(widths) > max(ROUNDING / 2, UNEVEN * width):
        return _strange(points)
    line = [((ax + bx) / 2, (ay + by) / 2) for (ax, ay), (bx, by) in pairs]
    return band(line[0], line[half // 2], line[-1], width)


def band(first: Spot, middle: Spot, last: Spot, width: float) -> ShapeRead:
    """A curve of even width, by its ends and its middle."""
    (x1, y1), (mx, my), (x2, y2) = first, middle, last
    angle = _level(degrees(atan2(y2 - y1, x2 - x1)))
    x, y, turn = (x1 + x2) / 2, (y1 + y2) / 2, radians(angle)
    bulge = (mx - x) * sin(turn) - (my - y) * cos(turn)
    ends = (first, last) if x1 <= x2 else (last, first)
    length = hypot(x2 - x1, y2 - y1)
    return ShapeRead("band", x, y, length, width, angle, bulge, ends=ends, middle=middle)
