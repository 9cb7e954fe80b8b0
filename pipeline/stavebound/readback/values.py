"""What the reader works with: ink, signs, and what they are read as.

Ink of a `Page` is in millimetres, y downwards, as on paper; everything after
it is in spaces, y upwards from the floor line.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from fractions import Fraction
from typing import NamedTuple

from stavebound.dance.pose import Subject
from stavebound.faces import REGULAR
from stavebound.score.attitude import Attitude
from stavebound.score.departures import Departures, departure
from stavebound.score.form import BarForm
from stavebound.score.lanes import Front, SmallSteps, TravelPath, TurnedOn
from stavebound.score.model import (
    Bend,
    Bow,
    CentrePart,
    Depth,
    LegDirection,
    Rise,
    Side,
    Weight,
)

Spot = tuple[float, float]
# The times of an ending whose bracket comes from the line before.
CONTINUED = (0,)
Ends = tuple[int | None, int | None]


class Outline(NamedTuple):
    """A closed figure. `curved`: after the start the points come in threes, a cubic each."""

    points: tuple[Spot, ...]
    curved: bool = False


@dataclass(frozen=True, slots=True)
class TextRead:
    """Letters on one baseline: `xs` has one place, or one for every letter."""

    letters: str
    xs: tuple[float, ...]
    y: float
    size: float
    italic: bool
    weight: int = REGULAR


@dataclass(frozen=True, slots=True)
class Page:
    outlines: tuple[Outline, ...]
    texts: tuple[TextRead, ...]


class ShapeRead(NamedTuple):
    """A form of ink round its middle; see shapes.toml for what the lengths mean.

    `name` is its row in the table, None where it fits none; `turned` is −1
    where it fits the row turned over. `fits` are all rows that it fits, the best
    first, each with how it is turned. `left` and `right` are where its ink ends,
    `ends` and `middle` those of a stroke or a band, along it. Of a line that runs from one
    end to the other, `widths` are how thick it is at its start, in its middle and at its end,
    and `headings` where it goes: from the start, into the middle, out of it, into the end.
    """

    kind: str
    x: float
    y: float
    length: float
    width: float = 0.0
    angle: float = 0.0
    bulge: float = 0.0
    name: str | None = None
    turned: int = 1
    fits: tuple[tuple[str, int], ...] = ()
    left: float = 0.0
    right: float = 0.0
    ends: tuple[Spot, Spot] = ((0.0, 0.0), (0.0, 0.0))
    middle: Spot = (0.0, 0.0)
    widths: tuple[float, float, float] = (0.0, 0.0, 0.0)
    headings: tuple[Spot, Spot, Spot, Spot] = ((1.0, 0.0),) * 4

    @property
    def backwards(self) -> ShapeRead:
        """The same line run from its end."""
        a, b, c, d = ((-x, -y) for x, y in reversed(self.headings))
        one, two, three = reversed(self.widths)
        ends = self.ends[1], self.ends[0]
        return self._replace(ends=ends, widths=(one, two, three), headings=(a, b, c, d))


@dataclass(frozen=True, slots=True)
class MarkRead:
    """Something attached to a sign; `towards` is the side it is on: 1 right, −1 left, 0 neither."""

    name: str
    towards: int


@dataclass(frozen=True, slots=True)
class SignRead:
    """A sign of the table at its place: x from the line's left edge, or from an axis.

    `turned` is −1 where it is turned over to the left; its ink reaches so far to the `left` of
    x, and to the `right`.
    """

    name: str
    x: float
    y: float
    marks: tuple[MarkRead, ...] = ()
    turned: int = 1
    left: float = 0.0
    right: float = 0.0

    @property
    def wide(self) -> float:
        """How wide its ink is."""
        return self.left + self.right


@dataclass(frozen=True, slots=True)
class HandRead:
    """Height in spaces on the body's lines, out in statures, negative across the centre."""

    side: Side
    depth: Depth
    height: float
    out: float
    departures: Departures = ()

    @property
    def touching(self) -> str | None:
        return departure(self.departures, "touching")

    @property
    def subjects(self) -> tuple[Subject, ...]:
        return (Subject("hand", self.side),)


@dataclass(frozen=True, slots=True)
class FeetRead:
    """Both feet standing; `front` is None where neither is in front."""

    position: str
    front: Side | None
    rise: Rise
    weight: Weight = Weight.BOTH
    departures: Departures = ()

    @property
    def subjects(self) -> tuple[Subject, ...]:
        return (Subject("foot", Side.RIGHT), Subject("foot", Side.LEFT))


@dataclass(frozen=True, slots=True)
class FootRead:
    """One foot standing, drawn by itself."""

    side: Side
    rise: Rise
    departures: Departures = ()

    @property
    def subjects(self) -> tuple[Subject, ...]:
        return (Subject("foot", self.side),)


@dataclass(frozen=True, slots=True)
class FreeRead:
    """A foot without weight; `at` is where its sign stands: out from the axis towards its
    side, and up, in spaces. `place` is a row of the table of free places where it touches
    the floor or the other leg, else None."""

    side: Side
    direction: LegDirection
    place: str | None
    at: Spot
    departures: Departures = ()

    @property
    def subjects(self) -> tuple[Subject, ...]:
        return (Subject("foot", self.side),)


@dataclass(frozen=True, slots=True)
class JointRead:
    """A knee or an elbow (`kind`). `at`: where its sign stands, out from the axis and
    up, in spaces."""

    kind: str
    side: Side
    bend: Bend
    depth: Depth
    at: Spot

    @property
    def subjects(self) -> tuple[Subject, ...]:
        return (Subject(self.kind, self.side),)


@dataclass(frozen=True, slots=True)
class PartRead:
    """Head, body or hips. `at`: where the middle of its signs stands, right of the
    axis and up, in spaces."""

    part: CentrePart
    attitude: Attitude
    at: Spot

    @property
    def subjects(self) -> tuple[Subject, ...]:
        return (Subject(self.part),)


@dataclass(frozen=True, slots=True)
class WholeRead:
    """What is said of the whole dancer by a sign on the stave, by its name. `at`: where the
    sign stands, right of the axis and up, in spaces."""

    what: str
    at: Spot

    @property
    def subjects(self) -> tuple[Subject, ...]:
        return (Subject(self.what),)


@dataclass(frozen=True, slots=True)
class LaneRead:
    """What a sign over the counts or below the stave says of the whole dancer, by its name."""

    what: str

    @property
    def subjects(self) -> tuple[Subject, ...]:
        return (Subject(self.what),)


@dataclass(frozen=True, slots=True)
class WayRead:
    """A line of movement that ends at a limb.

    kind: slide, step, spring or way. `start` is measured from the axis of the frame
    before, or from the line's edge (`at_edge`), and is None at its own limb's sign;
    `middle` from halfway between both axes; `sag` is how far the middle is off the straight line,
    and of a line from an edge, over both its ends or under them. All in spaces. A middle
    `by_edge` may have been kept from leaving the stave, and does not tell how far out it is.
    `bars` are the middles of the short bar with which it begins, if it has one; `beats` the foot
    in front at each beat of a spring, `air` the names of its other marks.
    """

    kind: str
    subject: Subject
    start: Spot | None
    middle: Spot | None
    sag: Spot
    bow: Bow | None = None
    at_edge: bool = False
    by_edge: bool = False
    bars: tuple[Spot, ...] = ()
    beats: tuple[Side, ...] = ()
    air: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class LeavingRead:
    """The beginning of a line of movement that goes on to the next line of the score: its
    `start` from the last axis with signs, and the height at which it leaves, in spaces; the
    limb from whose sign it comes, or the bar with which it begins."""

    start: Spot
    height: float
    subject: Subject | None = None
    bars: tuple[Spot, ...] = ()


@dataclass(frozen=True, slots=True)
class FacingRead:
    """Where the dancer faces, in eighths of a circle, clockwise from the front."""

    to: int

    @property
    def subjects(self) -> tuple[Subject, ...]:
        return (Subject("facing"),)


@dataclass(frozen=True, slots=True)
class TurnRead:
    """`by` is in whole turns; `lasts` is in counts, and known when its line has been read."""

    to: Side
    by: Fraction
    on: TurnedOn
    lasts: Fraction | None = None
    spotting: str | None = None

    @property
    def subjects(self) -> tuple[Subject, ...]:
        return (Subject("turn"),)


@dataclass(frozen=True, slots=True)
class TravelRead:
    to: str
    of: Front
    path: TravelPath
    steps: SmallSteps | None = None

    @property
    def subjects(self) -> tuple[Subject, ...]:
        return (Subject("travel"),)


LimbRead = (
    HandRead
    | FeetRead
    | FootRead
    | FreeRead
    | JointRead
    | PartRead
    | WholeRead
    | LaneRead
    | FacingRead
    | TurnRead
    | TravelRead
)


@dataclass(frozen=True, slots=True)
class Fault:
    """What cannot be read, at x, y.

    kind: shape (ink that is no sign), unread (signs that are no limbs), text
    (no count, or a text out of place), twofold (can be read in two ways).
    """

    kind: str
    message: str
    x: float
    y: float


@dataclass(frozen=True, slots=True)
class FrameRead:
    """One moment: its count (None for the starting position), the bar it stands in
    (how many bar lines are to the left of it), and what is written there; its texts with the
    names of their lanes, and the metre that stands before it."""

    axis: float
    count: str | None
    bar: int
    subjects: tuple[LimbRead, ...] = ()
    texts: tuple[tuple[str, str], ...] = ()
    ways: tuple[WayRead, ...] = ()
    metre: str | None = None

    def text(self, lane: str) -> str | None:
        return dict(self.texts).get(lane)


@dataclass(frozen=True, slots=True)
class HeadRead:
    """What stands at the head of a score: the metre, how many counts there are in a minute, and
    the note value of one, where there is a note."""

    metre: str | None = None
    tempo: int | None = None
    note: Fraction | None = None


@dataclass(frozen=True, slots=True)
class Reading:
    """A line of a score. `bars` counts its bar lines, the last of which ends it;
    `final`: it ends the score. `loose` are words that were moved inwards at an
    edge, so that they do not tell whose they are: lane and text. `phrasings` go from one
    frame to another, by their numbers; None where they are open at the line's end. `form` is
    what stands where something is danced again, for all that ends with a bar line; an
    ending that comes from the line before has the times `CONTINUED`. `leaving` are the lines
    of movement that go on to the next line. `head` is that of the score, at its first line.
    `lasting` are the turns that last, as `phrasings` are."""

    frames: tuple[FrameRead, ...]
    bars: int
    final: bool
    number: int | None = None
    loose: tuple[tuple[str, str], ...] = ()
    faults: tuple[Fault, ...] = field(default=())
    phrasings: tuple[Ends, ...] = ()
    form: tuple[BarForm, ...] = ()
    leaving: tuple[LeavingRead, ...] = ()
    head: HeadRead = HeadRead()
    lasting: tuple[Ends, ...] = ()
