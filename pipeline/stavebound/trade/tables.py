"""The shapes of the trade tables, one model a table.

In: what TOML gives. Out: frozen, validated rows. A row with an unknown or
missing field is refused by pydantic with the field's name.
"""

from __future__ import annotations

from collections.abc import Mapping
from typing import Literal

from pydantic import BaseModel, ConfigDict, Field, model_validator


class Row(BaseModel):
    """A row of a table: frozen, and nothing in it goes unread."""

    model_config = ConfigDict(frozen=True, extra="forbid")


class BodyMeasure(Row):
    """A height, length or width of the body in statures, with its source."""

    name: str
    value: float
    source: str


class Person(Row):
    """The measures of a dancer."""

    measure: tuple[BodyMeasure, ...]

    def of(self, name: str) -> float:
        """A measure in statures. KeyError where the dancer has none of that name."""
        for row in self.measure:
            if row.name == name:
                return row.value
        raise KeyError(name)


class BodyLine(Row):
    """A line of the stave: the body line it stands for; what is printed for it in full and
    in short, where that is not its name."""

    name: str
    label: str = ""
    short: str = ""


class Between(Row):
    """A part of the body without a line: its place between the lines, in spaces."""

    name: str
    at: float
    source: str


class Above(Row):
    """The scale above the top line: so many statures a space."""

    stature_a_space: float = Field(alias="stature-a-space")
    source: str


class Scale(Row):
    """x in spaces = base + slope × distance out in statures."""

    base: float
    slope: float


class ScalesAcross(Row):
    """Of hands; of free feet before or behind the body, and out to their side."""

    hand: Scale
    foot: Scale
    foot_aside: Scale = Field(alias="foot-aside")
    source: str


class Ruling(Row):
    """The stave: its lines from the floor upwards, what lies between them and above them,
    and its scales across."""

    line: tuple[BodyLine, ...]
    between: tuple[Between, ...]
    above: Above
    across: ScalesAcross


class Tolerance(Row):
    """How far a hand may stray from a shape, in spaces, and a level one forward, in statures."""

    height: float
    across: float
    forward: float
    source: str


class Surface(Row):
    """How far out and forward the body's own surface is at most, in statures."""

    out: float
    forward: float
    source: str


class ArmLines(Row):
    """Shares of the arm's length: up to `rounded` it can be rounded, from `stretched` stretched."""

    rounded: float
    stretched: float
    source: str


class HandShape(Row):
    """A hand's place: height in spaces on the body's lines, out and forward in statures."""

    name: str
    description: str
    depth: Literal["level", "front", "behind"]
    height: float
    out: float
    forward: float


class HandHeight(Row):
    """From how high on, in spaces, a hand is said to be there, up to the next."""

    name: str
    at_least: float = Field(alias="at-least")
    description: str


class ArmsShape(Row):
    """The two hands of a shape, the leading arm's first."""

    name: str
    hands: tuple[str, str]


class SlightChange(Row):
    """How much a hand is `slightly` higher, wider and so on than its shape: along the height in
    spaces, out and forward in statures; below 0 lower, nearer the centre line, further back."""

    word: str
    description: str
    moves: Literal["height", "out", "forward"]
    by: float
    source: str


class Shapes(Row):
    """`forward` is the default by depth, in statures; a `contact` is a place where a hand
    touches the body or the barre."""

    tolerance: Tolerance
    line: ArmLines
    surface: Surface
    forward: Mapping[str, float]
    slightly: tuple[SlightChange, ...]
    hand: tuple[HandShape, ...]
    arms: tuple[ArmsShape, ...]
    contact: tuple[HandShape, ...]


class School(Row):
    """A school's names: shape of the arms → its name there; direction of the room → its
    number there, the dancer facing the audience."""

    name: str
    label: str
    arms: Mapping[str, str]
    room: Mapping[str, int] = Field(default_factory=dict)

    def __hash__(self) -> int:
        # What its names mean is looked up by a school for every arm that is written.
        return hash(self.name)


class Schools(Row):
    school: tuple[School, ...]


class PlacedRow(Row):
    """A sign at x (towards its own side) and y, in spaces; y may follow from the rise.

    `weight` is the x of its weight dot, where that is not under the sign's centre; a line of
    weight ends there too; `under`
    that of the first mark under it, where that is not under the dot.
    """

    sign: str
    x: float
    y: float | None = None
    weight: float | None = None
    under: float | None = None

    @property
    def dot(self) -> float:
        """The x of its weight dot."""
        return self.x if self.weight is None else self.weight


# Signs of feet that are higher than wide.
UPRIGHT = ("front", "sole")


class RiseHeights(Row):
    """Heights of the feet's signs, in spaces: level or behind, and upright ones, of which the
    stroke in front is one."""

    level: float
    front: float

    def of(self, sign: str) -> float:
        return self.front if sign in UPRIGHT else self.level


class FeetPosition(Row):
    """Signs of a position: alike on both sides (`right`), or front foot and other; of a dancer who
    kneels, the knee is the other."""

    name: str
    description: str
    source: str
    right: PlacedRow | None = None
    front: PlacedRow | None = None
    behind: PlacedRow | None = None


class FreePlace(Row):
    """Where a free foot's sign stands, in spaces; `before` is x to the front and back, where
    it is not that of all; `touch` is the mark of touch that it has."""

    name: str
    description: str
    level: float
    front: float
    side: float
    before: float | None = None
    hook: bool = False
    touch: Literal["", "touch", "touch at the calf"] = ""
    bend: Mapping[str, float] | None = None


class FreePlaces(Row):
    before: float
    place: tuple[FreePlace, ...]


class Tail(Row):
    """From `above` a foot has a tail, from `knee` a bent knee; `at` is its place from
    the centre of the sign."""

    above: float = Field(alias="from")
    knee: float
    at: Mapping[str, tuple[float, float]]


class Feet(Row):
    rise: Mapping[str, RiseHeights]
    position: tuple[FeetPosition, ...]
    kneeling: tuple[FeetPosition, ...]
    alone: PlacedRow
    free: FreePlaces
    hook: Mapping[str, float]
    touch: Mapping[str, float]
    tail: Tail
    joint: Mapping[str, Mapping[str, PlacedRow]]


class Under(Row):
    y: float
    step: float


class Marks(Row):
    """Where marks stand from the sign they belong to, by that sign, in spaces.

    `across`: x and y of the tick of a crossed limb; `beside`: how far outward;
    `step`: from one mark beside to the next; `joined`: how far the sign of a hand
    that touches the other stands from the centre; `foot`: how far outward of a
    foot's sign, `hooked` more where it has a hook, `foot_step` from one to the next,
    `edge` from the outermost ink of the signs of feet that stand together, without a dot
    of weight; `weight`: the height of that dot under a supporting foot; `under`: that of
    marks under feet that stand, and how far they are from the dot and each other.
    """

    across: Mapping[str, tuple[float, float]]
    beside: Mapping[str, float]
    step: float
    joined: Mapping[str, float]
    foot: Mapping[str, float]
    foot_step: float = Field(alias="foot-step")
    hooked: float
    edge: float
    weight: float
    under: Under


class Sign(Row):
    """A sign's drawing in spaces round its own centre, y upwards. `lines`: whether it keeps
    "off" the stave lines as a limb's own sign does, or is "never on one", where it could not be
    centred on a line either; as a hand's it is "rather off" them where it is as thick as a line
    made thicker, and centred on one only where there is no other room."""

    name: str
    meaning: str
    description: str
    source: str
    lines: Literal["", "off", "rather off", "never on one"] = ""
    strokes: tuple[tuple[float, float, float, float, float], ...] = ()
    discs: tuple[tuple[float, float, float], ...] = ()
    rings: tuple[tuple[float, float, float, float], ...] = ()
    curves: tuple[tuple[float, float, float, float, float, float, float, float, float], ...] = ()

    def __hash__(self) -> int:
        # Outlines and boxes are looked up by a sign for every mark of ink.
        return hash(self.name)


class Signs(Row):
    sign: tuple[Sign, ...]


class Group(Row):
    """A part of the printed catalogue: its title, and its signs by their names."""

    title: str
    signs: tuple[str, ...]


class Groups(Row):
    group: tuple[Group, ...]


class Quantity(Row):
    """A named number of the engraving."""

    name: str
    value: float
    description: str


class Distance(Quantity):
    """One that a house may set, in spaces unless it has another unit: from `least` to
    `greatest` whatever is engraved with it can be read, whatever the others are."""

    least: float
    greatest: float
    unit: str = "spaces"

    def holds(self, value: float) -> bool:
        return self.least <= value <= self.greatest

    @model_validator(mode="after")
    def _usual_within(self) -> Distance:
        if not self.holds(self.value):
            raise ValueError(f"the usual {self.name} is out of its own bounds")
        return self


class Fixed(Quantity):
    """One that no house sets, in spaces unless it has another unit."""

    unit: str = "spaces"


class Engraving(Row):
    distance: tuple[Distance, ...]
    fixed: tuple[Fixed, ...]
    cost: tuple[Quantity, ...]


class KeyCell(Row):
    """The room of a frame of the key: how wide at least, in spaces for its `ink`, in millimetres
    for its `words`; how far right of its middle the axis is, in spaces; whether what its rows
    mean is printed, and the sign that one is about, enlarged."""

    ink: float
    words: float
    axis: float
    meanings: bool

    def width(self, space: float) -> float:
        """In spaces, of so many millimetres each."""
        return max(self.ink, self.words / space)


class KeyScale(Row):
    """Frames that are told from each other side by side, the group that they belong to, and what
    is said over them."""

    name: str
    group: str
    note: str = ""
    cell: str = "usual"


class KeyRow(Row):
    """A frame of the key: a feature, the scale in which it stands, name and meaning, and a
    position that shows it; of a move, also the position `before` it; `phrased` where a bow
    joins the two. `when`: the features that it explains, where it is none by itself; `amount`:
    of what `show` has an amount; `sign`: the one sign that it is about, if it is about one."""

    feature: str
    scale: str
    name: str
    meaning: str
    show: str
    before: str = ""
    phrased: bool = False
    when: tuple[str, ...] = ()
    amount: str = ""
    sign: str = ""

    @property
    def brought_by(self) -> frozenset[str]:
        """The features for which it is shown."""
        return frozenset(self.when or (self.feature,))


class KeyExample(Row):
    """A phrase of so many counts to be read, and the position with which it begins."""

    counts: int
    start: str
    phrase: str


class KeyRemark(Row):
    """What is to be read in a frame of the example, by its count; of the start there is none."""

    count: str
    words: str


class KeyTable(Row):
    """`amount` has the amounts that rows show."""

    example: KeyExample
    remark: tuple[KeyRemark, ...]
    cell: Mapping[str, KeyCell]
    amount: Mapping[str, str]
    height: tuple[HandHeight, ...]
    scale: tuple[KeyScale, ...]
    row: tuple[KeyRow, ...]

    def rows_of(self, scale: KeyScale) -> tuple[KeyRow, ...]:
        return tuple(row for row in self.row if row.scale == scale.name)

    def position(self, row: KeyRow, amounts: Mapping[str, str]) -> str:
        """What a row shows, with these amounts in place of the usual ones."""
        usual = self.amount.get(row.amount, "")
        return row.show.replace(f'"{usual}"', f'"{amounts.get(row.amount, usual)}"')

    @property
    def features(self) -> frozenset[str]:
        """All that rows explain."""
        return frozenset(row.feature for row in self.row if not row.when)
