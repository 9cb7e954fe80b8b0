"""The barre: it is a place in the room, and a hand on it is on its side.

In: a `Danced`. Out: diagnostics. At the start the barre is on the side of the hand
that holds it; the dancer turns, and the barre stays where it is.
"""

from __future__ import annotations

from collections.abc import Iterator

from stavebound.dance.danced import Danced, Moment
from stavebound.dance.state import BARRE, BOTH
from stavebound.diagnostics import Diagnostic
from stavebound.score.lanes import DIRECTIONS, EIGHTHS, TurnChange
from stavebound.score.model import HandChange, Side

QUARTER = EIGHTHS // 4
# In front of the dancer, and behind, both hands reach it.
BETWEEN = (0, EIGHTHS // 2)


def some_barre_to_hold(danced: Danced) -> Iterator[Diagnostic]:
    for _, hand in _on_the_barre(danced):
        if danced.score.barre is None:
            yield Diagnostic(
                "T426",
                f"the {hand.side} hand is on the barre, and the score has none",
                hand.origin.of("touching"),
                (f'Write <barre hand="{hand.side}"/> in the score.',),
            )


def hand_on_the_side_of_the_barre(danced: Danced) -> Iterator[Diagnostic]:
    barre = danced.score.barre
    if barre is None:
        return
    room = danced.moments[0].before.facing + barre.sign * QUARTER
    for moment, hand in _on_the_barre(danced):
        where = (room - moment.after.facing) % EIGHTHS
        side = _side(where)
        if side is hand.side.other:
            yield Diagnostic(
                "T427",
                f"the {hand.side} hand is on the barre, and the barre is on the {side}",
                hand.origin.of("touching"),
                _where(barre, moment, side, hand.side, DIRECTIONS[where]),
            )


def _where(barre: Side, moment: Moment, side: Side, hand: Side, now: str) -> tuple[str, str]:
    """Where the barre is by now, and what mends the other hand on it."""
    if moment.event is None:
        said = f'<barre hand="{barre}"/> says so.'
        return said, f'Write side="{side}", or <barre hand="{hand}"/>.'
    said = (
        f"It is on the dancer’s {barre} at the start, and {now} of the dancer here, by the turns."
    )
    return said, f'Write side="{side}", or the turn that is missing.'


def hand_left_on_the_barre(danced: Danced) -> Iterator[Diagnostic]:
    """A hand that is not written where a turn takes the barre to the dancer's other side."""
    barre = danced.score.barre
    if barre is None:
        return
    room = danced.moments[0].before.facing + barre.sign * QUARTER
    for moment in danced.moments:
        before = _side((room - moment.before.facing) % EIGHTHS)
        side = _side((room - moment.after.facing) % EIGHTHS)
        turns = [change for change in moment.changes if isinstance(change, TurnChange)]
        for hand in _held(moment) if turns else ():
            if before is not hand.other and side is hand.other:
                yield Diagnostic(
                    "T427",
                    f"the {hand} hand stays on the barre, and this turn takes it to the {side}",
                    turns[-1].origin.of("by"),
                    (
                        "Write where both hands are by then: the "
                        f'{side} one on the barre is <hand side="{side}" touching="barre"/>.',
                    ),
                )


def _side(where: int) -> Side | None:
    """The dancer's side on which the barre is, None where both hands reach it."""
    if where in BETWEEN:
        return None
    return Side.RIGHT if where < EIGHTHS // 2 else Side.LEFT


def _held(moment: Moment) -> Iterator[Side]:
    """The hands that are on the barre without being written."""
    written = [hand.side for hand in moment.changes if isinstance(hand, HandChange)]
    for side in BOTH:
        pose = moment.after.hands.of(side)
        if pose and pose.touching == BARRE and side not in written:
            yield side


def _on_the_barre(danced: Danced) -> Iterator[tuple[Moment, HandChange]]:
    for moment in danced.moments:
        for change in moment.changes:
            if isinstance(change, HandChange) and change.touching == BARRE:
                yield moment, change
