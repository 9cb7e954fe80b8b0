"""Lasting: a turn that lasts begins where something stands, and is the only one until it ends.

In: a `Danced`. Out: diagnostics. Where the dancer faces in the middle of a turn is not known, so
that nothing that asks for it may stand there.
"""

from __future__ import annotations

from bisect import bisect_left, bisect_right
from collections.abc import Iterator
from fractions import Fraction

from stavebound.dance.danced import Danced, Moment, turning_since
from stavebound.dance.pose import Free
from stavebound.diagnostics import Diagnostic
from stavebound.score.lanes import FacingChange, TurnChange
from stavebound.score.lexical import amount_text
from stavebound.score.model import Change, Side, WholeChange

STILL = "still"
FROM = "Let it last from a whole count or from a frame of the score to this one."
LATER = "Let the turn begin later, with fewer counts in lasts, or end before this."


def turns_last_from_a_moment(danced: Danced) -> Iterator[Diagnostic]:
    """A line begins at a whole count, or at a frame."""
    frames = {event.time for event in danced.timeline.events}
    starts = [section.start for section in danced.timeline.sections]
    for _, turn, since in _lasting(danced):
        at = bisect_right(starts, since) - 1
        if at < 0:
            what = "the turn would begin before the score does"
        elif since not in frames and (since - starts[at]).denominator > 1:
            before = amount_text(turn.lasts or Fraction(0))
            what = f"nothing is written {before} counts before this, where the turn would begin"
        else:
            continue
        yield Diagnostic("T429", what, turn.origin.of("lasts"), (FROM,))


def only_the_turn_lasts(danced: Danced) -> Iterator[Diagnostic]:
    """Nothing between turns too, asks where the dancer faces, or lifts the foot."""
    framed = [moment for moment in danced.moments if moment.event]
    times = [moment.event.time for moment in framed if moment.event]
    for moment, turn, since in _lasting(danced):
        end = moment.event.time if moment.event else since
        for between in framed[bisect_right(times, since) : bisect_left(times, end)]:
            yield from _against(turn, between)


def _against(turn: TurnChange, between: Moment) -> Iterator[Diagnostic]:
    related = ((turn.origin.span, "the turn that lasts"),)
    for change in between.changes:
        if what := _disturbing(change):
            told = f"{what} while a turn lasts"
            yield Diagnostic("T430", told, change.origin.span, (LATER,), related)
    side = next((side for side in Side if turn.on.value == side.value), None)
    if side and isinstance(between.after.feet.of(side), Free):
        told = f"the {side} foot is in the air while a turn lasts that is on it"
        yield Diagnostic("T430", told, between.origin.span, (LATER,), related)


def _disturbing(change: Change) -> str | None:
    match change:
        case TurnChange():
            return "there is another turn"
        case FacingChange():
            return "it is said where the dancer faces"
        case WholeChange(what) if what == STILL:
            return "the dancer is still"
    return None


def _lasting(danced: Danced) -> Iterator[tuple[Moment, TurnChange, Fraction]]:
    """Every turn that lasts, with its moment and the time at which it begins."""
    for moment in danced.moments:
        turn, since = moment.posed.turn, turning_since(moment)
        if turn and since is not None:
            yield moment, turn, since
