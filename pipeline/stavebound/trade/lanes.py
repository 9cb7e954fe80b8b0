"""The tables of lanes as values: what stands above, below and in rows over and under a stave.

In: rows of lanes.toml. Out: frozen values; ValueError where a row is not as it should be.
"""

from __future__ import annotations

from collections.abc import Collection, Mapping
from functools import cached_property
from itertools import zip_longest
from typing import Literal

from pydantic import Field

from stavebound.trade.tables import Row


class FacingLane(Row):
    y: float
    description: str


class TravelLane(Row):
    """`path`: how far out the sign of the path stands, `steps` that of small steps, which is on
    the left unless the path is there."""

    y: float
    path: float
    steps: float
    description: str

    def steps_beside(self, path: str) -> float:
        return self.steps if path.endswith(" left") else -self.steps


class FractionFigures(Row):
    """The small figures of a fraction: their size, and how far the upper ones are raised,
    both in em of the whole figures."""

    size: float
    rise: float


class LastingLine(Row):
    """The line of what lasts: its middle from that of the arc, how thick it is, how far it
    keeps from the axes of its ends, and how high its hooks rise there."""

    y: float
    line: float
    inset: float
    hook: float


class TurnLane(Row):
    """`foot` and `below`: where the dot of a foot stands from the middle of the arc, towards
    its side and down; `amount` and `baseline`: where the amount begins; `fraction`: how
    its eighths are set; `spotting`: how far to the left the sign stands of where the dancer
    spots; `lasting`: the line under a turn that lasts."""

    y: float
    foot: float
    below: float
    amount: float
    baseline: float
    spotting: float
    fraction: FractionFigures
    lasting: LastingLine
    description: str


class SoundLane(Row):
    """A lane of its own below the stave for what is heard."""

    name: str
    y: float
    description: str


class WholeSign(Row):
    """What says one thing of the whole dancer. `name`: the element that says it, its attribute
    and value. On the stave and `below` it, y is from the floor line; `above` the counts, from
    their top; in a lane of sounds, from its middle. The sign stands at every x. `key` is the
    feature by which the key explains it, else its name."""

    name: str
    sign: str
    lane: Literal["stave", "above", "below", "hands heard", "feet heard"]
    y: float
    x: tuple[float, ...] = (0.0,)
    key: str = ""
    description: str

    @property
    def feature(self) -> str:
        return self.key or self.name


class PhrasingLane(Row):
    """The bow of a phrasing: `white` between it and what is under its ends, `inset` from the
    axes to its ends, `tip` and `thick` its thickness there and in the middle. It rises by
    `least` and by `growth` for each space of its length, and by no more than `greatest`; its
    controls are the `shoulder` of its length from its ends, and no farther than `run`."""

    white: float
    inset: float
    tip: float
    thick: float
    least: float
    growth: float
    greatest: float
    shoulder: float
    run: float
    description: str


class TextRows(Row):
    """Rows of texts: `first` is the distance that is the baseline of the first of them, further
    ones go `up` or down; `gap` is that which two in a row keep from each other, and `most` how
    far apart two frames are set at most for their sake, before one takes another row; where
    they keep outside of all ink of a line, `clear` is the white between."""

    name: str
    up: bool
    first: str
    gap: str = "text gap"
    most: str = ""
    clear: str = ""
    description: str


class TextMeasure(Row):
    """What the element of a text says by an attribute, and how that is printed behind its
    words; `example` is a value."""

    attribute: str
    printed: str
    example: str


class TextLane(Row):
    """Texts of one kind. A frame's have the name of its attribute or element. `called` is what
    messages call one; `size` the distance that is the size of its type.

    It stands in `rows` that it may share with others, `centred` on its axis or beginning there,
    and may be `broken` into several of them; or it is `beside` a sign, of which it is part; or
    XX Texts that are `lettered` and of one size stand in a row with a place for every letter.
    Texts are of a stave, or `of_the_line` as a whole, and then over its topmost stave, as
    repeats, and phrasings over the counts, are; all signs in lanes are of a stave.
    """

    name: str
    called: str
    size: str
    description: str
    slanted: bool = False
    heavy: bool = False
    rows: str = ""
    centred: bool = False
    broken: bool = False
    lettered: bool = False
    beside: bool = False
    of_the_line: bool = Field(default=False, alias="of-the-line")
    measure: TextMeasure | None = None

    def __hash__(self) -> int:
        # Texts with their widths are looked up by their lane.
        return hash(self.name)


class Lanes(Row):
    """What stands in lanes below the stave, in spaces, y from the floor line; and above the
    counts, from their top; and how texts are set, by their lanes, in their order in the rows."""

    rows: tuple[TextRows, ...]
    text: tuple[TextLane, ...]
    whole: tuple[WholeSign, ...]
    heard: tuple[SoundLane, ...]
    phrasing: PhrasingLane
    facing: FacingLane
    travel: TravelLane
    turn: TurnLane

    @cached_property
    def on_stave(self) -> tuple[WholeSign, ...]:
        """Those that say something of the whole dancer among the limbs' signs."""
        return tuple(row for row in self.whole if row.lane == "stave")

    @cached_property
    def off_stave(self) -> tuple[WholeSign, ...]:
        """Those above the counts and below the stave."""
        return tuple(row for row in self.whole if row.lane != "stave")

    @cached_property
    def below(self) -> Mapping[str, float]:
        """The heights of the lanes below the stave where all are used, the uppermost first."""
        heard = {row.name: row.y for row in self.heard}
        return {**heard, "facing": self.facing.y, "travel": self.travel.y, "turn": self.turn.y}

    @cached_property
    def lane_of(self) -> Mapping[str, str]:
        """The lanes below by the names of what stands there."""
        heard = {row.name: row.lane for row in self.whole if row.lane in self.below}
        return {**heard, "facing": "facing", "travel": "travel", "turn": "turn"}

    @cached_property
    def lane_of_sign(self) -> Mapping[str, str]:
        """The lanes of sounds by the signs that stand there."""
        return {row.sign: row.lane for row in self.whole if row.lane in self.below}

    def heights(self, used: Collection[str]) -> Mapping[str, float]:
        """Those of the lanes that are `used` in a line: the room of all others is closed up."""
        found, lift = dict[str, float](), 0.0
        for (name, y), after in zip_longest(self.below.items(), [*self.below.values()][1:]):
            if name in used:
                found[name] = y + lift
            elif after is not None:
                lift += y - after
        return found

    @cached_property
    def whole_features(self) -> Mapping[str, str]:
        """The features of all that say something of the whole dancer, by their names."""
        return {row.name: row.feature for row in self.whole}

    @cached_property
    def texts(self) -> Mapping[str, TextLane]:
        """The lanes of texts by their names."""
        return {row.name: row for row in self.text}

    @cached_property
    def measured(self) -> Mapping[str, TextMeasure]:
        """What texts say by attributes, by the names of their lanes."""
        return {row.name: row.measure for row in self.text if row.measure}
