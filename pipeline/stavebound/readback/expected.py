"""Expected: what the ink must say, by what was written.

In: a pose with what was written in it, and how far signs were moved. Out: limbs
as a reader must find them: where they were written, and as much further as their
signs were moved.

Two feet written each by itself, standing alike and in no position, stand beside
each other: that is first.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass

from stavebound.dance.pose import Free, Joint, Posed, Standing, Subject, joined
from stavebound.dance.state import BOTH
from stavebound.diagnostics import Span
from stavebound.readback.places import across, free_row, free_spot
from stavebound.readback.values import (
    FacingRead,
    FeetRead,
    FootRead,
    FreeRead,
    HandRead,
    HeadRead,
    JointRead,
    LaneRead,
    LimbRead,
    PartRead,
    TravelRead,
    TurnRead,
    WholeRead,
)
from stavebound.score.form import BarForm
from stavebound.score.model import Bend, CentrePart, Depth, Side, Weight
from stavebound.trade.catalogue import Catalogue

BESIDE = "first"
Shift = tuple[float, float]
Shifts = Mapping[Subject, Shift]


@dataclass(frozen=True, slots=True)
class Written:
    """One moment of a line as it was written and placed.

    `bar` counts the bar lines of the line before it. `shifts`: how far the sign of
    a limb was moved, across and up, in spaces. `span` is the frame's own; `texts` are with the
    names of their lanes.
    """

    count: str | None
    posed: Posed
    shifts: tuple[tuple[Subject, Shift], ...]
    bar: int
    span: Span
    texts: tuple[tuple[str, str], ...] = ()
    metre: str | None = None

    def text(self, lane: str) -> str | None:
        return dict(self.texts).get(lane)


@dataclass(frozen=True, slots=True)
class WrittenSpan:
    """A phrasing, or a turn that lasts, from one moment of a line to another, by their numbers;
    None where it comes from the line before, or goes on in the next. `span` is its own."""

    begin: int | None
    end: int | None
    span: Span


@dataclass(frozen=True, slots=True)
class WrittenLine:
    """A line as it was written: `bars` bar lines end its bars, `final` where the last of
    them ends the score. `span` is the score's own. `form` is what stands, for each of the
    bars, where something is danced again, and `spans` the place that asks for it. `going_on`
    is the moment after the line, of which the movements begin on it; `head` is what stands at
    the head of the score; `lasting` are the turns that last."""

    moments: tuple[Written, ...]
    bars: int
    final: bool
    span: Span
    phrasings: tuple[WrittenSpan, ...] = ()
    form: tuple[BarForm, ...] = ()
    spans: tuple[Span, ...] = ()
    going_on: Posed | None = None
    head: HeadRead = HeadRead()
    lasting: tuple[WrittenSpan, ...] = ()


def expected(written: Written, catalogue: Catalogue) -> tuple[LimbRead, ...]:
    shifts = dict(written.shifts)
    return (
        *_feet(written.posed, shifts, catalogue),
        *_joints(written.posed, shifts, catalogue),
        *_parts(written.posed, shifts, catalogue),
        *_hands(written.posed, shifts, catalogue),
        *_whole(written.posed, shifts, catalogue),
        *_lanes(written.posed, catalogue),
    )


def _feet(posed: Posed, shifts: Shifts, catalogue: Catalogue) -> Iterator[LimbRead]:
    feet = {side: posed.pose.feet.of(side) for side in BOTH if posed.origin(Subject("foot", side))}
    right, left = feet.get(Side.RIGHT), feet.get(Side.LEFT)
    if isinstance(right, Standing) and isinstance(left, Standing) and right.beside(left):
        weight, where = _weight(right, left), right.position or BESIDE
        yield FeetRead(where, right.front, right.rise, weight, right.departures)
        return
    for side, foot in feet.items():
        if isinstance(foot, Standing):
            yield FootRead(side, foot.rise, foot.departures)
        elif isinstance(foot, Free):
            x, y = free_spot(foot, catalogue)
            at = _shifted(x, y, Subject("foot", side), side, shifts)
            touches = _touches(foot, catalogue)
            place = foot.place if touches else None
            yield FreeRead(side, foot.direction, place, at, foot.departures)


def _touches(foot: Free, catalogue: Catalogue) -> bool:
    """Whether it touches the floor or the other leg."""
    row = free_row(foot, catalogue) if foot.place else None
    return bool(row and (row.hook or row.touch))


def _weight(right: Standing, left: Standing) -> Weight:
    if right.bears and left.bears:
        return Weight.BOTH
    return Weight.RIGHT if right.bears else Weight.LEFT


def _joints(posed: Posed, shifts: Shifts, catalogue: Catalogue) -> Iterator[JointRead]:
    """Also a knee that is bent by where its foot is: its sign moves with the foot's."""
    for side in BOTH:
        foot, knee = posed.pose.feet.of(side), Subject("knee", side)
        bent = free_row(foot, catalogue).bend if isinstance(foot, Free) and foot.place else None
        usual = (bent["x"], bent["y"]) if bent else None
        if posed.origin(knee):
            yield _joint(knee, side, posed.pose.knees.of(side), usual, shifts, catalogue)
        elif usual and posed.origin(Subject("foot", side)):
            shift = {knee: shifts.get(Subject("foot", side), (0.0, 0.0))}
            yield _joint(knee, side, Joint(Bend.HALF), usual, shift, catalogue)
        elbow = Subject("elbow", side)
        if posed.origin(elbow):
            yield _joint(elbow, side, posed.pose.elbows.of(side), None, shifts, catalogue)


def _joint(
    subject: Subject,
    side: Side,
    joint: Joint,
    usual: Shift | None,
    shifts: Shifts,
    catalogue: Catalogue,
) -> JointRead:
    row, scale = catalogue.feet.joint[subject.kind][joint.bend], catalogue.ruling.across.hand
    x, y = usual or (row.x, row.y or 0.0)
    if joint.out is not None:
        x = across(joint.out, scale)
    if joint.height is not None:
        y = joint.height
    depth = Depth.LEVEL if joint.bend is Bend.NONE else joint.depth
    return JointRead(subject.kind, side, joint.bend, depth, _shifted(x, y, subject, side, shifts))


def _parts(posed: Posed, shifts: Shifts, catalogue: Catalogue) -> Iterator[PartRead]:
    heights = {row.name: row.y for row in catalogue.centre.part}
    for part in CentrePart:
        if posed.origin(Subject(part)):
            dx, dy = shifts.get(Subject(part), (0.0, 0.0))
            yield PartRead(part, posed.pose.attitude(part), (dx, heights[part] + dy))


def _whole(posed: Posed, shifts: Shifts, catalogue: Catalogue) -> Iterator[WholeRead]:
    for row in catalogue.lanes.on_stave:
        if posed.origin(Subject(row.name)):
            dx, dy = shifts.get(Subject(row.name), (0.0, 0.0))
            yield WholeRead(row.name, (dx, row.y + dy))


def _lanes(posed: Posed, catalogue: Catalogue) -> Iterator[LimbRead]:
    """What stands below the stave and above the counts, in places of its own."""
    for row in catalogue.lanes.off_stave:
        if posed.origin(Subject(row.name)):
            yield LaneRead(row.name)
    if posed.origin(Subject("facing")):
        yield FacingRead(posed.pose.facing)
    if turn := posed.turn:
        yield TurnRead(turn.to, turn.by, turn.on, spotting=turn.spotting)
    if travel := posed.travel:
        yield TravelRead(travel.to, travel.of, travel.path, travel.steps)


def _hands(posed: Posed, shifts: Shifts, catalogue: Catalogue) -> Iterator[HandRead]:
    slope, hands = catalogue.ruling.across.hand.slope, posed.pose.hands
    together = joined(hands.right, hands.left)
    for side in BOTH:
        subject, hand = Subject("hand", side), posed.pose.hands.of(side)
        if hand and posed.origin(subject):
            place = (0.0 if together else hand.out * slope), hand.height
            out, height = _shifted(*place, subject, side, shifts)
            yield HandRead(side, hand.depth, height, out / slope, hand.departures)


def _shifted(
    x: float, y: float, subject: Subject, side: Side, shifts: Shifts
) -> tuple[float, float]:
    """A place out from the axis and up, and as much further as the sign was moved."""
    dx, dy = shifts.get(subject, (0.0, 0.0))
    return x + side.sign * dx, y + dy
