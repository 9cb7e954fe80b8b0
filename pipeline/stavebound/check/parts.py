"""Head, body and hips: an attitude that says something and can be held.

In: a `Danced`. Out: diagnostics.
"""

from __future__ import annotations

from collections.abc import Iterator

from stavebound.dance.danced import Danced
from stavebound.diagnostics import Diagnostic
from stavebound.score.attitude import STRAIGHT, lean_of
from stavebound.score.model import CentreChange


def part_says_something(danced: Danced) -> Iterator[Diagnostic]:
    for change in _parts(danced):
        if not part_says(change):
            yield Diagnostic(
                "T381",
                f"it is not said how the {change.part} is held",
                change.origin.span,
                (
                    'Write tilt, turn or bend, such as tilt="right" or bend="back 2".',
                    f'For straight again write <return of="{change.part}"/>.',
                ),
            )


def turned_no_further_than_it_goes(danced: Danced) -> Iterator[Diagnostic]:
    most = {row.name: row.turn for row in danced.catalogue.centre.part}
    for change in _parts(danced):
        turn = lean_of(change.attitude, "turn")
        if turn and turn.amount > most[change.part]:
            plural = "" if most[change.part] == 1 else "s"
            yield Diagnostic(
                "T382",
                f"the {change.part} is turned by {turn.amount} eighths of a circle",
                change.origin.of("turn"),
                (f"By itself it turns by {most[change.part]} eighth{plural} at most.",),
            )


def part_says(change: CentreChange) -> bool:
    """Whether the change says how the part is held."""
    return change.attitude != STRAIGHT


def _parts(danced: Danced) -> Iterator[CentreChange]:
    for step in danced.steps:
        if isinstance(step.change, CentreChange):
            yield step.change
