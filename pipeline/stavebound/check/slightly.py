"""Slightly otherwise: what is said so has a shape that it can be said of, and is said once.

In: a `Danced`. Out: diagnostics. What can be said has become numbers by then
(`dance/slightly.py`); what is left is at fault, or rests on a name that nobody knows.
"""

from __future__ import annotations

from collections.abc import Iterator

from stavebound.dance.danced import Danced
from stavebound.dance.slightly import hindered
from stavebound.diagnostics import Diagnostic
from stavebound.score.model import ArmsChange, HandChange

ITSELF = "slightly"


def slightly_of_a_shape(danced: Danced) -> Iterator[Diagnostic]:
    for change in (step.change for step in danced.steps):
        if not isinstance(change, ArmsChange | HandChange) or not change.slightly:
            continue
        against = hindered(change, danced.catalogue)
        if against:
            message, hint = _said(change, against[0])
            yield Diagnostic("T399", message, change.origin.of(ITSELF), (hint,))


def _said(change: ArmsChange | HandChange, against: str) -> tuple[str, str]:
    """What hinders it, and how that is mended."""
    words = ", ".join(change.slightly)
    if change.name is None:
        return f"slightly {words}, and it is not said than what", 'Write the shape too: in="…".'
    if against == ITSELF:
        return (
            f"slightly {words}: both go along one direction",
            "Write one of them, or numbers for a hand that is further away.",
        )
    return (
        f"slightly {words}, and {against} says already where the hand is",
        f"Delete slightly or {against}.",
    )
