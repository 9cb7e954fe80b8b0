"""What the rules look at: a score, its time, and its poses change by change.

In: a score, the catalogue and the school by which its names are read. Out: a
frozen `Subject`. Moments stand in the order of the file, the start first. A
step is doubtful where the hand it moves rests on a name that nobody knows, so
that one slip of the pen is not reported as two.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from stavebound.dance.pose import Pose
from stavebound.dance.state import BOTH, apply, begun, in_turn
from stavebound.score.counts import Event, Timeline, time_line
from stavebound.score.model import ArmsChange, Change, HandChange, Origin, Score, Side
from stavebound.trade.catalogue import Catalogue
from stavebound.trade.naming import arms_shape, hand_shape
from stavebound.trade.tables import School

Sides = frozenset[Side]


@dataclass(frozen=True, slots=True)
class Step:
    """A change, and the pose before and after it; `doubted` and `doubtful` are the hands
    that are not known before and after."""

    change: Change
    before: Pose
    after: Pose
    doubted: Sides
    doubtful: Sides


@dataclass(frozen=True, slots=True)
class Moment:
    """The changes of one frame, or of the start (`event` None); poses round them."""

    origin: Origin
    event: Event | None
    steps: tuple[Step, ...]
    before: Pose
    after: Pose

    @property
    def changes(self) -> tuple[Change, ...]:
        return tuple(step.change for step in self.steps)


@dataclass(frozen=True, slots=True)
class Subject:
    score: Score
    catalogue: Catalogue
    school: School
    timeline: Timeline
    moments: tuple[Moment, ...]

    @property
    def steps(self) -> Iterator[Step]:
        return (step for moment in self.moments for step in moment.steps)


def subject_of(score: Score, catalogue: Catalogue, school: School) -> Subject:
    timeline = time_line(score)
    moments = tuple(_moments(score, timeline, catalogue, school))
    return Subject(score, catalogue, school, timeline, moments)


def _moments(
    score: Score, timeline: Timeline, catalogue: Catalogue, school: School
) -> Iterator[Moment]:
    start = score.start.changes if score.start else ()
    pose, doubtful = begun(start, school), Sides()
    for origin, event, changes in _written(score, timeline):
        before, steps = pose, []
        for change in in_turn(changes):
            doubted, doubtful = doubtful, _doubts(change, doubtful, catalogue, school)
            after = apply(change, pose, catalogue, school)
            steps.append(Step(change, pose, after, doubted, doubtful))
            pose = after
        yield Moment(origin, event, tuple(steps), before, pose)


def _written(
    score: Score, timeline: Timeline
) -> Iterator[tuple[Origin, Event | None, tuple[Change, ...]]]:
    start = score.start
    yield (start.origin, None, start.changes) if start else (score.origin, None, ())
    for event in timeline.events:
        yield event.frame.origin, event, event.frame.changes


def _doubts(change: Change, doubtful: Sides, catalogue: Catalogue, school: School) -> Sides:
    match change:
        case ArmsChange(name):
            return Sides() if arms_shape(catalogue, school, name) else Sides(BOTH)
        case HandChange(side, name) if name:
            known = hand_shape(catalogue, school, name)
            return doubtful - {side} if known else doubtful | {side}
        case HandChange(side) if change.height and change.out is not None and change.depth:
            return doubtful - {side}
    return doubtful
