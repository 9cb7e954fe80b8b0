"""Springs: what a step's name says of feet agrees with the feet.

In: a `Danced`. Out: diagnostics. There are five kinds of springs, by how many feet
they leave the floor with and land on; some names mean one kind (common practice).
"""

from __future__ import annotations

from collections.abc import Iterator

from stavebound.check.cautions import names
from stavebound.check.feet import standing
from stavebound.dance.danced import Danced, Moment
from stavebound.diagnostics import Diagnostic
from stavebound.score.model import FeetChange, FootChange, Transfer
from stavebound.trade.catalogue import Catalogue
from stavebound.trade.movement import Spring


def springs_as_named(danced: Danced) -> Iterator[Diagnostic]:
    for moment in danced.moments:
        event = moment.event
        spring = next((change for change in moment.changes if _is_spring(change)), None)
        name = event.frame.step if event else None
        row = _row(name, danced.catalogue) if name else None
        kind = kind_of_spring(moment)
        if event and spring and row and kind and kind != row.goes:
            yield Diagnostic(
                "T515",
                f"“{name}” goes from {row.goes}, and this spring from {kind}",
                event.frame.origin.of("step"),
                ("Mend the feet of this frame or of the one before it, or the name.",),
                ((spring.origin.of("by"), "the spring"),),
            )


def kind_of_spring(moment: Moment) -> str | None:
    """From how many feet to how many; None where it has no take-off or no landing."""
    off, on = standing(moment.before.feet), standing(moment.after.feet)
    if not off or not on:
        return None
    if len(off) == 1 and len(on) == 1:
        return "one foot to the same" if off == on else "one foot to the other"
    counted = {1: "one", 2: "two"}
    return f"{counted[len(off)]} {'foot' if len(off) == 1 else 'feet'} to {counted[len(on)]}"


def _is_spring(change: object) -> bool:
    return isinstance(change, FeetChange | FootChange) and change.by is Transfer.SPRING


def _row(name: str, catalogue: Catalogue) -> Spring | None:
    return next((row for row in catalogue.springs.spring if names(name, row.name)), None)
