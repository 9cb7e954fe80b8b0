"""Holding: what is said to be held or still does not move, and is somewhere.

In: a `Danced`. Out: diagnostics.
"""

from __future__ import annotations

from collections.abc import Iterator

from stavebound.dance.danced import Danced, Moment
from stavebound.dance.state import BOTH, subjects
from stavebound.diagnostics import Diagnostic
from stavebound.score.lanes import FacingChange, TravelChange, TurnChange
from stavebound.score.model import Change, WholeChange

# What may be done while a position is held.
IN_LANES = (FacingChange, TurnChange, TravelChange, WholeChange)
# What moves of that which is held, by what the hold is of; of everything it is all.
KINDS = {"arms": ("hand", "elbow"), "legs": ("foot", "knee")}
# What may be said of a dancer who is still.
RESTING = ("still", "pause")


def nothing_held_moves(danced: Danced) -> Iterator[Diagnostic]:
    for moment, hold in _holds(danced):
        moved = next((change for change in moment.changes if _writes(change, hold, moment)), None)
        if moved:
            yield Diagnostic(
                "T411",
                f"{_what(hold)} held here, and something of it is written too",
                hold.origin.span,
                ("What is written moves: delete it, or the hold.",),
                ((moved.origin.span, "this is written"),),
            )


def nothing_moves_in_stillness(danced: Danced) -> Iterator[Diagnostic]:
    for moment in danced.moments:
        still = next((each for each in moment.changes if says(each, "still")), None)
        moved = next((each for each in moment.changes if not _rests(each)), None)
        if still and moved:
            yield Diagnostic(
                "T412",
                "the dancer is still here, and something is written too",
                still.origin.span,
                ("Write it in a frame of its own, before the stillness.",),
                ((moved.origin.span, "this is written"),),
            )


def nothing_passed_is_held(danced: Danced) -> Iterator[Diagnostic]:
    for moment in danced.moments:
        passed = next((each for each in moment.changes if says(each, "through")), None)
        paused = next((each for each in moment.changes if says(each, "pause")), None)
        if passed and paused:
            yield Diagnostic(
                "T432",
                "this is gone through without a stop, and held beyond its time",
                passed.origin.span,
                ("Delete one of the two.",),
                ((paused.origin.span, "the pause"),),
            )


def _rests(change: Change) -> bool:
    return isinstance(change, FacingChange) or says(change, *RESTING)


def says(change: Change, *names: str) -> bool:
    """Whether it says one of these things of the whole dancer."""
    return isinstance(change, WholeChange) and change.what in names


def held(hold: WholeChange) -> str | None:
    """What a hold is of: the arms or the legs; None of everything."""
    return hold.words[1] if hold.words else None


def something_is_held(danced: Danced) -> Iterator[Diagnostic]:
    for moment, hold in _holds(danced):
        arms = [moment.before.hands.of(side) for side in BOTH]
        legs = [moment.before.feet.of(side) for side in BOTH]
        taken = {"arms": any(arms), "legs": any(legs), None: any((*arms, *legs))}
        if not taken[held(hold)]:
            yield Diagnostic(
                "T413",
                f"{_what(hold)} held here, and nobody has taken a position",
                hold.origin.span,
                ("Write the position first, in the start or in an earlier frame.",),
            )


def _what(hold: WholeChange) -> str:
    what = held(hold)
    return f"the {what} are" if what else "everything is"


def _writes(change: Change, hold: WholeChange, moment: Moment) -> bool:
    if isinstance(change, IN_LANES):
        return False
    kinds = KINDS.get(held(hold) or "")
    return any(
        kinds is None or subject.kind in kinds for subject in subjects(change, moment.before)
    )


def _holds(danced: Danced) -> Iterator[tuple[Moment, WholeChange]]:
    for moment in danced.moments:
        for change in moment.changes:
            if isinstance(change, WholeChange) and change.what == "hold":
                yield moment, change
