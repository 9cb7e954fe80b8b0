"""Beats: legs beat in a spring, from a foot in front, and it lands as the last beat leaves them.

In: a `Danced`. Out: diagnostics. Which foot is in front at a beat is said against the take-off, or
by its side. The legs pass each other after every beat, but where a leg that is in the air stays
there and is struck by the other, as in a cabriole.
"""

from __future__ import annotations

from collections.abc import Iterator

from stavebound.check.phrasing import listed
from stavebound.dance.beats import beaten, front_foot
from stavebound.dance.danced import Danced, Moment
from stavebound.dance.pose import BOTH, Free
from stavebound.diagnostics import Diagnostic
from stavebound.score.model import PLAIN, Beat, FeetChange, FootChange, Transfer

# What is said of a spring alone.
FLIGHT = ("beats", "legs", "size")


def flight_of_a_spring(danced: Danced) -> Iterator[Diagnostic]:
    for moment in danced.moments:
        for change in _of_feet(moment):
            if change.flight != PLAIN and change.by is not Transfer.SPRING:
                written = [name for name in FLIGHT if getattr(change.flight, name)]
                yield Diagnostic(
                    "T518",
                    f"a spring has {listed(written)}, and this is none",
                    change.origin.of(*written),
                    (f'Write by="spring" too, or delete {listed(written)}.',),
                )


def beats_from_a_front_foot(danced: Danced) -> Iterator[Diagnostic]:
    for moment, change in _springs(danced):
        said = [beat for beat in change.flight.beats if beat in (Beat.SAME, Beat.OTHER)]
        if said and any(moment.before.feet) and front_foot(moment.before.feet) is None:
            yield Diagnostic(
                "T519",
                f"neither foot is in front at the take-off, so that “{said[0]}” names none",
                change.origin.of("beats"),
                ('Write the foot by its side: beats="right" or beats="left".',),
            )


def landing_after_the_last_beat(danced: Danced) -> Iterator[Diagnostic]:
    for moment, change in _springs(danced):
        beats = beaten(change.flight.beats, moment.before.feet)
        lands = front_foot(moment.after.feet)
        if beats and lands is beats[-1] and not _stays(moment):
            last = change.flight.beats[-1]
            yield Diagnostic(
                "T520",
                f"the {lands} foot is in front at the last beat, and still when it lands",
                change.origin.of("beats"),
                (
                    f"Land with the {lands.other} foot in front, or end the beats otherwise than "
                    f"with “{last}”.",
                ),
            )


def _stays(moment: Moment) -> bool:
    """Whether a leg is in the air in the same direction before and after."""
    feet = ((moment.before.feet.of(side), moment.after.feet.of(side)) for side in BOTH)
    return any(
        isinstance(one, Free) and isinstance(other, Free) and one.direction is other.direction
        for one, other in feet
    )


def _springs(danced: Danced) -> Iterator[tuple[Moment, FeetChange | FootChange]]:
    for moment in danced.moments:
        for change in _of_feet(moment):
            if change.by is Transfer.SPRING and moment.event is not None:
                yield moment, change


def _of_feet(moment: Moment) -> Iterator[FeetChange | FootChange]:
    return (each for each in moment.changes if isinstance(each, FeetChange | FootChange))
