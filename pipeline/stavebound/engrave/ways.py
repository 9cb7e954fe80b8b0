"""Ways: lines of movement between frames.

In: how limbs come to their places. Out: the ideal line of each (`Way`), measured
from two axes, and, once the axes have their places, the line that keeps off
signs and other lines best (`PlacedWay`).

             via
           ╭──●──╮
    ▬      │     │            over the stave's own ground: the way of a limb,
    ╵──────╯     ╰──▬         from where it was to the sign of arrival
    ═══════════════════
      ──────────╯             what the weight does, under the feet: see `weight`
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass, field
from itertools import pairwise, product
from math import hypot

from stavebound.dance.pose import (
    FootPose,
    HandPose,
    Mention,
    Move,
    Pose,
    Posed,
    Sided,
    Standing,
    Subject,
)
from stavebound.dance.state import BOTH
from stavebound.drawing.courses import Widths, ribbon
from stavebound.drawing.courses import along as along_course
from stavebound.drawing.figures import Figure, curve, stroke
from stavebound.engrave.clear import Cleared
from stavebound.engrave.gather import DEPTH_SIGN, FREE_SIGN, REMEMBERED, Ink, gather
from stavebound.engrave.outline import outline
from stavebound.engrave.weight import Part, weight_course
from stavebound.geometry import Box, bounds
from stavebound.remembering import remembered
from stavebound.score.model import Bow, Origin, Side, unwritten
from stavebound.trade.catalogue import Catalogue
from stavebound.trade.movement import Moves

Spot = tuple[float, float]

SIGNS = frozenset((*DEPTH_SIGN.values(), *FREE_SIGN.values(), "level long"))
# What a bowing line has beside its middle, as a bent part of the body has beside its bow.
BOW_SIGN = {Bow.FRONT: "bow front", Bow.BEHIND: "bow behind"}
SAMPLES = 12
# What start, control and end of a quadratic curve weigh at each of its samples.
SAMPLE_WEIGHTS = tuple(
    ((1 - t) * (1 - t), 2 * (1 - t) * t, t * t)
    for t in (step / SAMPLES for step in range(SAMPLES + 1))
)
# Lines that part by less are one.
ROUNDING = 1e-9


@dataclass(frozen=True, slots=True)
class Way:
    """A line before its axes are placed. `start` is measured from the axis before, `end`
    from its own; `via` from the middle between both. `offs`: how far off `start` and
    `end` the line may begin and end, up or down; `trim`: how far between them;
    `within`: how far left and right its middle may be; `breaks`: the heights at which it
    leaves a line of the score and comes into the next, where it goes over a break; `part`:
    what of it is drawn."""

    kind: str
    subject: Subject
    origin: Origin = field(compare=False, repr=False)
    start: Spot
    end: Spot
    via: Spot | None = None
    sag: float = 0.0
    offs: tuple[tuple[float, ...], tuple[float, ...]] = ((0.0,), (0.0,))
    trim: float = 0.0
    within: Spot = (float("-inf"), float("inf"))
    bow: Bow | None = None
    breaks: Spot = (0.0, 0.0)
    part: Part = Part.WHOLE


@dataclass(frozen=True, slots=True)
class PlacedWay:
    """A line of movement at its place; `mark` is the sign of its bow, `costs` tells what
    it costs, by name."""

    kind: str
    subject: Subject
    origin: Origin = field(compare=False, repr=False)
    figures: tuple[Figure, ...]
    box: Box
    costs: tuple[tuple[str, float], ...]
    along: tuple[Spot, ...] = ()
    widths: Widths = (0.0, 0.0, 0.0)
    mark: str | None = None


# ---------------------------------------------------------------- before axes have places


def ways(posed: Posed, signs: tuple[Cleared, ...], catalogue: Catalogue) -> Iterator[Way]:
    """The lines that a moment's moves ask for; none of a limb of which nothing is known."""
    for move in posed.moves:
        if move.kind in catalogue.moves.transfer:
            yield from _transfer(move, posed, signs, catalogue)
        else:
            yield from _way(move, posed, signs, catalogue)


def _transfer(
    move: Move, posed: Posed, signs: tuple[Cleared, ...], catalogue: Catalogue
) -> Iterator[Way]:
    row, side = catalogue.moves.transfer[move.kind], move.subject.side
    start, end, bottom = 0.0, 0.0, row.begin
    if side:
        before = limb_ink(move.subject, posed.before, catalogue)
        after = _placed(move.subject, posed, signs, catalogue)
        if before is None or after is None:
            return
        start, end = before.x, after[0].x
        bottom = _under(end, signs, catalogue) - row.widths[2] / 2
    yield Way(
        move.kind,
        move.subject,
        move.origin,
        (start, row.begin),
        (end, bottom),
        trim=catalogue.moves.weight.trim,
        breaks=(row.lane, row.lane),
    )


def _under(x: float, signs: tuple[Cleared, ...], catalogue: Catalogue) -> float:
    """The height that is clear of all ink of feet over x."""
    row = catalogue.moves.weight
    lowest = [
        box.bottom - row.clear
        for cleared in signs
        if cleared.cluster.subjects[0].kind == "foot"
        for box in cleared.boxes
        if box.left < x + row.beside and x - row.beside < box.right
    ]
    return min([row.highest, *lowest])


def _way(
    move: Move, posed: Posed, signs: tuple[Cleared, ...], catalogue: Catalogue
) -> Iterator[Way]:
    table = catalogue.moves.way
    start, end, ideal = (
        limb_ink(move.subject, posed.before, catalogue),
        _placed(move.subject, posed, signs, catalogue),
        limb_ink(move.subject, posed.pose, catalogue),
    )
    if start is None or end is None or ideal is None:
        return
    ink, tailed = end
    offs = _offs(start, False, table.off), _offs(ink, tailed, table.off)
    via = via_ink(move, posed.pose, catalogue)
    sag = table.sag[move.path] if move.path else 0.0
    halfway = (start.y + (via or ideal).y) / 2 + sag
    yield Way(
        move.kind,
        move.subject,
        move.origin,
        (start.x, start.y),
        (ink.x, ink.y),
        (via.x, via.y) if via else None,
        sag,
        offs,
        bow=move.bow,
        breaks=(halfway, halfway),
    )


def _offs(ink: Ink, tailed: bool, off: Mapping[str, float]) -> tuple[float, ...]:
    step = off.get(ink.sign, off["level"])
    return (step,) if tailed else (step, -step)


def limb_ink(subject: Subject, pose: Pose, catalogue: Catalogue) -> Ink | None:
    """The sign of a hand or a foot where nothing has moved it; None where it is unknown."""
    subjects = Pose(hands=pose.hands) if subject.kind == "hand" else Pose(feet=pose.feet)
    return _limb_ink(subject, subjects, catalogue)


@remembered(REMEMBERED)
def _limb_ink(subject: Subject, pose: Pose, catalogue: Catalogue) -> Ink | None:
    if subject.side is None:
        return None
    foot = pose.feet.of(subject.side)
    feet = subject.kind == "foot" and isinstance(foot, Standing) and foot.position
    subjects = tuple(Subject("foot", side) for side in BOTH) if feet else (subject,)
    alone = Posed(pose, tuple(Mention(each, unwritten()) for each in subjects))
    inks = [ink for cluster in gather(alone, catalogue) for ink in cluster.inks[: 2 if feet else 1]]
    return _of_side(inks, subject.side, pose, subject.kind)


def _of_side(inks: list[Ink], side: Side, pose: Pose, kind: str) -> Ink | None:
    """Of two signs the one of that side; in a crossed position the front foot's is first."""
    if len(inks) < 2:
        return inks[0] if inks else None
    foot = pose.feet.of(side)
    front = foot.front if kind == "foot" and isinstance(foot, Standing) else None
    return inks[0] if (front or Side.RIGHT) is side else inks[1]


def via_ink(move: Move, pose: Pose, catalogue: Catalogue) -> Ink | None:
    """The place through which a limb passes."""
    side = move.subject.side
    if side is None or move.via is None:
        return None
    if isinstance(move.via, HandPose):
        return limb_ink(move.subject, Pose(hands=_both(move.via)), catalogue)
    return limb_ink(move.subject, Pose(feet=_only(side, move.via)), catalogue)


def _both(hand: HandPose) -> Sided[HandPose | None]:
    return Sided(hand, hand)


def _only(side: Side, foot: FootPose) -> Sided[FootPose | None]:
    nothing: Sided[FootPose | None] = Sided(None, None)
    return nothing.changed(side, foot)


def _placed(
    subject: Subject, posed: Posed, signs: tuple[Cleared, ...], catalogue: Catalogue
) -> tuple[Ink, bool] | None:
    """Where the limb's sign stands, and whether something hangs from it."""
    ideal = limb_ink(subject, posed.pose, catalogue)
    own = next((cleared for cleared in signs if subject in cleared.cluster.subjects), None)
    if ideal is None or own is None:
        return None
    tailed = any(ink.sign in _hanging(catalogue) for ink in own.cluster.inks)
    if len(own.cluster.subjects) > 1 and subject.kind == "hand":
        found = [ink for ink in own.cluster.inks if ink.sign in SIGNS]
        return _nearest(found, subject), tailed
    return ideal.moved(own.dx, own.dy), tailed


@remembered(REMEMBERED)
def _hanging(catalogue: Catalogue) -> frozenset[str]:
    """The signs that hang under a limb's own."""
    under = (row.sign for row in catalogue.departures.value if row.place == "under")
    return frozenset(("tail", "weight", *under))


def _nearest(inks: list[Ink], subject: Subject) -> Ink:
    """Of two signs that touch, the one on the limb's own side."""
    way = subject.side.sign if subject.side else 1
    return max(inks, key=lambda ink: way * ink.x)


# ---------------------------------------------------------------- at their places


def place_way(
    way: Way,
    axes: tuple[float, float],
    boxes: Iterable[Box],
    others: Iterable[PlacedWay],
    catalogue: Catalogue,
) -> PlacedWay:
    """The cheapest of the ways that the line may take between its axes."""
    if way.kind in catalogue.moves.transfer:
        return _place_weight(way, axes, catalogue)
    boxes, others = tuple(boxes), tuple(others)
    found = []
    for line in _candidates(way, axes):
        along = _along(line)
        found.append((_costs(along, boxes, others, catalogue), line, along))
    costs, line, along = min(found, key=lambda each: sum([cost for _, cost in each[0]]))
    figures = (_figure(line, catalogue.moves), *_bow_mark(way, line[1], catalogue))
    box = bounds(point for each in figures for point in each.points)
    mark = BOW_SIGN[way.bow] if way.bow else None
    widths = (catalogue.moves.width,) * 3
    return PlacedWay(way.kind, way.subject, way.origin, figures, box, costs, along, widths, mark)


def _place_weight(way: Way, axes: tuple[float, float], catalogue: Catalogue) -> PlacedWay:
    row = catalogue.moves.transfer[way.kind]
    first, last = axes[0] + way.start[0], axes[1] + way.end[0]
    trim = way.trim if first < last else -way.trim
    last -= trim if way.subject.side is None and way.part is not Part.LEAVING else 0.0
    start = first + (trim if way.part is not Part.COMING else 0.0)
    course = weight_course(way.kind, row, start, (last, way.end[1]), way.part)
    figure = ribbon(course, row.widths)
    along = along_course(course)
    costs = _costs(along, (), (), catalogue)
    box = bounds(figure.points)
    return PlacedWay(way.kind, way.subject, way.origin, (figure,), box, costs, along, row.widths)


def _candidates(way: Way, axes: tuple[float, float]) -> Iterator[tuple[Spot, Spot, Spot]]:
    """Start, middle and end."""
    middle = (axes[0] + axes[1]) / 2
    first, last = axes[0] + way.start[0], axes[1] + way.end[0]
    trim = way.trim if first < last else -way.trim
    for off, to in product(*way.offs):
        start = first + trim, way.start[1] + off
        end = last - trim, way.end[1] + to
        if way.via:
            x = min(max(middle + way.via[0], way.within[0]), way.within[1])
            yield start, (x, way.via[1]), end
        else:
            x, y = (start[0] + end[0]) / 2, (start[1] + end[1]) / 2
            yield start, (x, y + way.sag), end


def _along(line: tuple[Spot, Spot, Spot]) -> tuple[Spot, ...]:
    """Spots of the line, evenly from its start to its end."""
    (x1, y1), (x2, y2), (x3, y3) = line[0], _control(line), line[2]
    return tuple(
        [(a * x1 + b * x2 + c * x3, a * y1 + b * y2 + c * y3) for a, b, c in SAMPLE_WEIGHTS]
    )


def _control(line: tuple[Spot, Spot, Spot]) -> Spot:
    """The control of the curve of which the middle is that of the line."""
    (x1, y1), (mx, my), (x2, y2) = line
    return 2 * mx - (x1 + x2) / 2, 2 * my - (y1 + y2) / 2


def _figure(line: tuple[Spot, Spot, Spot], table: Moves) -> Figure:
    """A curve; a stroke where start, middle and end lie in one line."""
    (x1, y1), (mx, my), (x2, y2) = line
    if hypot(mx - (x1 + x2) / 2, my - (y1 + y2) / 2) < ROUNDING:
        return stroke(x1, y1, x2, y2, table.width)
    cx, cy = _control(line)
    bent = (x1 + (cx - x1) * 2 / 3, y1 + (cy - y1) * 2 / 3, x2 + (cx - x2) * 2 / 3)
    return curve(x1, y1, *bent, y2 + (cy - y2) * 2 / 3, x2, y2, table.width)


def _bow_mark(way: Way, middle: Spot, catalogue: Catalogue) -> Iterator[Figure]:
    if way.bow:
        y = middle[1] + catalogue.moves.way.bow["rise"]
        for figure in outline(catalogue.sign(BOW_SIGN[way.bow])):
            yield figure.moved(middle[0], y)


def _costs(
    along: tuple[Spot, ...],
    boxes: tuple[Box, ...],
    others: tuple[PlacedWay, ...],
    catalogue: Catalogue,
) -> tuple[tuple[str, float], ...]:
    table, area = catalogue.moves.way, _area(along)
    beside = table.beside["within"]
    reach = area.grown(2 * beside)
    near = [spot for other in others if other.box.touches(reach) for spot in other.along]
    pieces = [*pairwise(along)]
    crossed = [box for box in boxes if box.touches(area)]
    counted = {
        "sign": sum([_inked(a, b, crossed) for a, b in pieces]) if crossed else 0,
        "way": sum([_runs_along(spot, near, beside) for spot in along]) if near else 0,
        "count": sum([y > table.counts["from"] for _, y in along]),
        "length": sum([hypot(x2 - x1, y2 - y1) for (x1, y1), (x2, y2) in pieces]),
    }
    return tuple([(name, table.cost[name].value * number) for name, number in counted.items()])


def _area(along: tuple[Spot, ...]) -> Box:
    """The box round all spots of a line."""
    xs, ys = [x for x, _ in along], [y for _, y in along]
    return Box(min(xs), min(ys), max(xs), max(ys))


def _inked(a: Spot, b: Spot, boxes: list[Box]) -> bool:
    """Whether the piece from a to b comes into one of the boxes, as far as its own box tells:
    a tail is thinner than the pieces are long."""
    left, right = (a[0], b[0]) if a[0] < b[0] else (b[0], a[0])
    bottom, top = (a[1], b[1]) if a[1] < b[1] else (b[1], a[1])
    for box in boxes:
        if left <= box.right and box.left <= right and bottom <= box.top and box.bottom <= top:
            return True
    return False


def _runs_along(spot: Spot, others: list[Spot], within: float) -> bool:
    return any(abs(x - spot[0]) < within and abs(y - spot[1]) < within for x, y in others)
