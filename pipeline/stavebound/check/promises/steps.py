"""Steps: a dance parted by the names of what is danced.

In: a `Danced`. Out: `NamedStep`s: each from the frame that has its name to the one before the
next.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from itertools import pairwise

from stavebound.check.feet import standing
from stavebound.check.promises.named import is_a_step, promised
from stavebound.dance.danced import Danced, Moment
from stavebound.diagnostics import Span
from stavebound.score.frame_texts import DOES, STEP
from stavebound.score.model import Frame
from stavebound.trade.steps import Promise


@dataclass(frozen=True, slots=True)
class NamedStep:
    """A named step: its name, where that stands, what it promises, its moments, and the one of
    the next name."""

    name: str
    span: Span
    rows: tuple[Promise, ...]
    moments: tuple[Moment, ...]
    following: tuple[Moment, ...]


def named_steps(danced: Danced) -> Iterator[NamedStep]:
    """Those that are printed, up to the next of any name; then those that are not, up to the
    next of these, as names may be printed in them. None where names promise nothing."""
    if not danced.score.promises:
        return
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
                rows = promised(name, danced.school.name, danced.catalogue)
                yield NamedStep(name, frame.origin.of(lane), rows, own, following)


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
