"""The score as written, as frozen values.

Everything that came from a file keeps its `origin`, the places of its element
and attributes, left out of equality: two scores are equal where they say the
same, wherever it stands. Numbers are kept as they were written (Decimal).
"""

from __future__ import annotations

from dataclasses import dataclass, field
from datetime import date
from decimal import Decimal
from enum import StrEnum

from stavebound.score.attitude import STRAIGHT, Attitude
from stavebound.score.attitude import Lean as Lean
from stavebound.score.departures import Departures as Departures
from stavebound.score.departures import departure as departure
from stavebound.score.departures import departures as departures
from stavebound.score.form import Form
from stavebound.score.lanes import FacingChange, TravelChange, TurnChange
from stavebound.score.measures import At as At
from stavebound.score.measures import Height as Height
from stavebound.score.movement import PLAIN as PLAIN
from stavebound.score.movement import Beat as Beat
from stavebound.score.movement import Bow as Bow
from stavebound.score.movement import Flight as Flight
from stavebound.score.movement import Legs as Legs
from stavebound.score.movement import PathForm as PathForm
from stavebound.score.movement import Size as Size
from stavebound.score.movement import Transfer as Transfer
from stavebound.score.origin import Origin as Origin
from stavebound.score.origin import Side as Side
from stavebound.score.origin import origin_field
from stavebound.score.origin import unwritten as unwritten


class LegDirection(StrEnum):
    FRONT = "front"
    SIDE = "side"
    BACK = "back"


class Depth(StrEnum):
    LEVEL = "level"
    FRONT = "front"
    BEHIND = "behind"


class Rise(StrEnum):
    WHOLE = "whole foot"
    HALF = "half point"
    POINT = "point"


class Weight(StrEnum):
    """Which foot bears the weight where both are on the floor; or which knee, kneeling."""

    BOTH = "both"
    RIGHT = "right"
    LEFT = "left"

    def on(self, side: Side) -> bool:
        return self is Weight.BOTH or self.value == side.value


class Bend(StrEnum):
    NONE = "none"
    HALF = "half"
    FULL = "full"


class Division(StrEnum):
    HALVES = "halves"
    THIRDS = "thirds"
    QUARTERS = "quarters"


@dataclass(frozen=True, slots=True)
class Run:
    """A piece of running text.

    kind: text, term, side, emphasis or foreign. `detail` is the glossary entry
    of a term (where spelled differently), the side meant, or the language.
    """

    kind: str
    text: str
    detail: str | None = None
    origin: Origin = origin_field()


Words = tuple[Run, ...]

# The lane whose texts name steps, which glossary, index, cautions and springs go by.
STEP = "step"


def plain(words: Words) -> str:
    """The words without their marks, as they are read aloud."""
    return "".join(run.detail or "" if run.kind == "side" else run.text for run in words)


@dataclass(frozen=True, slots=True)
class Prose:
    """A text of a score: aim, preparation, finish, times, quality, fault, note,
    variant, caution, source or rights, with its attributes as written."""

    kind: str
    words: Words
    attributes: tuple[tuple[str, str], ...] = ()
    origin: Origin = origin_field()

    def get(self, name: str) -> str | None:
        return dict(self.attributes).get(name)


@dataclass(frozen=True, slots=True)
class ArmsChange:
    name: str
    lead: Side | None = None
    joined: bool = False
    via: str | None = None
    path: PathForm | None = None
    bow: Bow | None = None
    slightly: tuple[str, ...] = ()
    origin: Origin = origin_field()


@dataclass(frozen=True, slots=True)
class HandChange:
    """One hand, by name, by place, or both; out and forward in statures. `slightly` says how it
    is a little otherwise than its shape.

    A hand written anew has only those `departures` from the usual that are written with it,
    and touches only what is written with it.
    """

    side: Side
    name: str | None = None
    height: Height | None = None
    out: Decimal | None = None
    depth: Depth | None = None
    forward: Decimal | None = None
    departures: Departures = ()
    via: str | None = None
    path: PathForm | None = None
    bow: Bow | None = None
    slightly: tuple[str, ...] = ()
    origin: Origin = origin_field()

    @property
    def touching(self) -> str | None:
        return departure(self.departures, "touching")


@dataclass(frozen=True, slots=True)
class FeetChange:
    """Both feet on the floor. Without `weight` both bear it in a new position, else as before;
    in one without `departures` they have none, else those that they had."""

    position: str | None = None
    front: Side | None = None
    rise: Rise | None = None
    weight: Weight | None = None
    departures: Departures = ()
    by: Transfer | None = None
    moving: Side | None = None
    flight: Flight = PLAIN
    origin: Origin = origin_field()


@dataclass(frozen=True, slots=True)
class FootChange:
    """One foot: free (`way` with `place`, `raised` or `height`), or standing (`rise`).

    A foot written anew has only those `departures` that are written with it.
    """

    side: Side
    direction: LegDirection | None = None
    place: str | None = None
    raised: int | None = None
    height: Height | None = None
    out: Decimal | None = None
    rise: Rise | None = None
    departures: Departures = ()
    by: Transfer | None = None
    via: str | None = None
    path: PathForm | None = None
    bow: Bow | None = None
    flight: Flight = PLAIN
    origin: Origin = origin_field()


@dataclass(frozen=True, slots=True)
class KneelChange:
    """On the knee of one leg, the other foot in front, or on both; upright, or sitting back on
    the heels."""

    on: Weight
    sitting: bool = False
    origin: Origin = origin_field()


@dataclass(frozen=True, slots=True)
class KneesChange:
    """Both knees, or the one on `side`; where it is, where that is not the usual place. `kept`
    says that the bend is meant to be held through what follows."""

    bend: Bend
    side: Side | None = None
    depth: Depth | None = None
    height: Height | None = None
    out: Decimal | None = None
    kept: bool = False
    origin: Origin = origin_field()


@dataclass(frozen=True, slots=True)
class ElbowChange:
    """One elbow: how far it is bent, and where it is (out in statures)."""

    bend: Bend
    side: Side
    depth: Depth | None = None
    height: Height | None = None
    out: Decimal | None = None
    origin: Origin = origin_field()


class CentrePart(StrEnum):
    """The parts on the body's centre line, from the top."""

    HEAD = "head"
    BODY = "body"
    HIPS = "hips"


@dataclass(frozen=True, slots=True)
class CentreChange:
    """The whole attitude of the head, the body or the hips."""

    part: CentrePart
    attitude: Attitude = STRAIGHT
    origin: Origin = origin_field()


@dataclass(frozen=True, slots=True)
class Return:
    """A part that comes back to straight."""

    part: CentrePart
    origin: Origin = origin_field()


@dataclass(frozen=True, slots=True)
class WholeChange:
    """One thing that is said of the whole dancer, such as an accent or a hold: the element that
    says it, and its attribute with the value where it has one. `trade/lanes.toml` has which
    there are, by their names."""

    what: str
    words: tuple[str, str] | None = None
    origin: Origin = origin_field()

    @property
    def name(self) -> str:
        """Element, attribute and value: "hold", or "hold of arms"."""
        return " ".join((self.what, *(self.words or ())))

    @classmethod
    def named(cls, name: str) -> WholeChange:
        what, *words = name.split(" ", 2)
        return cls(what, (words[0], words[1]) if words else None)


Change = (
    ArmsChange
    | HandChange
    | ElbowChange
    | FeetChange
    | FootChange
    | KneelChange
    | KneesChange
    | CentreChange
    | Return
    | WholeChange
    | FacingChange
    | TurnChange
    | TravelChange
)


@dataclass(frozen=True, slots=True)
class Position:
    """The position before the first count."""

    changes: tuple[Change, ...]
    origin: Origin = origin_field()


@dataclass(frozen=True, slots=True)
class FrameText:
    """What a frame has printed in the lane of that name, with the attributes of its element as
    they are written; where it is an attribute itself, it has none, and `words` are one run."""

    lane: str
    words: Words = ()
    attributes: tuple[tuple[str, str], ...] = ()
    origin: Origin = origin_field()

    @property
    def text(self) -> str:
        return plain(self.words)


@dataclass(frozen=True, slots=True)
class Frame:
    """`texts` are in the schema's order. `does` names the steps that begin here and are not
    printed, as they are defined; `promises` is whether its names promise anything. `remarks` are
    comments for whoever reads its source; they say nothing of the dance."""

    at: At
    changes: tuple[Change, ...] = ()
    texts: tuple[FrameText, ...] = ()
    does: str | None = None
    promises: bool = True
    remarks: tuple[str, ...] = field(default=(), compare=False, repr=False)
    origin: Origin = origin_field()

    def text(self, lane: str) -> FrameText | None:
        return next((text for text in self.texts if text.lane == lane), None)

    @property
    def step(self) -> str | None:
        """The name of the step that begins here."""
        named = self.text(STEP)
        return named.text if named else None


@dataclass(frozen=True, slots=True)
class SaidBar:
    """A bar with a length or a name of its own, at the count on which it begins."""

    at: At
    identity: str | None = None
    counts: int | None = None
    metre: str | None = None
    origin: Origin = origin_field()


@dataclass(frozen=True, slots=True)
class Phrasing:
    """What is danced in one breath, from a count to another; one that is no later than
    `begin` is counted in the phrase that follows."""

    begin: At
    end: At
    origin: Origin = origin_field()


@dataclass(frozen=True, slots=True)
class Phrase:
    counts: int
    frames: tuple[Frame, ...]
    bars: tuple[SaidBar, ...] = ()
    division: Division | None = None
    identity: str | None = None
    phrasings: tuple[Phrasing, ...] = ()
    origin: Origin = origin_field()


@dataclass(frozen=True, slots=True)
class Music:
    """`tempo` is in counts a minute, `introduction` in counts."""

    metre: str
    counts_per_bar: int | None = None
    bars_per_count: int | None = None
    tempo: int | None = None
    introduction: int | None = None
    division: Division | None = None
    words: Words = ()
    origin: Origin = origin_field()


@dataclass(frozen=True, slots=True)
class Score:
    """`promises` is whether names of steps promise anything. `form` tells which phrases are danced
    again; it is left out of equality, as all of them are written out. `remarks` are comments for
    whoever reads its source."""

    title: str
    phrases: tuple[Phrase, ...]
    identity: str | None = None
    school: str | None = None
    level: str | None = None
    status: str | None = None
    date: date | None = None
    pupils: str | None = None
    music: Music | None = None
    barre: Side | None = None
    promises: bool = True
    start: Position | None = None
    upbeat: Phrase | None = None
    prose: tuple[Prose, ...] = ()
    form: Form = field(default=Form(), compare=False, repr=False)
    remarks: tuple[str, ...] = field(default=(), compare=False, repr=False)
    origin: Origin = origin_field()

    def texts(self, kind: str) -> tuple[Prose, ...]:
        return tuple(prose for prose in self.prose if prose.kind == kind)
