"""The reader's own table of shapes and signs, as validated rows.

In: shapes.toml. Out: a frozen `Table`. A row with an unknown or missing field
is refused by pydantic with the field's name.
"""

from __future__ import annotations

import re
import tomllib
from collections.abc import Mapping
from functools import cached_property
from importlib.resources import files
from typing import Literal

from pydantic import Field, model_validator

from stavebound.trade.tables import Row

Offset = tuple[float, float]


class ToleranceRow(Row):
    """How far ink may be from its row: spaces, and degrees."""

    length: float
    width: float
    angle: float
    place: float
    description: str


class WrittenRow(Row):
    """How far out a score can say that a limb is: statures."""

    out: float
    description: str


class MovedRow(Row):
    """How far a sign may have been moved for clearance, in spaces."""

    up: float
    out: float
    description: str


class BrokenRow(Row):
    """Round which signs, this near to a line of the stave, it is broken, and with how much
    white to either side, in spaces."""

    signs: tuple[str, ...]
    white: float
    near: float
    description: str


class Zone(Row):
    lowest: float
    description: str


class CentreLine(Row):
    """The white between signs of one part, and how far aside of the axis they may be; the sign
    of a part that does not lean."""

    gap: float
    aside: float
    straight: str
    description: str


class Measured(Row):
    """What stands behind the words of a text, or alone: an attribute, and how that is told, by
    itself or by a note, for which its value stands here."""

    attribute: str
    pattern: str
    noted: str

    def ends(self, text: str) -> bool:
        """Whether a text tells its measure, behind which there are no more words."""
        return re.search(rf"{self.noted}$|{self.pattern}\)?$", text) is not None


class TextRow(Row):
    """The texts of frames in one lane: `over` the counts or `under` the stave, how they look,
    whether they are `centred` on their axis or begin there; those `of_line` stand over the
    topmost stave of a line, and are said of all its staves."""

    name: str
    stands: Literal["over", "under"]
    slanted: bool
    heavy: bool
    centred: bool = False
    of_line: bool = False
    measure: Measured | None = None
    description: str

    @property
    def look(self) -> tuple[str, bool, bool]:
        return self.stands, self.slanted, self.heavy


class TextZone(Row):
    """`edge`: how near to the edge of a line a text may have been moved; `lane`: texts of
    frames, told apart by their looks."""

    edge: float
    lane: tuple[TextRow, ...]
    description: str

    @model_validator(mode="after")
    def _told_apart(self) -> TextZone:
        if len({row.look for row in self.lane}) < len(self.lane):
            raise ValueError("two lanes of texts look alike")
        return self


class ShapeRow(Row):
    """A form of ink; what a kind has no use for is nought."""

    name: str
    kind: Literal["stroke", "disc", "ring", "band"]
    description: str
    length: float
    width: float = 0.0
    angle: float = 0.0
    bulge: float = 0.0


class SignPart(Row):
    shape: str
    at: Offset = (0.0, 0.0)
    turned: Literal[1, -1] = 1


class SignRow(Row):
    name: str
    description: str
    parts: tuple[SignPart, ...]


class MarkRow(Row):
    """What is attached to other signs: where its own centre is, by the sign's name."""

    name: str
    description: str
    parts: tuple[SignPart, ...]
    at: Mapping[str, Offset]


class DepartureRow(Row):
    """A sign that says of a limb that it departs from the usual: the attribute and its value,
    and where it stands. `turned` 1 where it opens outward, -1 where inward, 0 where it looks
    the same turned over."""

    name: str
    says: str
    of: tuple[Literal["hand", "free", "standing"], ...]
    sign: str
    place: Literal["beside", "inside", "under"] = "beside"
    turned: Literal[1, 0, -1] = 0


class LeaningRow(Row):
    """A lean in one direction: its signs by their amount, and how they are turned."""

    signs: tuple[str, ...]
    turned: Literal[1, 0, -1] = 0


class LeanRead(Row):
    """A way in which head, body and hips lean, by its directions."""

    name: str
    to: Mapping[str, LeaningRow]


class TransferRow(Row):
    """A line of weight: how thick at its start, in its middle and at its end, and where it comes
    from an edge, at which its middle is cut, and the heights at
    which it begins and in which its middle is, in spaces."""

    widths: tuple[float, float, float]
    cut: float
    begin: float
    lane: float


class Ways(Row):
    """Lines of movement: how thick those of limbs are; how far from the feet those of weight
    begin, no higher than what they end, and how much deeper one is that would cross another, or
    how much later it may begin; the white between others and the signs of their limbs, at start
    and end, how far a sign with a hook reaches on that side, and how long the bar is with which
    they begin where there is none; how far off the straight line their middle is, by form, and
    how far at least, and how far a straight one may bow
    below that height; how much lower a foot passes what is on the floor; how far the mark of a bow
    is off its middle, and along it; how far from the edge one begins that comes from the line
    before, or goes on to the next, how far those of two limbs are there from the middle between
    both, and how high that is at most (`breaks`); how near to all this they are, and how near to
    the middle of a sign what is `level` comes; how high the `marks` of a spring
    stand, its beats and its others, how far `apart` they are, and how far the first is from the
    `edge` from which its line comes. All in spaces, but from which angle on a line turns in a
    point, in degrees."""

    description: str
    width: float
    trim: float
    highest: float
    deeper: float
    later: float
    turn: float
    white: Mapping[str, float]
    hooked: Mapping[str, float]
    held: float
    sag: Mapping[str, float]
    least: Mapping[str, float]
    rises: tuple[float, ...]
    along: tuple[float, ...]
    inset: float
    apart: float
    breaks: float
    abreast: float
    under: float
    slight: Mapping[str, float]
    near: float
    level: float
    marks: Mapping[str, Mapping[str, float]]
    transfer: Mapping[str, TransferRow]


class FractionRow(Row):
    """Small figures beside a fraction slash: their size, and how far the upper ones are
    raised, in em of the slash."""

    description: str
    size: float
    rise: float


class PhrasingRow(Row):
    """The bow of a phrasing: how far from the axes its ends are, how thick it is there and
    in the middle, in spaces."""

    description: str
    inset: float
    tip: float
    thick: float


class LastingRow(Row):
    """The line of a turn that lasts, in spaces: its middle from that of the arc, how thick it is,
    how far from the axes its ends are and how high the hooks rise there from its middle; `highest`
    is where strokes are of such a line at the highest, `least` is longer than any of a sign."""

    description: str
    y: float
    line: float
    inset: float
    hook: float
    highest: float
    least: float


class RepeatWordsRow(Row):
    fine: str
    to_coda: str = Field(alias="to-coda")
    da_capo: str = Field(alias="da-capo")
    dal_segno: str = Field(alias="dal-segno")
    al_fine: str = Field(alias="al-fine")
    al_coda: str = Field(alias="al-coda")
    repeats: str
    times: str


class RepeatsRow(Row):
    """Bar lines of repeats and what stands above them, in spaces; `number` is where the
    number of an ending begins, from the left end of its bracket's line."""

    description: str
    together: float
    dots: float
    inset: float
    bracket: float
    hook: float
    number: Offset
    gap: float
    words: RepeatWordsRow


class Table(Row):
    tolerance: ToleranceRow
    moved: MovedRow
    written: WrittenRow
    foot: MovedRow
    house_foot: MovedRow = Field(alias="house-foot")
    broken: BrokenRow
    hand: Zone
    free: Zone
    knee: Zone
    elbow: Zone
    centre: CentreLine
    fraction: FractionRow
    text: TextZone
    ways: Ways
    phrasing: PhrasingRow
    lasting: LastingRow
    repeats: RepeatsRow
    shape: tuple[ShapeRow, ...]
    sign: tuple[SignRow, ...]
    mark: tuple[MarkRow, ...]
    departure: tuple[DepartureRow, ...]
    lean: tuple[LeanRead, ...]

    @cached_property
    def abreast(self) -> frozenset[str]:
        """The signs that stand on the centre line beside others of one part."""
        leaning = (name for row in self.lean for own in row.to.values() for name in own.signs)
        return frozenset((self.centre.straight, *leaning))


def load_table() -> Table:
    """The packaged table. pydantic's ValidationError where it is malformed."""
    text = files("stavebound.readback").joinpath("shapes.toml").read_text(encoding="utf-8")
    return Table.model_validate(tomllib.loads(text))
