"""Shots: the moments of a step one by one, with what limbs pass on the way to each.

In: the moments of a step, in the order of time. Out: `Shot`s. The first is the pose with which
the step begins; a frame has one for each place that a foot passes, and one for itself, unless
it is in the air, or only arms and head move in it.

    before │ frame                   │ frame
    fifth  │ (knee)  raised to front │ fifth
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass

from stavebound.check.feet import standing
from stavebound.dance.danced import Moment
from stavebound.dance.pose import FootPose, Free, Move, Pose, Sided, Standing
from stavebound.score.model import Rise, Side

CLOSED = "first"
"""The position in which a foot passes the other one, closed."""

SPOKEN = ("foot", "knee", "body", "turn", "travel")
"""What looks are of; frames that write nothing of it are not looked at."""


@dataclass(frozen=True, slots=True)
class Shot:
    """`frame` numbers the frames of the step, 0 of the pose before it; what only happens in a
    frame (springs, turns, steps) happens in that of its arrival (`arrives`). `off` are the feet
    that stood last before the frame."""

    moment: Moment
    pose: Pose
    frame: int
    arrives: bool
    off: tuple[Side, ...]

    @property
    def held(self) -> Pose:
        """The pose out of which its frame comes."""
        return self.moment.before


def shots(moments: Iterable[Moment]) -> tuple[Shot, ...]:
    return tuple(_shots(tuple(moments)))


def _shots(moments: tuple[Moment, ...]) -> Iterator[Shot]:
    off = standing(moments[0].before.feet)
    yield Shot(moments[0], moments[0].before, 0, arrives=False, off=off)
    for number, moment in enumerate(moments, 1):
        off = standing(moment.before.feet) or off
        for move in moment.posed.moves:
            if move.subject.kind == "foot" and move.via is not None:
                yield Shot(moment, _passing(moment.after, move), number, arrives=False, off=off)
        if standing(moment.after.feet) and (number == 1 or _is_of_the_step(moment)):
            yield Shot(moment, moment.after, number, arrives=True, off=off)


def _is_of_the_step(moment: Moment) -> bool:
    return any(subject.kind in SPOKEN for subject, _ in moment.posed.written)


def _passing(pose: Pose, move: Move) -> Pose:
    """The pose in which a foot passes the place of its way."""
    side = move.subject.side
    if side is None:
        return pose
    if isinstance(move.via, Standing):
        other = pose.feet.of(side.other)
        closed = Standing(other.rise if isinstance(other, Standing) else Rise.WHOLE, CLOSED)
        return pose._replace(feet=Sided[FootPose | None](closed, closed))
    if isinstance(move.via, Free):
        return pose._replace(feet=pose.feet.changed(side, move.via))
    return pose
