"""Danced: a score as it is danced, made once and handed to whoever looks at it.

In: a score, the catalogue, and the school by which its names are read. Out: a `Danced`: its
time, and for each dancer the moments in the order of the file, the start first, each with
the whole pose and how it came there, change by change. Rules, engraver, key and proof take
their time and poses from here and reckon neither anew.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from fractions import Fraction
from typing import NamedTuple

from stavebound.dance.pose import Pose, Posed, Step
from stavebound.dance.slightly import in_numbers
from stavebound.dance.state import fold
from stavebound.score.counts import Event, Timeline, time_line
from stavebound.score.model import Change, Score
from stavebound.score.origin import Origin, wherever
from stavebound.trade.catalogue import Catalogue
from stavebound.trade.tables import School


@wherever
class Moment(NamedTuple):
    """One frame, or the start (`event` None), as it is danced; `changes` are in the order in
    which they are applied."""

    origin: Origin
    event: Event | None
    posed: Posed
    changes: tuple[Change, ...]

    @property
    def steps(self) -> tuple[Step, ...]:
        """The changes in the order in which they are applied, with the poses round each."""
        return self.posed.steps

    @property
    def before(self) -> Pose:
        return self.posed.before

    @property
    def after(self) -> Pose:
        return self.posed.pose


def turning_since(moment: Moment) -> Fraction | None:
    """When a turn begins that lasts until this moment."""
    turn = moment.posed.turn
    return moment.event.time - turn.lasts if moment.event and turn and turn.lasts else None


@dataclass(frozen=True, slots=True)
class Danced:
    """`lines` has the moments of each dancer, today of one; `school` reads the score's names."""

    score: Score
    catalogue: Catalogue
    school: School
    timeline: Timeline
    lines: tuple[tuple[Moment, ...], ...]

    @property
    def moments(self) -> tuple[Moment, ...]:
        """Those of the only dancer."""
        (line,) = self.lines
        return line

    @property
    def poses(self) -> tuple[Posed, ...]:
        """Those of the start and of every frame."""
        return tuple(moment.posed for moment in self.moments)

    @property
    def steps(self) -> Iterator[Step]:
        return (step for moment in self.moments for step in moment.steps)


def dance(score: Score, catalogue: Catalogue, school: School) -> Danced:
    """A hand that is slightly otherwise than its shape is danced by its numbers."""
    score = in_numbers(score, catalogue, school)
    timeline = time_line(score)
    start = score.start.changes if score.start else ()
    changes = (start, *(event.frame.changes for event in timeline.events))
    line = moments(score, timeline, fold(changes, catalogue, school))
    return Danced(score, catalogue, school, timeline, (line,))


def moments(score: Score, timeline: Timeline, poses: Iterable[Posed]) -> tuple[Moment, ...]:
    """The start and every frame, each with its pose."""
    start = score.start.origin if score.start else score.origin
    places = ((start, None), *((event.frame.origin, event) for event in timeline.events))
    return tuple(
        Moment(origin, event, posed, tuple([step.change for step in posed.steps]))
        for (origin, event), posed in zip(places, poses, strict=True)
    )
