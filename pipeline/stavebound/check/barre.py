"""The barre: it is a place in the room, and a hand on it is on its side.

In: a `Subject`. Out: diagnostics. At the start the barre is on the side of the hand
that holds it; the dancer turns, and the barre stays where it is.
"""

from __future__ import annotations

from collections.abc import Iterator

from stavebound.check.subject import Moment, Subject
from stavebound.diagnostics import Diagnostic
from stavebound.score.lanes import DIRECTIONS, EIGHTHS
from stavebound.score.model import HandChange, Side
from stavebound.score.state import BARRE

QUARTER = EIGHTHS // 4
# In front of the dancer, and behind, both hands reach it.
BETWEEN = (0, EIGHTHS // 2)


def some_barre_to_hold(subject: Subject) -> Iterator[Diagnostic]:
    for _, hand in _on_the_barre(subject):
        if subject.score.barre is None:
            yield Diagnostic(
                "T426",
                f"the {hand.side} hand is on the barre, and the score has none",
                hand.origin.of("touching"),
                (f'Write <barre hand="{hand.side}"/> in the score.',),
            )


def hand_on_the_side_of_the_barre(subject: Subject) -> Iterator[Diagnostic]:
    barre = subject.score.barre
    if barre is None:
        return
    room = subject.moments[0].before.facing + barre.sign * QUARTER
    for moment, hand in _on_the_barre(subject):
        where = (room - moment.after.facing) % EIGHTHS
        side = Side.RIGHT if where < EIGHTHS // 2 else Side.LEFT
        if where not in BETWEEN and side is not hand.side:
            yield Diagnostic(
                "T427",
                f"the {hand.side} hand is on the barre, and the barre is on the {side}",
                hand.origin.of("touching"),
                (
                    f"It is on the dancer’s {barre} at the start, and after the turns to "
                    f"here {DIRECTIONS[where]} of the dancer.",
                    f'Write side="{side}", or the turn that is missing.',
                ),
            )


def _on_the_barre(subject: Subject) -> Iterator[tuple[Moment, HandChange]]:
    for moment in subject.moments:
        for change in moment.changes:
            if isinstance(change, HandChange) and change.touching == BARRE:
                yield moment, change
