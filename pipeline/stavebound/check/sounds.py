"""Sounds: a foot that stamps, or whose heel beats, is on the floor then.

In: a `Danced`. Out: diagnostics.
"""

from __future__ import annotations

from collections.abc import Iterator

from stavebound.check.holding import says
from stavebound.check.lifted import is_off_the_floor
from stavebound.dance.danced import Danced
from stavebound.diagnostics import Diagnostic
from stavebound.score.model import Change, Side, WholeChange

# What feet sound, and the word for all of them at once.
BY_FEET, OF_BOTH = ("stamp", "heel-beat"), "both"


def sounding_feet_are_on_the_floor(danced: Danced) -> Iterator[Diagnostic]:
    for moment in danced.moments:
        for change in moment.changes:
            for side in feet_heard(change):
                if is_off_the_floor(moment.after.feet.of(side)):
                    yield Diagnostic(
                        "T414",
                        f"the {side} foot is off the floor here, and cannot be heard on it",
                        change.origin.of("side"),
                        ("Put the foot on the floor in this frame, and lift it in one after it.",),
                    )


def feet_heard(change: Change) -> tuple[Side, ...]:
    """The feet that stamp, or whose heels beat, by this change; none by any other."""
    if not isinstance(change, WholeChange) or not says(change, *BY_FEET):
        return ()
    _, said = change.words or ("", OF_BOTH)
    return tuple(side for side in Side if said in (side.value, OF_BOTH))
