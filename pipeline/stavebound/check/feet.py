"""Feet: what is written of them can be danced and is said in full.

In: a `Danced`. Out: a diagnostic for each element that contradicts itself or the
other foot.
"""

from __future__ import annotations

from collections.abc import Iterator

from stavebound.check.phrasing import departures_of, listed
from stavebound.dance.danced import Danced
from stavebound.dance.pose import FootPose, Sided, Standing, Step
from stavebound.dance.state import BOTH
from stavebound.diagnostics import Diagnostic
from stavebound.score.departures import departure
from stavebound.score.model import FeetChange, FootChange, Side, Weight
from stavebound.trade.naming import crossed_positions, kneels

# The positions whose feet are turned neither out nor in.
PARALLEL = ("parallel", "parallel apart")


def feet_say_something(danced: Danced) -> Iterator[Diagnostic]:
    for _, change in _feet(danced):
        said = (change.position, change.rise, change.front, change.weight)
        if all(value is None for value in said) and not change.departures:
            yield Diagnostic(
                "T341",
                "these feet have neither a position nor a rise",
                change.origin.span,
                ('Write in="first" and the like for a position, or on="half point" for a rise.',),
            )


def front_foot_said(danced: Danced) -> Iterator[Diagnostic]:
    crossed = crossed_positions(danced.catalogue)
    for _, change in _feet(danced):
        if change.position in crossed and change.front is None:
            yield Diagnostic(
                "T342",
                f"in {change.position} one foot is in front, and it is not said which",
                change.origin.of("in"),
                ('Write front="right" or front="left".',),
            )


def no_front_foot_side_by_side(danced: Danced) -> Iterator[Diagnostic]:
    crossed = crossed_positions(danced.catalogue)
    for _, change in _feet(danced):
        if change.front is not None and change.position not in crossed:
            where = f"in {change.position}" if change.position else "without a position"
            yield Diagnostic(
                "T343",
                f"front says nothing {where}",
                change.origin.of("front"),
                (f"Delete front, or write a position that has it: {listed(crossed, 'or')}.",),
            )


def some_foot_to_rise_on(danced: Danced) -> Iterator[Diagnostic]:
    for step, change in _feet(danced):
        own = departures_of(change)
        if change.position is None and (change.rise or own) and not standing(step.before.feet):
            what = (
                "that could have a rise" if change.rise else f"of which {listed(own)} could be said"
            )
            yield Diagnostic(
                "T344",
                f"no foot stands here {what}",
                change.origin.of("on", *own),
                ('Write the position too, such as in="first".',),
            )


def weight_of_two_feet(danced: Danced) -> Iterator[Diagnostic]:
    """Only where both feet stand can it be asked which of them bears the weight."""
    for moment in danced.moments:
        for change in moment.changes:
            if not isinstance(change, FeetChange) or change.weight is None:
                continue
            sides = standing(moment.after.feet)
            if len(sides) < 2:
                yield Diagnostic(
                    "T350",
                    _weight_words(change.weight, sides),
                    change.origin.of("weight"),
                    ('Delete weight, or write where both feet stand, such as in="fourth".',),
                )


def _weight_words(weight: Weight, sides: tuple[Side, ...]) -> str:
    if not sides:
        return "no foot stands here that could bear the weight"
    stands, free = sides[0], sides[0].other
    if weight.on(free):
        return f"the {free} foot cannot bear weight: it does not stand"
    return f"the {stands} foot stands alone and bears the weight in any case"


def foot_says_something(danced: Danced) -> Iterator[Diagnostic]:
    for change in _foot(danced):
        said = change.rise or change.departures
        if not _free_part(change) and not said:
            yield Diagnostic(
                "T345",
                f"it is not said what the {change.side} foot does",
                change.origin.span,
                (
                    'A free foot has to with place or raised, such as to="side" place="pointed".',
                    'A foot that stands alone has on, such as on="whole foot".',
                ),
            )


def free_foot_in_full(danced: Danced) -> Iterator[Diagnostic]:
    for change in _foot(danced):
        part = _free_part(change)
        if part == ("to",):
            yield Diagnostic(
                "T346",
                f"the {change.side} foot goes to the {change.direction}, "
                "and it is not said how high",
                change.origin.of("to"),
                ('Write place="pointed" and the like, or raised="45" and the like.',),
            )
        elif part and "to" not in part and part != ("out",) and change.rise is None:
            yield Diagnostic(
                "T346",
                f"it is not said to which way the {change.side} foot is free",
                change.origin.of(*part),
                ('Write to="front", to="side" or to="back".',),
            )


def one_place_of_a_foot(danced: Danced) -> Iterator[Diagnostic]:
    for change in _foot(danced):
        written = [name for name in ("raised", "height", "place") if getattr(change, name)]
        if len(written) > 1:
            yield Diagnostic(
                "T347",
                f"the place of the foot is said by {listed(written)}, and it is at one place",
                change.origin.of(*written),
                (f"Keep {listed(written, 'or')}.",),
                ((change.origin.of(written[-1]), "the other"),),
            )


def free_or_standing(danced: Danced) -> Iterator[Diagnostic]:
    for change in _foot(danced):
        part = _free_part(change)
        if part and change.rise is not None:
            yield Diagnostic(
                "T348",
                f"a foot that stands on its {change.rise} is not free",
                change.origin.of("on"),
                (f"Delete on for a free foot, or {listed(part)} for one that stands.",),
                ((change.origin.of(*part), "here it is free"),),
            )


def foot_stands_alone(danced: Danced) -> Iterator[Diagnostic]:
    """A standing `foot` by itself is one that bears the weight alone."""
    known = danced.catalogue.departures.of("standing")
    for moment in danced.moments:
        for step in moment.steps:
            change = step.change
            if not isinstance(change, FootChange) or _free_part(change):
                continue
            foot = moment.after.feet.of(change.side)
            stands = isinstance(foot, Standing) and not kneels(danced.catalogue, foot.position)
            own = [name for name in departures_of(change) if name in known]
            if not stands or not (change.rise or own):
                continue
            other = change.side.other
            if isinstance(moment.after.feet.of(other), Standing):
                yield Diagnostic(
                    "T349",
                    f"the {change.side} foot stands alone here, and the {other} foot stands too",
                    change.origin.of("on", *own),
                    (
                        'Where both stand, write them together: <feet in="…" on="…"/>.',
                        f'Else free the other: <foot side="{other}" to="…" place="…"/>.',
                    ),
                )


def parallel_says_so_already(danced: Danced) -> Iterator[Diagnostic]:
    for moment in danced.moments:
        foot = moment.after.feet.right
        where = foot.position if isinstance(foot, Standing) else None
        for change in moment.changes if where in PARALLEL else ():
            if isinstance(change, FeetChange) and departure(change.departures, "turned"):
                yield Diagnostic(
                    "T385",
                    f"turned says nothing in {where}: the toes are straight ahead",
                    change.origin.of("turned"),
                    ("Delete turned, or write another position, such as first.",),
                )


def standing(feet: Sided[FootPose | None]) -> tuple[Side, ...]:
    """The sides whose foot bears weight."""
    return tuple(side for side in BOTH if isinstance(feet.of(side), Standing))


def foot_is_whole(change: FootChange) -> bool:
    """Whether the foot either stands, or is free in one way and at one place."""
    part = _free_part(change)
    places = [name for name in part if name not in ("to", "out")]
    return (not part) if change.rise else "to" in part and len(places) == 1


def _free_part(change: FootChange) -> tuple[str, ...]:
    """The attributes written of a free foot."""
    values = {
        "to": change.direction,
        "place": change.place,
        "raised": change.raised,
        "height": change.height,
        "out": change.out,
    }
    return tuple(name for name, value in values.items() if value is not None)


def _feet(danced: Danced) -> Iterator[tuple[Step, FeetChange]]:
    for step in danced.steps:
        if isinstance(step.change, FeetChange):
            yield step, step.change


def _foot(danced: Danced) -> Iterator[FootChange]:
    for step in danced.steps:
        if isinstance(step.change, FootChange):
            yield step.change
