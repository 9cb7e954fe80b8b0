"""A whole pose: where every limb is at one moment, written or held.

Heights are on the body's own lines, in spaces from the floor line; out and
forward are in statures, out towards the limb's own side.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import Generic, NamedTuple, TypeVar

from stavebound.score.attitude import STRAIGHT, Attitude
from stavebound.score.departures import Departures, departure
from stavebound.score.lanes import TravelChange, TurnChange
from stavebound.score.model import (
    Bend,
    Bow,
    CentrePart,
    Change,
    Depth,
    LegDirection,
    Origin,
    PathForm,
    Rise,
    Side,
)
from stavebound.score.origin import origin_field, wherever

T = TypeVar("T")


class Sided(NamedTuple, Generic[T]):
    """A value for each side."""

    right: T
    left: T

    def of(self, side: Side) -> T:
        return self.right if side is Side.RIGHT else self.left

    def changed(self, side: Side, value: T) -> Sided[T]:
        if side is Side.RIGHT:
            return Sided(value, self.left)
        return Sided(self.right, value)


class HandPose(NamedTuple):
    """`shape` is the plain name of the shape that was written, None for a free place.

    `out` is negative across the centre line. Of its `departures`, it is `touching` "hand" where
    it touches the other hand, "body" where it touches the body, "barre" on the barre.
    """

    depth: Depth
    height: float
    out: float
    forward: float
    shape: str | None = None
    departures: Departures = ()

    @property
    def touching(self) -> str | None:
        return departure(self.departures, "touching")


def joined(one: HandPose | None, other: HandPose | None) -> bool:
    """Whether two hands touch each other, at one place before, beside or behind the body."""
    return (
        one is not None
        and other is not None
        and one.touching == other.touching == "hand"
        and (one.depth, one.height) == (other.depth, other.height)
    )


class Joint(NamedTuple):
    """A knee or an elbow. Without height and out it is at its usual place."""

    bend: Bend = Bend.NONE
    depth: Depth = Depth.LEVEL
    height: float | None = None
    out: float | None = None


class Standing(NamedTuple):
    """A foot on the floor: in a position of both feet, or alone (`position` None). Of a dancer
    who kneels, `front` is the foot in front of the knee.

    `bears` is False where the other foot has all the weight.
    """

    rise: Rise
    position: str | None = None
    front: Side | None = None
    bears: bool = True
    departures: Departures = ()

    def beside(self, other: Standing) -> bool:
        """Whether the two feet stand alike, whichever bears the weight."""
        return self._replace(bears=other.bears) == other


class Free(NamedTuple):
    """A foot without weight; `place` is a row of the table of free places, None where its
    toes are at a height of their own, in spaces, and so far out, in statures."""

    direction: LegDirection
    place: str | None
    height: float | None = None
    out: float | None = None
    departures: Departures = ()


FootPose = Standing | Free


class Pose(NamedTuple):
    """None where nothing has been written yet; `facing` is in eighths of a circle, clockwise
    from the front."""

    hands: Sided[HandPose | None] = Sided(None, None)
    feet: Sided[FootPose | None] = Sided(None, None)
    knees: Sided[Joint] = Sided(Joint(), Joint())
    elbows: Sided[Joint] = Sided(Joint(), Joint())
    head: Attitude = STRAIGHT
    body: Attitude = STRAIGHT
    hips: Attitude = STRAIGHT
    facing: int = 0

    def attitude(self, part: CentrePart) -> Attitude:
        return {CentrePart.HEAD: self.head, CentrePart.BODY: self.body, CentrePart.HIPS: self.hips}[
            part
        ]


class Subject(NamedTuple):
    """kind: hand, elbow, foot or knee with a side; head, body, hips, facing, turn or travel
    without."""

    kind: str
    side: Side | None = None

    def __str__(self) -> str:
        return f"{self.side} {self.kind}" if self.side else self.kind


BOTH = (Side.RIGHT, Side.LEFT)
HANDS, FEET = ({side: Subject(kind, side) for side in BOTH} for kind in ("hand", "foot"))
KNEES, ELBOWS = ({side: Subject(kind, side) for side in BOTH} for kind in ("knee", "elbow"))


@dataclass(frozen=True, slots=True)
class Move:
    """How a limb comes to its place.

    kind: step, slide or spring (of the "feet"), or way: from where the limb was, by
    `via`, else in the form of `path`, bowing to the front or behind. `beats`: the foot in
    front at each beat of a spring, `air` what else is said of it.
    """

    kind: str
    subject: Subject
    origin: Origin = origin_field()
    via: HandPose | FootPose | None = None
    path: PathForm | None = None
    bow: Bow | None = None
    beats: tuple[Side, ...] = ()
    air: tuple[str, ...] = ()


Sides = frozenset[Side]


class Step(NamedTuple):
    """A change, and the pose before and after it; `doubted` and `doubtful` are the hands
    that are not known before and after."""

    change: Change
    before: Pose
    after: Pose
    doubted: Sides
    doubtful: Sides


@wherever
class Mention(NamedTuple):
    """A limb that is written, and where."""

    subject: Subject
    origin: Origin


@dataclass(frozen=True, slots=True)
class Posed:
    """A pose, and which of its limbs were written at this moment, and where; how they
    came there, and the pose before; `turn` and `travel` are what was written of them.

    `steps` tell how the source words it, change by change, in the order in which they are
    applied; two that are danced and written alike are equal whatever their words."""

    pose: Pose
    written: tuple[Mention, ...] = ()
    moves: tuple[Move, ...] = ()
    before: Pose = Pose()
    turn: TurnChange | None = None
    travel: TravelChange | None = None
    steps: tuple[Step, ...] = field(default=(), repr=False, compare=False)

    def origin(self, subject: Subject) -> Origin | None:
        for written, origin in reversed(self.written):
            if written == subject:
                return origin
        return None
