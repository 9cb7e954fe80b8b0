"""Travel: who gets anywhere goes on feet.

In: a `Danced`. Out: warnings, at the travel.
"""

from __future__ import annotations

from collections.abc import Iterator

from stavebound.dance.danced import Danced
from stavebound.dance.pose import FootPose, Sided, Standing
from stavebound.dance.state import BOTH
from stavebound.diagnostics import Diagnostic, Severity
from stavebound.score.lanes import TravelChange, TurnChange
from stavebound.score.model import Change, Rise


def travel_on_feet(danced: Danced) -> Iterator[Diagnostic]:
    """Nobody gets anywhere without a step, a slide, a spring, another place of the feet,
    a turn or many small steps on the way."""
    for moment in danced.moments[1:]:
        travel = next((each for each in moment.changes if isinstance(each, TravelChange)), None)
        goes = any(_goes(each) for each in moment.changes)
        if travel and not goes and _places(moment.before.feet) == _places(moment.after.feet):
            yield Diagnostic(
                "T517",
                f"the dancer travels to the {travel.to}, and neither foot takes a step",
                travel.origin.span,
                (
                    'Say how the feet go, such as <feet in="fifth" front="right" by="slide" '
                    'moving="left"/>, or delete the travel.',
                ),
                severity=Severity.WARNING,
            )


def _goes(change: Change) -> bool:
    small_steps = isinstance(change, TravelChange) and change.steps is not None
    return isinstance(change, TurnChange) or small_steps or bool(getattr(change, "by", None))


def _places(feet: Sided[FootPose | None]) -> tuple[FootPose | None, ...]:
    """Where the feet are, however high they stand and whichever bears the weight."""
    return tuple(_place(feet.of(side)) for side in BOTH)


def _place(foot: FootPose | None) -> FootPose | None:
    if isinstance(foot, Standing):
        return foot._replace(rise=Rise.WHOLE, bears=True)
    return foot
