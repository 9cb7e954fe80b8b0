"""Holding: what is said to be held or still does not move, and is somewhere.

In: a `Danced`. Out: diagnostics.
"""

from __future__ import annotations

from collections.abc import Iterator

from stavebound.dance.danced import Danced, Moment
from stavebound.dance.state import BOTH, subjects
from stavebound.diagnostics import Diagnostic
from stavebound.score.lanes import Accent, FacingChange, Pause, TravelChange, TurnChange
from stavebound.score.model import Change, Held, Hold, Still

# What may be done while a position is held.
IN_LANES = (FacingChange, TurnChange, TravelChange, Accent, Pause)
KINDS = {Held.ARMS: ("hand", "elbow"), Held.LEGS: ("foot", "knee")}


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
        still = next((each for each in moment.changes if isinstance(each, Still)), None)
        resting = (Still, FacingChange, Pause)
        moved = next((each for each in moment.changes if not isinstance(each, resting)), None)
        if still and moved:
            yield Diagnostic(
                "T412",
                "the dancer is still here, and something is written too",
                still.origin.span,
                ("Write it in a frame of its own, before the stillness.",),
                ((moved.origin.span, "this is written"),),
            )


def something_is_held(danced: Danced) -> Iterator[Diagnostic]:
    for moment, hold in _holds(danced):
        arms = [moment.before.hands.of(side) for side in BOTH]
        legs = [moment.before.feet.of(side) for side in BOTH]
        taken = {Held.ARMS: any(arms), Held.LEGS: any(legs), Held.ALL: any((*arms, *legs))}
        if not taken[hold.what]:
            yield Diagnostic(
                "T413",
                f"{_what(hold)} held here, and nobody has taken a position",
                hold.origin.span,
                ("Write the position first, in the start or in an earlier frame.",),
            )


def _what(hold: Hold) -> str:
    return "everything is" if hold.what is Held.ALL else f"the {hold.what} are"


def _writes(change: Change, hold: Hold, moment: Moment) -> bool:
    if isinstance(change, (Hold, Still, *IN_LANES)):
        return False
    kinds = KINDS.get(hold.what)
    return any(
        kinds is None or subject.kind in kinds for subject in subjects(change, moment.before)
    )


def _holds(danced: Danced) -> Iterator[tuple[Moment, Hold]]:
    for moment in danced.moments:
        for change in moment.changes:
            if isinstance(change, Hold):
                yield moment, change
