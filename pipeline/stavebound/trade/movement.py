"""The shapes of the tables of movement: lines of weight and of limbs.

In: what TOML gives. Out: frozen, validated rows, as of every trade table.
"""

from __future__ import annotations

from collections.abc import Mapping

from stavebound.trade.tables import Row


class TransferLine(Row):
    """A form of weight: how thick at start, middle and end, and in the middle where it is cut there
    by the edge of a line of the score, the height at which it begins, that of its lane, how near
    to its end or its middle it bends, and how far it rises into its foot at the least.
    In the deeper lane its middle is no farther than `deep` from its foot, and its `reach` is that,
    so that it turns up behind the foot at which the line over it ends."""

    description: str
    widths: tuple[float, float, float]
    cut: float
    begin: float
    lane: float
    bend: float
    hook: float
    deep: float
    reach: float | None = None

    def lowered(self, by: float) -> TransferLine:
        """The same form in a lane below its own."""
        reach = self.deep if by and self.deep else None
        return self.model_copy(
            update={"begin": self.begin - by, "lane": self.lane - by, "reach": reach}
        )


class WeightLines(Row):
    """Where lines of weight begin and end: `trim` from the foot, `clear` under the lowest ink
    that is no farther than `beside`, and no higher than `highest`; `deeper` is the lane of one
    that would cross another."""

    trim: float
    clear: float
    beside: float
    highest: float
    deeper: float


class WayCost(Row):
    value: float
    description: str


class BowLine(Row):
    """The mark of a bow: its `rises` off a line's middle and how far `along` it, the best first;
    the `room` that it has in a gap, and how much `white` it wants to what, from its middle."""

    rises: tuple[float, ...]
    along: tuple[float, ...]
    room: float
    white: Mapping[str, float]


class WayLine(Row):
    """Lines of limbs: by how many steps, each of `turn` degrees, they may turn at their ends, and
    by how many where they are `eased` into being level at an edge; how far a straight one is
    `bowed` for each step; in which shares of the usual `depths` they may sag, and how far
    `off` places that they do not pass; how long the bar is
    with which one begins that is `held`; in how many `rounds` at most those of a gap are chosen,
    and how much dearer than the best a candidate may be that is looked at; up to how many steps
    are `calm`, and what costs are `spared` the plainest. `sag` is how far off the straight line
    the middle is, by form; `low`, how much lower it is where it passes the floor, and how unlike in
    height the ends of what is level may be; the others have lengths of their own."""

    turns: tuple[int, ...]
    eased: tuple[int, ...]
    turn: float
    reach: float
    bows: tuple[float, ...]
    bowed: Mapping[str, float]
    depths: tuple[float, ...]
    off: float
    held: float
    rounds: int
    slack: float
    calm: int
    spared: float
    white: Mapping[str, float]
    sag: Mapping[str, float]
    low: Mapping[str, float]
    bow: BowLine
    edge: Mapping[str, float]
    room: Mapping[str, float]
    counts: Mapping[str, float]
    abreast: Mapping[str, float]
    beside: Mapping[str, float]
    along: Mapping[str, float]
    unclear: Mapping[str, float]
    cost: Mapping[str, WayCost]


class SpringMarks(Row):
    """Where marks of a spring stand: the height of their middles, how much higher that is of
    several `over` one point, how far these are `apart`, how far the first is from the `edge` from
    which its line comes, and the `white` beside them. What reaches down to a height
    stands `beside` them."""

    y: float
    over: float
    apart: float
    edge: float
    white: float
    beside: float


class Moves(Row):
    """Lines of movement: ways of limbs, all of one `width`, and lines of weight, with what stands
    under springs, and over them."""

    width: float
    transfer: Mapping[str, TransferLine]
    weight: WeightLines
    beats: SpringMarks
    air: SpringMarks
    way: WayLine
