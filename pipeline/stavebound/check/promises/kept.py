"""Kept: every step is danced as its name promises.

In: a `Danced`. Out: a diagnostic at the name of each step that is not. A promise is looked for
from the frame that has the name to the one before the next name.
"""

from __future__ import annotations

from collections.abc import Iterator
from itertools import dropwhile

from stavebound.check.promises.looks import Instead
from stavebound.check.promises.shots import Shot, shots
from stavebound.check.promises.steps import NamedStep, named_steps
from stavebound.check.promises.ways import Broken, broken
from stavebound.dance.danced import Danced
from stavebound.diagnostics import Diagnostic, Severity, Span
from stavebound.score.lexical import at_text
from stavebound.trade.steps import Promise

MEND = "Mend what is written, or the name."
NONE = 'Where the name promises nothing here, say so: promise="none".'


def steps_as_named(danced: Danced) -> Iterator[Diagnostic]:
    for step in named_steps(danced):
        for row in step.rows:
            seen = shots(step.moments + (step.following if row.through else ()))
            fault = broken(row, seen, danced)
            if fault:
                yield _fault(step, row, fault, danced)
                break


def _fault(step: NamedStep, row: Promise, fault: Broken, danced: Danced) -> Diagnostic:
    event = fault.shot.moment.event
    at = f"at {at_text(event.frame.at)} " if event else ""
    said = " and ".join(one.words for one in fault.written) or "this is only passed on the way"
    return Diagnostic(
        "T522",
        f"“{step.name}” promises {row.says}; {at}{said}",
        step.span,
        (MEND, NONE),
        tuple(_places(fault, danced)),
        severity=Severity.ERROR if row.sure == "fault" else Severity.WARNING,
    )


def _places(fault: Broken, danced: Danced) -> Iterator[tuple[Span, str]]:
    """Where that was written which is otherwise."""
    for one in fault.written:
        if span := _last_written(one, fault.shot, danced):
            yield span, "so it was written here"


def _last_written(one: Instead, shot: Shot, danced: Danced) -> Span | None:
    """The last place that speaks of its subject, up to the frame of the shot."""
    seen = dropwhile(lambda moment: moment is not shot.moment, reversed(danced.moments))
    places = (moment.posed.origin(one.subject) for moment in seen)
    return next((place.span for place in places if place), None)
