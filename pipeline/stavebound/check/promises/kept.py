"""Kept: every step is danced as its name promises.

In: a `Danced`. Out: a diagnostic at the name of each step that is not. A promise is looked for
from the frame that has the name to the one before the next name.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from itertools import dropwhile, pairwise

from stavebound.check.feet import standing
from stavebound.check.promises.looks import Instead
from stavebound.check.promises.named import is_a_step, promised
from stavebound.check.promises.shots import Shot, shots
from stavebound.check.promises.ways import Broken, broken
from stavebound.dance.danced import Danced, Moment
from stavebound.diagnostics import Diagnostic, Severity, Span
from stavebound.score.frame_texts import DOES, STEP
from stavebound.score.lexical import at_text
from stavebound.score.model import Frame
from stavebound.trade.steps import Promise

MEND = "Mend what is written, or the name."
NONE = 'Where the name promises nothing here, say so: promise="none".'


@dataclass(frozen=True, slots=True)
class _Step:
    """A named step: its name, where that stands, its moments, and the one of the next name."""

    name: str
    span: Span
    moments: tuple[Moment, ...]
    following: tuple[Moment, ...]


def steps_as_named(danced: Danced) -> Iterator[Diagnostic]:
    if not danced.score.promises:
        return
    for step in _steps(danced):
        for row in promised(step.name, danced.school.name, danced.catalogue):
            seen = shots(step.moments + (step.following if row.through else ()))
            fault = broken(row, seen, danced)
            if fault:
                yield _fault(step, row, fault, danced)
                break


def _steps(danced: Danced) -> Iterator[_Step]:
    """Those that are printed, up to the next of any name; then those that are not, up to the
    next of these, as names may be printed in them."""
    moments, numbers = danced.moments, range(len(danced.moments))
    unprinted = [number for number in numbers if _begins_unprinted(moments[number], danced)]
    printed = [number for number in numbers if _begins_printed(moments[number], danced)]
    any_name = sorted({*printed, *unprinted})
    for begins, lane in ((any_name, STEP), (unprinted, DOES)):
        for first, after in pairwise((*begins, len(moments))):
            frame = _frame(moments[first])
            name = frame and (frame.step if lane == STEP else frame.does)
            if frame and name and frame.promises:
                own = moments[_taken_off(first, moments) : after]
                following = moments[after : after + 1]
                yield _Step(name, frame.origin.of(lane), own, following)


def _taken_off(first: int, moments: tuple[Moment, ...]) -> int:
    """The moment in which the dancer takes off, of a spring that is named where it lands."""
    while first > 1 and not standing(moments[first].before.feet):
        first -= 1
    return first


def _begins_printed(moment: Moment, danced: Danced) -> bool:
    frame = _frame(moment)
    return bool(frame and frame.step and is_a_step(frame.step, danced.catalogue))


def _begins_unprinted(moment: Moment, danced: Danced) -> bool:
    frame = _frame(moment)
    does = frame.does if frame else None
    return bool(does and promised(does, danced.school.name, danced.catalogue))


def _frame(moment: Moment) -> Frame | None:
    return moment.event.frame if moment.event else None


def _fault(step: _Step, row: Promise, fault: Broken, danced: Danced) -> Diagnostic:
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
