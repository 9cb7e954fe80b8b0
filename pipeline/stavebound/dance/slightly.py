"""Slightly otherwise: hands near a shape with a name, in numbers.

In: a score as it was written, the catalogue, and the school that reads its names. Out: the score
with the numbers of every hand that is slightly lower, wider or the like than its shape; how much
that is stands in `trade/shapes.toml`. Always holds: a score without such hands is handed back
itself, and what cannot be said so (`hindered`, or a name nobody knows) stays for the check.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import replace
from decimal import Decimal

from stavebound.body.skeleton import arm
from stavebound.dance.points import hand_point
from stavebound.dance.pose import BOTH, HandPose
from stavebound.score.departures import departures
from stavebound.score.measures import Height
from stavebound.score.model import ArmsChange, Change, Depth, HandChange, Phrase, Score, Side
from stavebound.trade.catalogue import Catalogue
from stavebound.trade.naming import arms_shape, hand_row, hand_shape, nearest_line
from stavebound.trade.tables import ArmsShape, HandShape, School, SlightChange

# The attributes that say where a hand is along each direction.
ALONG = {"height": ("height",), "out": ("out",), "forward": ("forward", "depth")}


def in_numbers(score: Score, catalogue: Catalogue, school: School) -> Score:
    if not any(map(_is_slight, _all_changes(score))):
        return score

    def changes(written: tuple[Change, ...]) -> tuple[Change, ...]:
        return tuple(_numbered(written, catalogue, school))

    def phrase(one: Phrase) -> Phrase:
        frames = (replace(frame, changes=changes(frame.changes)) for frame in one.frames)
        return replace(one, frames=tuple(frames))

    start = score.start
    return replace(
        score,
        start=replace(start, changes=changes(start.changes)) if start else None,
        upbeat=phrase(score.upbeat) if score.upbeat else None,
        phrases=tuple(map(phrase, score.phrases)),
    )


def hindered(change: ArmsChange | HandChange, catalogue: Catalogue) -> tuple[str, ...]:
    """The attributes against which nothing can be slightly otherwise: a number of the same
    direction, or `slightly` itself, where it says one direction twice or there is no shape."""
    rows = _rows(change, catalogue)
    if change.name is None or len({row.moves for row in rows}) < len(rows):
        return ("slightly",)
    along = (name for row in rows for name in ALONG[row.moves])
    return tuple(name for name in along if getattr(change, name, None) is not None)


def _all_changes(score: Score) -> Iterator[Change]:
    yield from score.start.changes if score.start else ()
    for phrase in (score.upbeat, *score.phrases):
        for frame in phrase.frames if phrase else ():
            yield from frame.changes


def _is_slight(change: Change) -> bool:
    return isinstance(change, ArmsChange | HandChange) and bool(change.slightly)


def _rows(change: ArmsChange | HandChange, catalogue: Catalogue) -> tuple[SlightChange, ...]:
    known = {row.word: row for row in catalogue.shapes.slightly}
    return tuple(known[word] for word in change.slightly)


def _numbered(written: Iterable[Change], catalogue: Catalogue, school: School) -> Iterator[Change]:
    """The changes of a moment; a hand that is written by itself as well stays as it is."""
    every = tuple(written)
    own = {change.side for change in every if isinstance(change, HandChange)}
    for change in every:
        if (
            not isinstance(change, ArmsChange | HandChange)
            or not change.slightly
            or hindered(change, catalogue)
        ):
            yield change
        elif isinstance(change, HandChange):
            yield _hand(change, hand_shape(catalogue, school, change.name or ""), catalogue)
        else:
            hands = tuple(_hands(change, catalogue, school))
            yield from (hand for hand in hands if hand.side not in own)
            yield from () if hands else (change,)


def _hands(change: ArmsChange, catalogue: Catalogue, school: School) -> Iterator[HandChange]:
    """Each hand of both arms; none where a name is not known, or which arm leads."""
    shape = arms_shape(catalogue, school, change.name)
    via = arms_shape(catalogue, school, change.via) if change.via else None
    leads = change.lead is not None
    if shape is None or (change.via and via is None) or leads is not _differ(shape):
        return
    for side in BOTH:
        number = int(side is not (change.lead or Side.RIGHT))
        hand = HandChange(
            side,
            shape.name,
            departures=departures({"touching": "hand" if change.joined else None}),
            via=via.hands[number] if via else None,
            path=change.path,
            bow=change.bow,
            slightly=change.slightly,
            origin=change.origin,
        )
        yield _hand(hand, hand_row(catalogue, shape.hands[number]), catalogue)


def _differ(shape: ArmsShape) -> bool:
    return shape.hands[0] != shape.hands[1]


def _hand(change: HandChange, shape: HandShape | None, catalogue: Catalogue) -> HandChange:
    if shape is None:
        return change
    pose = _within_reach(_moved(change, shape, catalogue), change, catalogue)
    return replace(
        change,
        name=None,
        height=change.height or Height(*nearest_line(catalogue.ruling, pose.height)),
        out=_said(change.out, pose.out),
        depth=change.depth or pose.depth,
        forward=_said(change.forward, pose.forward),
        slightly=(),
    )


def _said(written: Decimal | None, value: float) -> Decimal:
    return Decimal(f"{value:.2f}") if written is None else written


def _moved(change: HandChange, shape: HandShape, catalogue: Catalogue) -> HandPose:
    """The shape's place with all that is slightly otherwise."""
    by = {row.moves: row.by for row in _rows(change, catalogue)}
    height, out = shape.height + by.get("height", 0.0), shape.out + by.get("out", 0.0)
    depth, forward = Depth(shape.depth), shape.forward + by.get("forward", 0.0)
    if "forward" in by:
        depth = _depth(shape, forward)
    return HandPose(depth, height, out, forward)


def _depth(shape: HandShape, forward: float) -> Depth:
    """Of a hand that went forward or back: a level one is in front or behind then, so that the
    ink shows it; another is level where it comes into the body's own plane or through it."""
    before = Depth(shape.depth)
    if before is not Depth.LEVEL:
        return before if forward * shape.forward > 0 else Depth.LEVEL
    return Depth.FRONT if forward > 0 else Depth.BEHIND


def _within_reach(pose: HandPose, change: HandChange, catalogue: Catalogue) -> HandPose:
    """A hand that goes up, down, forward or back on an arm that does not reach so far out there
    is as far out as it reaches."""
    reach, end = arm(catalogue.person), hand_point(pose, catalogue)
    if reach.holds(end) or any(row.moves == "out" for row in _rows(change, catalogue)):
        return pose
    span = reach.out(end)
    return pose._replace(out=int(min(max(end.out, span[0]), span[1]) * 100) / 100) if span else pose
