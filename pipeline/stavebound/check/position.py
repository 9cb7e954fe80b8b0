"""The whole position: a start from which all follows, and frames that can be danced.

In: a `Danced`. Out: diagnostics for the start, and for moments as a whole.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from stavebound.check.cautions import names_spring
from stavebound.check.feet import foot_is_whole, standing
from stavebound.check.hands import hand_says
from stavebound.check.moves import WAYS
from stavebound.check.parts import part_says
from stavebound.dance.danced import Danced, Moment
from stavebound.dance.pose import Free, HandPose, Pose, Step, Subject
from stavebound.dance.state import BOTH, subjects
from stavebound.diagnostics import Diagnostic, Severity
from stavebound.score.lanes import FacingChange, TravelChange, TurnChange
from stavebound.score.model import (
    ArmsChange,
    CentreChange,
    Change,
    FeetChange,
    FootChange,
    HandChange,
    WholeChange,
)
from stavebound.trade.naming import own_name

LOW = "low rounded"
"""The shape that hints begin with."""

PLURAL = {"hand": "hands", "foot": "feet", "knee": "knees", "elbow": "elbows"}


def start_said(danced: Danced) -> Iterator[Diagnostic]:
    if danced.score.start is None:
        yield Diagnostic(
            "T351",
            "the score has no starting position",
            danced.score.origin.span,
            (f'Write one before the phrases: <start><feet in="first"/>{_arms(danced)}</start>.',),
        )


def start_in_full(danced: Danced) -> Iterator[Diagnostic]:
    """The start says where feet and arms are; the hand on the barre is known."""
    start = danced.score.start
    if start is None:
        return
    written = {subject for change in start.changes for subject in _own_limbs(change)}
    feet = [Subject("foot", side) for side in BOTH]
    hands = [Subject("hand", side) for side in BOTH if side is not danced.score.barre]
    for wanted, example in ((feet, '<feet in="first"/>'), (hands, _arms(danced))):
        missing = [subject for subject in wanted if subject not in written]
        if missing:
            yield Diagnostic(
                "T352",
                f"the starting position does not say where {_named(missing)}",
                start.origin.span,
                (f"Write it there: {example} and the like.",),
            )


def limbs_written_once(danced: Danced) -> Iterator[Diagnostic]:
    for moment in danced.moments:
        first: dict[Subject, Change] = {}
        for change in moment.changes:
            twice = [subject for subject in _own_limbs(change) if subject in first]
            if twice:
                yield Diagnostic(
                    "T353",
                    f"{_named(twice)} written twice at one moment",
                    change.origin.span,
                    ("Keep one of them; what passes in between has a frame of its own.",),
                    ((first[twice[0]].origin.span, "the first time"),),
                )
            first |= {subject: change for subject in _own_limbs(change) if subject not in first}


def somebody_bears_weight(danced: Danced) -> Iterator[Diagnostic]:
    """One foot at least is on the floor, unless a spring is named there or next to it."""
    for index, moment in enumerate(danced.moments):
        feet = moment.after.feet
        written = [change for change in moment.changes if _writes(change, "foot")]
        if not written or not isinstance(feet.right, Free) or not isinstance(feet.left, Free):
            continue
        near = danced.moments[max(index - 1, 0) : index + 2]
        if not any(names_spring(_step_name(each), danced.catalogue) for each in near):
            yield Diagnostic(
                "T354",
                "neither foot bears weight here",
                written[-1].origin.of("place", "raised"),
                (
                    'Let one foot stand: <foot side="…" on="whole foot"/>.',
                    'Where it is a spring, name it on this frame or the next: step="sauté".',
                ),
            )


def only_what_changes(danced: Danced) -> Iterator[Diagnostic]:
    for moment in danced.moments:
        if moment.event is None:
            continue
        once = _written_once(moment)
        for step in moment.steps:
            # What is used in several places changes something in one of them.
            if step.change.origin.span.uses:
                continue
            if once and _is_understood(step, danced) and _is_same(step):
                yield Diagnostic(
                    "T355",
                    f"this changes nothing: {_held(step.change)} so already",
                    step.change.origin.span,
                    ("Write only what changes; what is not written is held.",),
                    severity=Severity.WARNING,
                )


def _named(subjects_: Sequence[Subject]) -> str:
    """Limbs of one kind with their verb: the left hand is, both feet are."""
    subject = subjects_[0]
    return f"both {PLURAL[subject.kind]} are" if len(subjects_) > 1 else f"the {subject} is"


def _arms(danced: Danced) -> str:
    return f'<arms in="{own_name(LOW, danced.school)}"/>'


def _step_name(moment: Moment) -> str | None:
    return moment.event.frame.step if moment.event else None


def _own_limbs(change: Change) -> tuple[Subject, ...]:
    """The limbs that a change alone may write. `feet` with no more than a rise goes with others."""
    if isinstance(change, FeetChange):
        return tuple(Subject("foot", side) for side in BOTH) if change.position else ()
    return subjects(change, Pose())


def _writes(change: Change, kind: str) -> bool:
    return any(subject.kind == kind for subject in _own_limbs(change))


def _written_once(moment: Moment) -> bool:
    all_limbs = [subject for change in moment.changes for subject in _own_limbs(change)]
    return len(all_limbs) == len(set(all_limbs))


def _is_understood(step: Step, danced: Danced) -> bool:
    """Whether a pose that stays the same is meant to: not where a fault has kept it so, nor
    where a limb moves and comes back to where it was."""
    if any(getattr(step.change, name, None) for name in ("by", *WAYS)):
        return False
    match step.change:
        case ArmsChange():
            return not step.doubted | step.doubtful
        case HandChange(side):
            known = step.after.hands.of(side) and side not in step.doubted | step.doubtful
            return hand_says(step.change) and bool(known)
        case FeetChange(position, _, rise, weight):
            stand = standing(step.before.feet)
            rises = rise is not None and bool(stand) and weight is None
            return bool(position) or rises or (weight is not None and len(stand) == len(BOTH))
        case FootChange():
            return foot_is_whole(step.change)
        case CentreChange():
            return part_says(step.change)
        case WholeChange() | FacingChange() | TurnChange() | TravelChange():
            return False
    return True


def _is_same(step: Step) -> bool:
    before, after = step.before, step.after
    hands = all(_same_hand(before.hands.of(side), after.hands.of(side)) for side in BOTH)
    return hands and before._replace(hands=after.hands) == after


def _same_hand(before: HandPose | None, after: HandPose | None) -> bool:
    """Whether two hands are alike at one place, by whatever name."""
    if before is None or after is None:
        return before is after
    return before._replace(shape=after.shape) == after


def _held(change: Change) -> str:
    written = _own_limbs(change)
    return _named(written) if written else "the rise is"
