"""Lifted: a foot that leaves the floor comes down again.

In: a `Danced`. Out: warnings. A leg may be held up as long as the dance wants it: then
the score says so, with a hold, a stillness or a pause. One that was lifted before the last
phrase, or eight counts before the end, and of which nothing is said from then on, was
most likely forgotten; so was one that a later phrase bends like a standing leg.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from fractions import Fraction

from stavebound.check.holding import RESTING, held
from stavebound.dance.danced import Danced, Moment
from stavebound.dance.pose import FootPose, Free, Standing, Subject
from stavebound.dance.state import BOTH, subjects
from stavebound.diagnostics import Diagnostic, Severity
from stavebound.score.counts import TimedPhrase
from stavebound.score.lexical import at_text
from stavebound.score.model import (
    Bend,
    Change,
    FootChange,
    KneesChange,
    Side,
    WholeChange,
)

# As dancers count, the longest that goes without saying.
EIGHT = 8


@dataclass(frozen=True, slots=True)
class _Lift:
    """A foot that is off the floor, and where it was last spoken of."""

    side: Side
    change: FootChange
    section: TimedPhrase
    time: Fraction
    at: str


def lifted_feet_come_down(danced: Danced) -> Iterator[Diagnostic]:
    """To the end, or until a later phrase bends both knees."""
    for side in BOTH:
        lift: _Lift | None = None
        for moment in danced.moments:
            bent = lift and _bends_both(moment)
            if lift and bent and moment.event and moment.event.section is not lift.section:
                what = "bends both knees as if both feet stood"
                yield _fault(lift, f"the phrase of this frame {what}", bent)
            lift = _after(moment, side, lift)
        if lift and danced.moments[-1].event and _is_long(lift, danced):
            rest = danced.timeline.end - lift.time
            yield _fault(lift, f"nothing lowers it in the {rest} counts to the end", None)


def _after(moment: Moment, side: Side, before: _Lift | None) -> _Lift | None:
    """The lift that is not spoken of any more after the moment; None where there is none."""
    foot, event = moment.after.feet.of(side), moment.event
    if event is None or not is_off_the_floor(foot):
        return None
    written = [
        change for change in moment.changes if Subject("foot", side) in _limbs(change, moment)
    ]
    last = written[-1] if written else None
    if isinstance(last, FootChange) and not any(map(_holds, moment.changes)):
        return _Lift(side, last, event.section, event.time, at_text(event.frame.at))
    return None if any(_speaks(change, side, moment) for change in moment.changes) else before


def is_off_the_floor(foot: FootPose | None) -> bool:
    return isinstance(foot, Free) and foot.place != "pointed"


def _limbs(change: Change, moment: Moment) -> tuple[Subject, ...]:
    return subjects(change, moment.after)


def _speaks(change: Change, side: Side, moment: Moment) -> bool:
    """Whether something is said of a leg: of its foot or its knee alone, or that it is held."""
    own = {Subject("foot", side), Subject("knee", side)}
    both = isinstance(change, KneesChange) and change.side is None
    return _holds(change) or (not both and bool(own & set(_limbs(change, moment))))


def _holds(change: Change) -> bool:
    if not isinstance(change, WholeChange):
        return False
    return change.what in RESTING or (change.what == "hold" and held(change) != "arms")


def _bends_both(moment: Moment) -> KneesChange | None:
    """Where both knees bend, and nothing is written of the feet."""
    if any(
        subject.kind == "foot" for change in moment.changes for subject in _limbs(change, moment)
    ):
        return None
    knees = (each for each in moment.changes if isinstance(each, KneesChange))
    return next((each for each in knees if each.side is None and each.bend is not Bend.NONE), None)


def _is_long(lift: _Lift, danced: Danced) -> bool:
    """Where both feet are in the air, another rule tells."""
    last = danced.timeline.sections[-1]
    if not isinstance(danced.moments[-1].after.feet.of(lift.side.other), Standing):
        return False
    return lift.section is not last or danced.timeline.end - lift.time > EIGHT


def _fault(lift: _Lift, then: str, where: KneesChange | None) -> Diagnostic:
    return Diagnostic(
        "T516",
        f"the {lift.side} foot is off the floor from {lift.at} on, and {then}",
        lift.change.origin.of("place", "raised", "height"),
        (
            'Write where it comes down, such as <feet in="fifth" front="right"/>.',
            'Where the leg is held, say so: <hold of="legs"/>.',
        ),
        ((where.origin.span, "both knees bend here"),) if where else (),
        severity=Severity.WARNING,
    )
