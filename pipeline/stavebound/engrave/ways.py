"""Ways: what the lines of movement between frames join.

In: how limbs come to their places. Out: the two ends of each line (`Way`), measured from two
axes, and what it passes or in what form it goes. `candidates` has the courses that it may take,
`choosing` the one that is drawn.

             via
           ╭──●──╮
    ▬ ─────╯     │            over the stave's own ground: the way of a limb,
    ╵            ╰── ▬        from its own sign to the sign of arrival
    ═══════════════════
      ──────────╯             what the weight does, under the feet: see `weight`
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field, replace
from math import hypot
from typing import NamedTuple

from stavebound.dance.pose import (
    FootPose,
    Free,
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
from stavebound.drawing.courses import Spot, Widths
from stavebound.drawing.figures import Figure
from stavebound.engrave.clear import Cleared
from stavebound.engrave.gather import (
    DEPTH_SIGN,
    FREE_SIGN,
    REMEMBERED,
    Ink,
    gather,
    place_of,
    standing_rows,
)
from stavebound.engrave.outline import sign_box
from stavebound.engrave.weight import Part
from stavebound.geometry import Box
from stavebound.remembering import remembered
from stavebound.score.model import Bow, Depth, Origin, PathForm, Side, unwritten
from stavebound.trade.catalogue import Catalogue
from stavebound.trade.movement import WayLine
from stavebound.trade.naming import hand_rows
from stavebound.trade.scale import across

SIGNS = frozenset((*DEPTH_SIGN.values(), *FREE_SIGN.values(), "level long"))
Signs = tuple[Cleared, ...]
LIMBS = tuple([Subject(kind, side) for kind in ("hand", "foot") for side in BOTH])


class Limb(NamedTuple):
    """Where a line begins or ends: the middle of its limb's sign, and how far its ink reaches
    to either side and up and down; `held`: the limb stands there, and no sign does. `hook` is how
    far the hook of a pointed foot reaches out from the middle, to the left below nought, and
    `high` how far up and down. `apart`: a line may begin or end over it or under it too."""

    x: float
    y: float
    across: float = 0.0
    up: float = 0.0
    held: bool = False
    hook: float = 0.0
    high: float = 0.0
    apart: bool = False

    def reaches(self, side: float) -> tuple[float, float]:
        """How far its ink reaches to the right, or below nought to the left, and up and down."""
        if side * self.hook > 0:
            return abs(self.hook), max(self.up, self.high)
        return self.across, self.up


@dataclass(frozen=True, slots=True)
class Way:
    """A line before its axes are placed. `start` is measured from the axis before, `end`
    from its own, `via` from the middle between both. `trim` is how far from its foot a line of
    weight begins; `breaks`: the height at which it leaves a line of the score and comes into the
    next, where it goes over a break; `part`: what of it is drawn. `lanes` are those that a line
    of weight may run in, from the floor down; `others` are the other limbs at its start and at its
    end, where they have signs; `depths`: the shares of the usual sag of one that goes over or
    under; `beats` is the foot in front at each beat of a spring, `air` what else it has."""

    kind: str
    subject: Subject
    origin: Origin = field(compare=False, repr=False)
    start: Limb
    end: Limb
    via: Spot | None = None
    path: PathForm | None = None
    bow: Bow | None = None
    trim: float = 0.0
    breaks: float = 0.0
    part: Part = Part.WHOLE
    lanes: tuple[int, ...] = (0, 1)
    others: tuple[tuple[Limb | None, Limb | None], ...] = ()
    depths: tuple[float, ...] = ()
    beats: tuple[Side, ...] = ()
    air: tuple[str, ...] = ()

    @property
    def straight(self) -> bool:
        """Whether a limb goes from place to place without a form or a place on its way."""
        return self.kind == "way" and not self.via and self.path in (None, PathForm.STRAIGHT)


@dataclass(frozen=True, slots=True)
class PlacedWay:
    """A line of movement at its place, and behind its own figure those of its `marks`: the bar
    with which it begins where its limb is held, and the signs of its bow or its beats; `marks` are
    the names of those signs, `costs` tells what the line costs, by name."""

    kind: str
    subject: Subject
    origin: Origin = field(compare=False, repr=False)
    figures: tuple[Figure, ...]
    box: Box
    costs: tuple[tuple[str, float], ...]
    along: tuple[Spot, ...] = ()
    widths: Widths = (0.0, 0.0, 0.0)
    marks: tuple[str, ...] = ()

    @property
    def bowed(self) -> bool:
        """Whether the mark of a bow stands beside it."""
        return self.kind == "way" and bool(self.marks)


def ways(
    posed: Posed, signs: Signs, catalogue: Catalogue, before: Signs | None = None
) -> Iterator[Way]:
    """The lines that a moment's moves ask for; none of a limb of which nothing is known.
    `before` are the signs of the frame from which they come, None where those are unknown."""
    weight: list[Way] = []
    for move in posed.moves:
        if move.kind in catalogue.moves.transfer:
            weight += _transfer(move, posed, signs, catalogue)
        else:
            yield from _way(move, posed, signs, before or (), catalogue)
    yield from _nested(weight)


def _nested(weight: Sequence[Way]) -> Iterator[Way]:
    """Of two lines of weight that come to one frame, the one that turns up first is over the
    other, so that neither turns up through it; one alone runs in either lane."""
    ordered = sorted(weight, key=lambda way: way.end.x)
    for lane, way in enumerate(ordered):
        yield replace(way, lanes=(lane,)) if len(ordered) > 1 else way


def _transfer(move: Move, posed: Posed, signs: Signs, catalogue: Catalogue) -> Iterator[Way]:
    row, side = catalogue.moves.transfer[move.kind], move.subject.side
    start, end, bottom = 0.0, 0.0, row.begin
    lanes: tuple[int, ...] = 0, 1
    if side:
        before = limb_ink(move.subject, posed.before, catalogue)
        after = _placed(move.subject, posed.pose, signs, catalogue)
        if before is None or after is None:
            return
        foot = _as_drawn(move.subject, posed.pose, signs).feet.of(side)
        start, end = before.x, after.x + side.sign * _off(foot, side, catalogue)
        bottom = _under(end, signs, catalogue) - row.widths[2] / 2
        lanes = (1,) if bottom - row.lane < row.hook else lanes
    yield Way(
        move.kind,
        move.subject,
        move.origin,
        Limb(start, row.begin),
        Limb(end, bottom),
        trim=catalogue.moves.weight.trim,
        breaks=row.lane,
        lanes=lanes,
        beats=move.beats,
        air=move.air,
    )


def _off(foot: FootPose | None, side: Side, catalogue: Catalogue) -> float:
    """How far out of the middle of its sign a foot carries weight: of a dash that lies before
    another foot, under the half on its own side."""
    if not isinstance(foot, Standing) or not foot.position:
        return 0.0
    rows = {own: row for row, own in standing_rows(foot, catalogue)}
    return rows[side].dot - rows[side].x


def _under(x: float, signs: Signs, catalogue: Catalogue) -> float:
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
    move: Move, posed: Posed, signs: Signs, before: Signs, catalogue: Catalogue
) -> Iterator[Way]:
    table, side = catalogue.moves.way, move.subject.side
    held = limb_ink(move.subject, posed.before, catalogue)
    ideal = limb_ink(move.subject, posed.pose, catalogue)
    ink = _placed(move.subject, posed.pose, signs, catalogue)
    if held is None or ink is None or ideal is None or side is None:
        return
    own = _placed(move.subject, posed.before, before, catalogue)
    start = Limb(held.x, held.y, held=True)
    if own:
        start = _limb(own, move.subject, posed.before, catalogue)
    via = via_ink(move, posed.pose, catalogue)
    lower = table.low["under"] if via and move.subject.kind == "foot" and via.y < 0 else 0.0
    sag = table.sag[move.path] if move.path else 0.0
    yield Way(
        move.kind,
        move.subject,
        move.origin,
        start,
        _limb(ink, move.subject, posed.pose, catalogue),
        (via.x, via.y - lower) if via else None,
        move.path,
        move.bow,
        breaks=_breaking((held.y + (via or ideal).y) / 2 + sag, side, table),
        others=tuple(_others(move.subject, posed, signs, before, catalogue)),
        depths=_depths(held, ideal, move, sag, catalogue) if via is None and move.path else (),
    )


def _others(
    subject: Subject, posed: Posed, signs: Signs, before: Signs, catalogue: Catalogue
) -> Iterator[tuple[Limb | None, Limb | None]]:
    """Where the signs of every other limb stand at the start of a line and at its end."""
    for other in LIMBS:
        if other != subject:
            start = _seen(other, posed.before, before, catalogue)
            end = _seen(other, posed.pose, signs, catalogue)
            if start or end:
                yield start, end


def _seen(subject: Subject, pose: Pose, signs: Signs, catalogue: Catalogue) -> Limb | None:
    if not any(subject in cleared.cluster.subjects for cleared in signs):
        return None
    ink = _placed(subject, pose, signs, catalogue)
    return _limb(ink, subject, pose, catalogue) if ink else None


def _depths(
    start: Ink, end: Ink, move: Move, sag: float, catalogue: Catalogue
) -> tuple[float, ...]:
    """Those that keep its middle off the places that a hand would pass with the same mark, or
    with none; all where none does."""
    table, side = catalogue.moves.way, move.subject.side
    if side is None or move.subject.kind != "hand":
        return table.depths
    x, y = side.sign * (start.x + end.x) / 2, (start.y + end.y) / 2
    places = [
        (across(row.out, catalogue.ruling.across.hand), row.height)
        for row in hand_rows(catalogue, move.bow or Depth.LEVEL)
    ]
    kept = (
        depth
        for depth in table.depths
        if all(hypot(x - one, y + depth * sag - up) >= table.off for one, up in places)
    )
    return tuple(kept) or table.depths


def _breaking(y: float, side: Side, table: WayLine) -> float:
    """The height at which a way goes over a break, so low that it has room under the counts to
    go over its ends."""
    return min(y, table.edge["most"]) + side.sign * table.edge["apart"]


def _limb(ink: Ink, subject: Subject, pose: Pose, catalogue: Catalogue) -> Limb:
    box = sign_box(catalogue.sign(ink.sign), ink.mirrored)
    hook = _hook(ink, subject, pose, catalogue)
    high = sign_box(catalogue.sign("hook")).top
    apart = subject.kind == "hand" or _stands(subject, pose)
    return Limb(ink.x, ink.y, box.width / 2, box.height / 2, hook=hook, high=high, apart=apart)


def _stands(subject: Subject, pose: Pose) -> bool:
    side = subject.side
    return side is not None and isinstance(pose.feet.of(side), Standing)


def _hook(ink: Ink, subject: Subject, pose: Pose, catalogue: Catalogue) -> float:
    """How far a foot's hook reaches out; nought where it has none."""
    side = subject.side
    foot = pose.feet.of(side) if side and subject.kind == "foot" else None
    if side is None or not isinstance(foot, Free) or not place_of(foot, catalogue).hook:
        return 0.0
    return side.sign * (catalogue.feet.hook[ink.sign] + sign_box(catalogue.sign("hook")).right)


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


def _placed(subject: Subject, pose: Pose, signs: Signs, catalogue: Catalogue) -> Ink | None:
    """Where the limb's sign stands; None where it has none."""
    own = next((cleared for cleared in signs if subject in cleared.cluster.subjects), None)
    ideal = limb_ink(subject, _as_drawn(subject, pose, signs), catalogue)
    if ideal is None or own is None:
        return None
    if len(own.cluster.subjects) > 1 and subject.kind == "hand":
        return _nearest([ink for ink in own.cluster.inks if ink.sign in SIGNS], subject)
    return ideal.moved(own.dx, own.dy)


def _as_drawn(subject: Subject, pose: Pose, signs: Signs) -> Pose:
    """A foot whose sign stands by itself is drawn as one in no position."""
    side, feet = subject.side, pose.feet
    foot = feet.of(side) if side and subject.kind == "foot" else None
    alone = any(cleared.cluster.subjects == (subject,) for cleared in signs)
    if side is None or not isinstance(foot, Standing) or not alone:
        return pose
    return pose._replace(feet=feet.changed(side, foot._replace(position=None, front=None)))


def _nearest(inks: list[Ink], subject: Subject) -> Ink:
    """Of two signs that touch, the one on the limb's own side."""
    way = subject.side.sign if subject.side else 1
    return max(inks, key=lambda ink: way * ink.x)
