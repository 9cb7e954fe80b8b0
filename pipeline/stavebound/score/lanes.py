"""What stands in lanes and has a meaning of its own: where the dancer faces, turns and travels to.

Directions are eighths of a circle, clockwise as seen from above: 0 is the front,
where the audience is, or the dancer's own front; 2 is right, 6 is left. On paper
the audience is at the top, so that clockwise there is a turn to the right.

          front 0
    7  ↖    ↑    ↗  1
    6  ←         →  2
    5  ↙    ↓    ↘  3
          back 4
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from enum import StrEnum
from fractions import Fraction

from stavebound.score.origin import Origin, Side, origin_field
from stavebound.trade.tables import School

DIRECTIONS = (
    "front",
    "front right",
    "right",
    "back right",
    "back",
    "back left",
    "left",
    "front left",
)
EIGHTHS = len(DIRECTIONS)


class TurnedOn(StrEnum):
    RIGHT = "right"
    LEFT = "left"
    BOTH = "both"
    NEITHER = "neither"

    def on(self, side: Side) -> bool:
        return self is TurnedOn.BOTH or self.value == side.value


class Front(StrEnum):
    """Whose front a direction goes by."""

    BODY = "body"
    STAGE = "stage"


class TravelPath(StrEnum):
    STRAIGHT = "straight"
    CURVED_RIGHT = "curved right"
    CURVED_LEFT = "curved left"
    CIRCLING_RIGHT = "circling right"
    CIRCLING_LEFT = "circling left"


class SmallSteps(StrEnum):
    """Many of them, as many as there is time for."""

    WALKING = "walking"
    RUNNING = "running"
    BOURREE = "bourrée"

    @property
    def sign(self) -> str:
        """The name of its sign, which is its feature too."""
        return f"steps {self.name.lower()}"


@dataclass(frozen=True, slots=True)
class FacingChange:
    """Where the dancer faces, as written: in words, or by a number of the school."""

    to: str
    origin: Origin = origin_field()


@dataclass(frozen=True, slots=True)
class TurnChange:
    """`by` is in whole turns, an exact number of eighths and never nought; `lasts` is in counts,
    None where it begins at the frame before; `spotting` is one of DIRECTIONS."""

    to: Side
    by: Fraction
    on: TurnedOn
    lasts: Fraction | None = None
    spotting: str | None = None
    origin: Origin = origin_field()

    @property
    def eighths(self) -> int:
        """Clockwise above nought."""
        return self.to.sign * int(self.by * EIGHTHS)


@dataclass(frozen=True, slots=True)
class TravelChange:
    """`to` is one of DIRECTIONS."""

    to: str
    of: Front
    path: TravelPath = TravelPath.STRAIGHT
    steps: SmallSteps | None = None
    origin: Origin = origin_field()


LaneChange = FacingChange | TurnChange | TravelChange


def direction_of(written: str, school: School) -> int | None:
    """The eighth of a written direction; None where the school has no such number."""
    if written in DIRECTIONS:
        return DIRECTIONS.index(written)
    name = next((word for word, number in school.room.items() if str(number) == written), None)
    return None if name is None else DIRECTIONS.index(name)


def turned(facing: int, turns: Iterable[TurnChange]) -> int:
    """Where the dancer faces after the turns."""
    return (facing + sum(turn.eighths for turn in turns)) % EIGHTHS


def facing_written(changes: Iterable[object], school: School) -> int:
    """Where a starting position faces: as it says, else to the front."""
    written = next((change for change in changes if isinstance(change, FacingChange)), None)
    return (direction_of(written.to, school) if written else None) or 0
