"""Facing: turns add up, and feet that are turned on stand.

In: a `Danced`. Out: diagnostics. Where the dancer faces changes by turns alone; a
facing that is written later must be what the start and the turns add up to.
"""

from __future__ import annotations

from collections.abc import Iterator
from fractions import Fraction

from stavebound.check.phrasing import listed
from stavebound.dance.danced import Danced, Moment
from stavebound.dance.pose import Free
from stavebound.dance.state import BOTH
from stavebound.diagnostics import Diagnostic
from stavebound.score.lanes import (
    DIRECTIONS,
    EIGHTHS,
    FacingChange,
    TurnChange,
    TurnedOn,
    direction_of,
)
from stavebound.score.lexical import amount_text

# So many turns are told one by one; of more, the sum alone.
TOLD = 6
# The shortest turn in which the head is left behind and brought round.
HALF = Fraction(1, 2)


def number_of_the_school(danced: Danced) -> Iterator[Diagnostic]:
    """Plain words are understood by every school, numbers only where its table has them."""
    for _, facing in _facings(danced):
        if direction_of(facing.to, danced.school) is None:
            yield Diagnostic(
                "T421",
                f"the {danced.school.label} school has no number {facing.to} for a direction "
                "of the room",
                facing.origin.of("to"),
                (f"Write it in words: {listed(DIRECTIONS, 'or')}.",),
            )


def facing_follows_from_the_turns(danced: Danced) -> Iterator[Diagnostic]:
    turns: list[TurnChange] = []
    begin = danced.moments[0].before.facing
    for moment in danced.moments:
        turns += _turns(moment)
        for facing in (each for each in moment.changes if isinstance(each, FacingChange)):
            written, summed = direction_of(facing.to, danced.school), moment.after.facing
            if written is not None and written != summed:
                yield Diagnostic(
                    "T422",
                    f"the dancer faces {DIRECTIONS[summed]} here, not {DIRECTIONS[written]}",
                    facing.origin.of("to"),
                    (_sum(begin, turns, summed), _mend(written - summed)),
                    tuple((turn.origin.span, "the last turn") for turn in turns[-1:]),
                )


def turned_on_standing_feet(danced: Danced) -> Iterator[Diagnostic]:
    for moment, turn in _all_turns(danced):
        for side in BOTH:
            if turn.on.value == side.value and isinstance(moment.after.feet.of(side), Free):
                yield Diagnostic(
                    "T423",
                    f"the turn is on the {side} foot, and that foot is in the air",
                    turn.origin.of("on"),
                    (
                        f"Turn on the other, on=“{side.other}”, or let the {side} foot stand "
                        "until the turn has ended.",
                    ),
                )


def turned_on_both_feet(danced: Danced) -> Iterator[Diagnostic]:
    for moment, turn in _all_turns(danced):
        free = [side for side in BOTH if isinstance(moment.after.feet.of(side), Free)]
        if turn.on is TurnedOn.BOTH and free:
            both = len(free) > 1
            yield Diagnostic(
                "T424",
                "the turn is on both feet, and "
                + ("both are in the air" if both else f"the {free[0]} one is in the air"),
                turn.origin.of("on"),
                (
                    "Write on=“neither” for a turn in the air."
                    if both
                    else f"Write on=“{free[0].other}”, the foot that stands.",
                ),
            )


def spotted_turns(danced: Danced) -> Iterator[Diagnostic]:
    """In less than half a turn the head has no need to stay behind."""
    for _, turn in _all_turns(danced):
        if turn.spotting and turn.by < HALF:
            yield Diagnostic(
                "T431",
                f"a turn of {amount_text(turn.by)} is too short to be spotted",
                turn.origin.of("spotting"),
                ("Leave spotting out, or write in by= how far the turn goes in all.",),
            )


def _sum(begin: int, turns: list[TurnChange], summed: int) -> str:
    """The turns added up, in words."""
    start = f"At the start the dancer faces {DIRECTIONS[begin]}"
    if not turns:
        return f"{start}, and no turn is written since."
    if len(turns) > TOLD:
        total = sum(turn.eighths for turn in turns)
        way = "right" if total >= 0 else "left"
        told = f"{len(turns)} turns since are {_eighths(abs(total))} to the {way} in all"
    else:
        told = "then turns " + listed(
            (f"{amount_text(turn.by)} to the {turn.to}" for turn in turns), "then"
        )
    return f"{start}, {told}: that is {DIRECTIONS[summed]}."


def _eighths(count: int) -> str:
    return "an eighth" if count == 1 else f"{count} eighths"


def _mend(eighths: int) -> str:
    """The shortest turn that is missing."""
    short = (eighths + EIGHTHS // 2) % EIGHTHS - EIGHTHS // 2
    way = "right" if short > 0 else "left"
    by = {1: "1/8", 2: "1/4", 3: "3/8", 4: "1/2"}[abs(short)]
    return f'Write the turn that leads there, such as <turn to="{way}" by="{by}" on="both"/>.'


def _facings(danced: Danced) -> Iterator[tuple[Moment, FacingChange]]:
    for moment in danced.moments:
        for change in moment.changes:
            if isinstance(change, FacingChange):
                yield moment, change


def _turns(moment: Moment) -> Iterator[TurnChange]:
    return (change for change in moment.changes if isinstance(change, TurnChange))


def _all_turns(danced: Danced) -> Iterator[tuple[Moment, TurnChange]]:
    for moment in danced.moments:
        for turn in _turns(moment):
            yield moment, turn
