"""State: from "what changes" to whole poses.

In: a score's changes in the order of time, the catalogue and the school whose
names are read. Out: a `Posed` for the start and for every frame. What is not
mentioned is held. A change that cannot be understood (a name the school does
not have, a hand without a place) changes nothing here; `check` reports it.
"""

from __future__ import annotations

from collections.abc import Iterable
from typing import TypeVar

from stavebound.dance.doubt import KNOWN, doubts
from stavebound.dance.moves import moves
from stavebound.dance.pose import BOTH as BOTH
from stavebound.dance.pose import (
    ELBOWS,
    FEET,
    HANDS,
    KNEES,
    FootPose,
    Free,
    HandPose,
    Joint,
    Mention,
    Move,
    Pose,
    Posed,
    Sided,
    Standing,
    Step,
    Subject,
)
from stavebound.dance.unwritten import hand_forward, joint_place, leg_out
from stavebound.remembering import remembered
from stavebound.score.attitude import STRAIGHT, Attitude
from stavebound.score.departures import Departures, departures, laid_over
from stavebound.score.lanes import (
    FacingChange,
    LaneChange,
    TravelChange,
    TurnChange,
    facing_written,
    turned,
)
from stavebound.score.model import (
    ArmsChange,
    Bend,
    CentreChange,
    CentrePart,
    Change,
    Depth,
    ElbowChange,
    FeetChange,
    FootChange,
    HandChange,
    Height,
    KneelChange,
    KneesChange,
    Return,
    Rise,
    Side,
    Weight,
    WholeChange,
)
from stavebound.trade.catalogue import Catalogue
from stavebound.trade.naming import arms_shape, contact_row, hand_row, hand_shape, kneeling_name
from stavebound.trade.scale import line_height
from stavebound.trade.tables import HandShape, School

# The place of a hand that is no part of the body.
BARRE = "barre"
BOTH_HANDS, BOTH_FEET = tuple(HANDS.values()), tuple(FEET.values())
# What is applied last of a moment.
LAST = (HandChange, KneesChange)
# How many written places are remembered with what they mean; a book has some dozens.
PLACES = 1024

T = TypeVar("T")


def fold(
    moments: Iterable[tuple[Change, ...]], catalogue: Catalogue, school: School
) -> tuple[Posed, ...]:
    """The pose at each of the moments, the first of them the start."""
    poses: list[Posed] = []
    pose, doubtful = Pose(), KNOWN
    for changes in moments:
        if not poses:
            pose = begun(changes, school)
        before = pose
        steps: list[Step] = []
        moved: list[Move] = []
        written: list[Mention] = []
        for change in in_turn(changes):
            doubted, doubtful = doubtful, doubts(change, doubtful, catalogue, school)
            held, pose = pose, apply(change, pose, catalogue, school)
            steps.append(Step(change, held, pose, doubted, doubtful))
            written += [Mention(subject, change.origin) for subject in subjects(change, pose)]
        for change in changes:
            moved += moves(change, before, pose, catalogue, school)
        turn, travel = _first(TurnChange, changes), _first(TravelChange, changes)
        posed = Posed(pose, tuple(written), tuple(moved), before, turn, travel, tuple(steps))
        poses.append(posed)
    return tuple(poses)


def _first(kind: type[T], changes: Iterable[object]) -> T | None:
    for change in changes:
        if isinstance(change, kind):
            return change
    return None


def begun(start: Iterable[Change], school: School) -> Pose:
    """The pose before the start's own changes: it faces where the start says, as later
    only turns change where the dancer faces."""
    return Pose(facing=facing_written(start, school))


def subjects(change: Change, pose: Pose) -> tuple[Subject, ...]:
    """The limbs that a change writes; `feet` without a position writes those that stand."""
    match change:
        case ArmsChange() | KneelChange():
            return BOTH_HANDS if isinstance(change, ArmsChange) else BOTH_FEET
        case HandChange():
            return (HANDS[change.side],)
        case FeetChange():
            return tuple([FEET[side] for side in BOTH if isinstance(pose.feet.of(side), Standing)])
        case FootChange():
            return (FEET[change.side],)
        case ElbowChange():
            return (ELBOWS[change.side],)
        case KneesChange():
            return tuple([KNEES[side] for side in BOTH if change.side in (None, side)])
        case CentreChange() | Return():
            return (Subject(change.part),)
        case WholeChange():
            return (Subject(change.name),)
        case FacingChange() | TurnChange() | TravelChange():
            return (_of_a_lane(change),)


def _of_a_lane(change: LaneChange) -> Subject:
    match change:
        case FacingChange():
            return Subject("facing")
        case TurnChange():
            return Subject("turn")
        case TravelChange():
            return Subject("travel")


def in_turn(changes: Iterable[Change]) -> tuple[Change, ...]:
    """The changes of a moment as they are applied: hands and knees last, since what is not
    written of them depends on elbows and feet."""
    ordered = tuple(changes)
    last = [change for change in ordered if isinstance(change, LAST)]
    if not last:
        return ordered
    return (*[change for change in ordered if not isinstance(change, LAST)], *last)


def apply(change: Change, pose: Pose, catalogue: Catalogue, school: School) -> Pose:
    """The pose after one change."""
    hands, feet, knees, elbows, head, body, hips, facing = pose
    match change:
        case ArmsChange():
            named = _arms(change.name, change.lead, change.joined, catalogue, school)
            hands = named or hands
        case HandChange():
            side = change.side
            bent = elbows.of(side).bend is not Bend.NONE
            hand = hand_pose(change, hands.of(side), bent, catalogue, school)
            hands = hands.changed(side, hand)
        case FeetChange():
            feet = _feet(change, pose, catalogue)
        case FootChange():
            feet = _foot(change, pose, catalogue)
        case KneelChange():
            feet, knees = _kneeling(change), Pose().knees
        case KneesChange():
            knees = _knees(change, knees, feet, catalogue)
        case ElbowChange():
            elbow = joint_place("elbow", _joint(change, catalogue), None, catalogue)
            elbows = elbows.changed(change.side, elbow)
        case CentreChange() | Return():
            return _held(pose, change.part, _attitude(change))
        case TurnChange():
            facing = turned(facing, (change,))
    return Pose(hands, feet, knees, elbows, head, body, hips, facing)


def _attitude(change: CentreChange | Return) -> Attitude:
    return STRAIGHT if isinstance(change, Return) else change.attitude


def _held(pose: Pose, part: CentrePart, attitude: Attitude) -> Pose:
    match part:
        case CentrePart.HEAD:
            return pose._replace(head=attitude)
        case CentrePart.BODY:
            return pose._replace(body=attitude)
        case CentrePart.HIPS:
            return pose._replace(hips=attitude)


def _knees(
    change: KneesChange, knees: Sided[Joint], feet: Sided[FootPose | None], catalogue: Catalogue
) -> Sided[Joint]:
    joint = _joint(change, catalogue)
    for side in BOTH:
        if change.side in (None, side):
            knees = knees.changed(side, joint_place("knee", joint, feet.of(side), catalogue))
    return knees


def _joint(change: KneesChange | ElbowChange, catalogue: Catalogue) -> Joint:
    return Joint(
        bend=change.bend,
        depth=change.depth or Depth.LEVEL,
        height=height_value(change.height, catalogue) if change.height else None,
        out=float(change.out) if change.out is not None else None,
    )


@remembered(PLACES)
def height_value(height: Height, catalogue: Catalogue) -> float:
    """A written height in spaces from the floor line."""
    return line_height(catalogue.ruling, height.line) + float(height.offset)


def hand_pose(
    change: HandChange, held: HandPose | None, bent: bool, catalogue: Catalogue, school: School
) -> HandPose | None:
    """Where the hand is then: as written, else as the name says, else as it is held; `bent`
    is its elbow."""
    shape = hand_shape(catalogue, school, change.name) if change.name else None
    contact = contact_row(catalogue, change.touching)
    if contact:
        return _touching(contact, change, catalogue)
    base = _shape_pose(shape) if shape else held
    depth = change.depth or (base.depth if base else Depth.LEVEL)
    if base is None and (change.height is None or change.out is None):
        return held
    start = base or HandPose(depth, 0.0, 0.0, 0.0)
    hand = HandPose(
        depth=depth,
        height=height_value(change.height, catalogue) if change.height else start.height,
        out=float(change.out) if change.out is not None else start.out,
        forward=_forward(change, start, depth, catalogue),
        shape=shape.name if shape else (None if _moves(change) else start.shape),
        departures=catalogue.departures.departing("hand", change.departures),
    )
    if hand.shape or change.forward is not None or not _moves(change):
        return hand
    return hand._replace(forward=hand_forward(hand, bent, catalogue))


def _touching(row: HandShape, change: HandChange, catalogue: Catalogue) -> HandPose:
    touches = BARRE if row.name == BARRE else "body"
    said = laid_over(change.departures, (("touching", touches),))
    own = catalogue.departures.departing("hand", said)
    return _shape_pose(row, own)._replace(shape=None)


def _moves(change: HandChange) -> bool:
    """Whether some of a place is written, and not only the palm or the arm."""
    places = (change.height, change.out, change.depth, change.forward)
    return any(value is not None for value in places)


def _forward(change: HandChange, start: HandPose, depth: Depth, catalogue: Catalogue) -> float:
    if change.forward is not None:
        return float(change.forward)
    if change.depth is not None and (change.name is None or start.depth is not depth):
        return catalogue.shapes.forward[depth]
    return start.forward


def _shape_pose(shape: HandShape, own: Departures = ()) -> HandPose:
    depth = Depth(shape.depth)
    return HandPose(depth, shape.height, shape.out, shape.forward, shape.name, own)


@remembered(PLACES)
def _arms(
    name: str, lead: Side | None, hands_joined: bool, catalogue: Catalogue, school: School
) -> Sided[HandPose | None] | None:
    """Both hands in a shape; None where the school has no such name."""
    shape = arms_shape(catalogue, school, name)
    rows = [hand_row(catalogue, each) for each in shape.hands] if shape else []
    if len(rows) != 2 or rows[0] is None or rows[1] is None:
        return None
    own = departures({"touching": "hand" if hands_joined else None})
    first, other = (_shape_pose(row, own) for row in rows if row)
    return Sided(other, first) if lead is Side.LEFT else Sided(first, other)


def _feet(change: FeetChange, pose: Pose, catalogue: Catalogue) -> Sided[FootPose | None]:
    """Feet that stay where they stand keep what is not written of them."""
    feet, departing = pose.feet, catalogue.departures.departing
    for side in BOTH:
        held = feet.of(side)
        rise = change.rise or (held.rise if isinstance(held, Standing) else _rise(pose))
        if change.position is not None:
            bears = (change.weight or Weight.BOTH).on(side)
            own = departing("standing", change.departures)
            foot = Standing(rise, change.position, change.front, bears, own)
            feet = feet.changed(side, foot)
        elif isinstance(held, Standing):
            bears = change.weight.on(side) if change.weight else held.bears
            own = departing("standing", laid_over(held.departures, change.departures))
            feet = feet.changed(side, held._replace(rise=rise, bears=bears, departures=own))
    return feet


def _kneeling(change: KneelChange) -> Sided[FootPose | None]:
    both = change.on is Weight.BOTH
    front = None if both else Side(change.on.value).other
    foot = Standing(Rise.WHOLE, kneeling_name(both, change.sitting), front)
    return Sided(foot, foot)


def _rise(pose: Pose) -> Rise:
    standing = [foot for foot in (pose.feet.right, pose.feet.left) if isinstance(foot, Standing)]
    return standing[0].rise if standing else Rise.WHOLE


def _foot(change: FootChange, pose: Pose, catalogue: Catalogue) -> Sided[FootPose | None]:
    held = pose.feet.of(change.side)
    free = free_pose(change, held, catalogue)
    if free:
        return _freed(change.side, free, pose)
    own = catalogue.departures.departing("standing", change.departures)
    if (change.rise or change.departures) and isinstance(held, Standing):
        rise = change.rise or held.rise
        return pose.feet.changed(change.side, held._replace(rise=rise, departures=own))
    if change.rise:
        return pose.feet.changed(change.side, Standing(change.rise, departures=own))
    return pose.feet


def free_pose(change: FootChange, held: FootPose | None, catalogue: Catalogue) -> Free | None:
    """Where a free foot is then; None where the change does not free it, or not in full."""
    place = str(change.raised) if change.raised else change.place
    own = catalogue.departures.departing("free", change.departures)
    if change.direction and place:
        return Free(change.direction, place, departures=own)
    if change.direction and change.height:
        height = height_value(change.height, catalogue)
        out = (
            leg_out(change.direction, height, catalogue)
            if change.out is None
            else float(change.out)
        )
        return Free(change.direction, None, height, out, own)
    if isinstance(held, Free) and not (change.direction or place or change.height or change.rise):
        return held._replace(departures=own)
    return None


def _freed(side: Side, foot: Free, pose: Pose) -> Sided[FootPose | None]:
    """One foot free; the other, where it stands, stands alone from then on."""
    feet, other = pose.feet.changed(side, foot), pose.feet.of(side.other)
    if isinstance(other, Standing):
        feet = feet.changed(side.other, Standing(other.rise, departures=other.departures))
    return feet
