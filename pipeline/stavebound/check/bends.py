"""Bends: a standing knee that was bent, and never written straight again.

In: a `Danced`. Out: warnings, at the bend. A knee that was bent for a push or a landing is held so
until it is written: all that follows is danced in plié. It was forgotten, most likely, where its
foot rises, where it is turned on, where a leg is raised by a name that says straight, where the
dancer is held still, and where more than eight counts go by. A spring bends anew. A bend that is
kept on purpose says so.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from fractions import Fraction

from stavebound.check.holding import RESTING, says
from stavebound.check.promises.steps import named_steps
from stavebound.dance.danced import Danced, Moment
from stavebound.dance.pose import BOTH, FEET, KNEES, Free, Standing
from stavebound.diagnostics import Diagnostic, Severity
from stavebound.score.lexical import at_text
from stavebound.score.model import Bend, KneesChange, Rise, Side

# As dancers count, the longest that goes without saying.
EIGHT = 8
# Where a free foot is, its knee is bent by itself.
DRAWN_IN = ("ankle", "calf", "knee")
# By a moment's identity, the name that says straight there.
Names = Mapping[int, str]


@dataclass(frozen=True, slots=True)
class _Bent:
    """A standing knee that is bent, where that was written, and since when it is held."""

    change: KneesChange
    at: str
    since: Fraction


def bends_forgotten(danced: Danced) -> Iterator[Diagnostic]:
    names = {
        id(moment): step.name
        for step in named_steps(danced)
        if any(row.straight for row in step.rows)
        for moment in step.moments
    }
    told = set[int]()
    for side in BOTH:
        bent: _Bent | None = None
        for moment in danced.moments:
            bent = _held(moment, side, bent, danced)
            why = bent and _forgotten(moment, side, bent, names)
            if bent and why:
                if id(bent.change) not in told:
                    yield _fault(bent, side, moment, why)
                told.add(id(bent.change))
                bent = None
        rest = danced.timeline.end - bent.since if bent else 0
        if bent and rest > EIGHT and id(bent.change) not in told:
            told.add(id(bent.change))
            yield _fault(bent, side, danced.moments[-1], f"{rest} counts are over at the end")


def _held(moment: Moment, side: Side, before: _Bent | None, danced: Danced) -> _Bent | None:
    """The bend that is held at a moment, None where there is none, or one that is meant."""
    event = moment.event
    time = event.time if event else danced.timeline.sections[0].start
    written = [one for one in moment.changes if isinstance(one, KneesChange)]
    own = next((one for one in reversed(written) if one.side in (None, side)), None)
    if own:
        stands = isinstance(moment.after.feet.of(side), Standing)
        if own.bend is Bend.NONE or own.kept or not stands:
            return None
        return _Bent(own, at_text(event.frame.at) if event else "the start", time)
    springs = any(move.kind == "spring" for move in moment.posed.moves)
    return _Bent(before.change, before.at, time) if before and springs else before


def _forgotten(moment: Moment, side: Side, bent: _Bent, names: Names) -> str | None:
    """What is danced with a bend that was written before, and would not be meant so."""
    foot, event = moment.after.feet.of(side), moment.event
    drawn_in = isinstance(foot, Free) and foot.place in DRAWN_IN
    if event is None or moment.posed.origin(KNEES[side]) or drawn_in:
        return None
    if _rises(moment, side):
        return f"the {side} foot rises"
    turn = moment.posed.turn
    if turn and turn.on.on(side):
        return f"a turn is made on the {side} foot"
    if id(moment) in names and _raises(moment):
        return f"“{names[id(moment)]}” says that a leg is straight"
    if any(says(change, *RESTING) for change in moment.changes):
        return "the dancer is held still"
    return "more than eight counts are over" if event.time - bent.since > EIGHT else None


def _rises(moment: Moment, side: Side) -> bool:
    """Whether a foot goes up on half or full point, or steps there."""
    before, after = moment.before.feet.of(side), moment.after.feet.of(side)
    stood = isinstance(before, Standing) and before.rise is not Rise.WHOLE
    return isinstance(after, Standing) and after.rise is not Rise.WHOLE and not stood


def _raises(moment: Moment) -> bool:
    """Whether a leg goes out, and not only to the other leg."""
    feet = [moment.after.feet.of(side) for side in BOTH if moment.posed.origin(FEET[side])]
    return any(isinstance(foot, Free) and foot.place not in DRAWN_IN for foot in feet)


def _fault(bent: _Bent, side: Side, moment: Moment, why: str) -> Diagnostic:
    then = f"at {at_text(moment.event.frame.at)}" if moment.event else "then"
    return Diagnostic(
        "T523",
        f"the {side} knee is bent at {bent.at}, and still {then}, where {why}",
        bent.change.origin.of("bend"),
        (
            f'Write where it is straight again: <knee side="{side}" bend="none"/>.',
            'Where the bend is meant, say so on it: kept="yes".',
        ),
        ((moment.origin.span, "still bent here"),),
        severity=Severity.WARNING,
    )
