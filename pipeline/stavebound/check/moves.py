"""Moves: the way of a limb and the transfer of weight can be danced from where it was.

In: a `Danced`. Out: diagnostics. Who stands on what is known from all that was
written before, and is told in words where a move does not agree with it.
"""

from __future__ import annotations

from collections.abc import Iterator

from stavebound.check.feet import standing
from stavebound.check.phrasing import listed
from stavebound.dance.danced import Danced, Moment
from stavebound.dance.moves import moving_foot
from stavebound.dance.pose import Free, Pose, Standing, Step
from stavebound.dance.state import BOTH
from stavebound.diagnostics import Diagnostic
from stavebound.score.model import (
    ArmsChange,
    FeetChange,
    FootChange,
    HandChange,
    LegDirection,
    Side,
    Transfer,
)

WAYS = ("via", "path", "bow")
# From memory: from here up a leg may come by a throw or by unfolding.
HIGH = 65


def nothing_moves_to_the_start(danced: Danced) -> Iterator[Diagnostic]:
    for step in danced.moments[0].steps:
        written = [name for name in ("by", *WAYS) if getattr(step.change, name, None)]
        if written:
            yield Diagnostic(
                "T501",
                "nothing comes before the start from which this could move",
                step.change.origin.of(*written),
                (f"Delete {listed(written)}, or write it in the first frame.",),
            )


def stepping_to_a_free_foot(danced: Danced) -> Iterator[Diagnostic]:
    for moment, _, change, side in _transfers(danced, Transfer.STEP):
        before, after = moment.before.feet, moment.after.feet
        if isinstance(after.of(side), Free):
            yield Diagnostic(
                "T502",
                f"a step brings weight to the {side} foot, and it is in the air after it",
                change.origin.of("by"),
                (f'Let it stand: <foot side="{side}" on="whole foot" by="step"/>.',),
            )
        elif standing(before) == (side,):
            yield Diagnostic(
                "T503",
                f"the {side} foot bears all the weight already: {_told(moment.before, side.other)}",
                change.origin.of("by"),
                (f"Step to the {side.other} foot, or spring.",),
            )


def springs_take_off_and_land(danced: Danced) -> Iterator[Diagnostic]:
    for moment, change in _springs(danced):
        before, after = moment.before.feet, moment.after.feet
        if not standing(before) and any(before.of(side) for side in BOTH):
            yield Diagnostic(
                "T504",
                "a spring has to take off from a foot, and both are in the air before it",
                change.origin.of("by"),
                ("Write where the dancer lands first, in an earlier frame.",),
            )
        if not standing(after):
            yield Diagnostic(
                "T505",
                "a spring lands on a foot, and both are in the air after it",
                change.origin.of("by"),
                ("Write by on the frame in which it lands.",),
            )


def slides_keep_the_floor(danced: Danced) -> Iterator[Diagnostic]:
    for moment, _, change, side in _transfers(danced, Transfer.SLIDE):
        before, after = moment.before.feet.of(side), moment.after.feet.of(side)
        for foot, when in ((before, "before"), (after, "after")):
            if isinstance(foot, Free) and foot.place != "pointed":
                yield Diagnostic(
                    "T506",
                    f"a slide keeps the floor, and the {side} foot is off it {when}",
                    change.origin.of("by"),
                    (
                        f"It is {_place(foot)} {when} this frame.",
                        "Delete by, or let the foot be pointed on the floor or stand.",
                    ),
                )


def which_foot_moves(danced: Danced) -> Iterator[Diagnostic]:
    for moment, step, change in _feet(danced):
        if moment.event is None:
            continue
        if change.by is Transfer.SPRING and change.moving:
            yield Diagnostic(
                "T507",
                "both feet leave the floor in a spring: moving says nothing",
                change.origin.of("moving"),
                ("Delete moving.",),
            )
        elif change.by in (Transfer.STEP, Transfer.SLIDE) and not moving_foot(change, step.before):
            yield Diagnostic(
                "T508",
                f"it is not said which foot comes by {'a ' + change.by}",
                change.origin.of("by"),
                (
                    f"Before it {_who_stands(moment.before)}.",
                    'Write moving="right" or moving="left".',
                ),
            )
        elif change.moving and change.by is None:
            yield Diagnostic(
                "T509",
                "moving says nothing without by",
                change.origin.of("moving"),
                ('Write by="slide" or by="step" too, or delete moving.',),
            )


def closing_on_its_own_side(danced: Danced) -> Iterator[Diagnostic]:
    """A foot that slides in from the front closes in front, and from the back behind."""
    for _, step, change in _feet(danced):
        side = moving_foot(change, step.before) if change.by is Transfer.SLIDE else None
        foot = step.before.feet.of(side) if side else None
        if (
            not isinstance(foot, Free)
            or change.front is None
            or foot.direction is LegDirection.SIDE
        ):
            continue
        closes = LegDirection.FRONT if change.front is side else LegDirection.BACK
        if closes is not foot.direction:
            yield Diagnostic(
                "T510",
                f"the {side} foot comes from the {foot.direction} and would close "
                f"{'in front' if closes is LegDirection.FRONT else 'behind'}",
                change.origin.of("front"),
                (
                    f'Write front="{change.front.other}", or a frame in which the foot '
                    "passes first or goes to the side.",
                ),
            )


def one_way_of_a_limb(danced: Danced) -> Iterator[Diagnostic]:
    for _, _, change in _ways(danced):
        if change.via and change.path:
            yield Diagnostic(
                "T511",
                "via says by what place, and path by what form: a way has one of them",
                change.origin.of("path"),
                ("Keep one of them; a way by two places is two frames.",),
            )


def way_from_somewhere(danced: Danced) -> Iterator[Diagnostic]:
    for moment, _, change in _ways(danced):
        unknown = [subject for subject in _limbs(change) if _is_unknown(*subject, moment.before)]
        if unknown and moment.event is not None:
            kind, side = unknown[0]
            yield Diagnostic(
                "T512",
                f"it is not known where the {side} {kind} comes from",
                change.origin.of(*WAYS),
                ("Write where it is in the start or in an earlier frame.",),
            )


def via_of_a_free_foot(danced: Danced) -> Iterator[Diagnostic]:
    for _, step, change in _ways(danced):
        if isinstance(change, FootChange) and not isinstance(step.after.feet.of(change.side), Free):
            yield Diagnostic(
                "T513",
                f"the {change.side} foot stands, and the way of a foot is said of free feet only",
                change.origin.of(*WAYS),
                (
                    f"Delete {listed([name for name in WAYS if getattr(change, name)])}, "
                    "or write by.",
                ),
            )


def thrown_or_unfolded(danced: Danced) -> Iterator[Diagnostic]:
    """Both begin closed and end high: the ink has to say which."""
    for moment, step, change in _feet_or_foot(danced):
        if not isinstance(change, FootChange) or change.via or change.path or change.by:
            continue
        before, after = moment.before.feet.of(change.side), step.after.feet.of(change.side)
        closed = isinstance(before, Standing) and before.position is not None
        if closed and moment.event and isinstance(after, Free) and _height(after) >= HIGH:
            yield Diagnostic(
                "T514",
                f"the {change.side} leg goes from a closed position to {change.raised}°, "
                "and it is not said whether it is thrown or unfolds",
                change.origin.of("raised"),
                (
                    'Thrown: path="straight". Unfolding: via="knee", or a frame with '
                    'place="knee" before it.',
                ),
            )


def _height(foot: Free) -> int:
    return int(foot.place) if foot.place and foot.place.isdecimal() else 0


def _place(foot: Free) -> str:
    if foot.place is None:
        return "at a height of its own"
    return f"raised to {foot.place}°" if foot.place.isdecimal() else f"at the place “{foot.place}”"


def _who_stands(pose: Pose) -> str:
    sides = standing(pose.feet)
    if len(sides) == 1:
        return f"the {sides[0]} foot stands"
    return "both feet stand" if sides else "neither foot stands"


def _told(pose: Pose, side: Side) -> str:
    foot = pose.feet.of(side)
    return f"the {side} " + (f"is {_place(foot)}" if isinstance(foot, Free) else "does not stand")


def _is_unknown(kind: str, side: Side, pose: Pose) -> bool:
    return (pose.hands if kind == "hand" else pose.feet).of(side) is None


Moving = HandChange | ArmsChange | FootChange


def _limbs(change: Moving) -> list[tuple[str, Side]]:
    if isinstance(change, ArmsChange):
        return [("hand", side) for side in BOTH]
    return [("hand" if isinstance(change, HandChange) else "foot", change.side)]


def _ways(danced: Danced) -> Iterator[tuple[Moment, Step, Moving]]:
    for moment in danced.moments:
        for step in moment.steps:
            change = step.change
            if isinstance(change, Moving) and (change.via or change.path or change.bow):
                yield moment, step, change


def _feet_or_foot(danced: Danced) -> Iterator[tuple[Moment, Step, FeetChange | FootChange]]:
    for moment in danced.moments:
        for step in moment.steps:
            if isinstance(step.change, FeetChange | FootChange):
                yield moment, step, step.change


def _feet(danced: Danced) -> Iterator[tuple[Moment, Step, FeetChange]]:
    for moment, step, change in _feet_or_foot(danced):
        if isinstance(change, FeetChange):
            yield moment, step, change


def _transfers(
    danced: Danced, by: Transfer
) -> Iterator[tuple[Moment, Step, FeetChange | FootChange, Side]]:
    """The steps or slides of which it is known which foot moves."""
    for moment, step, change in _feet_or_foot(danced):
        if change.by is by and moment.event is not None:
            own = change.side if isinstance(change, FootChange) else None
            side = own or (
                moving_foot(change, step.before) if isinstance(change, FeetChange) else None
            )
            if side:
                yield moment, step, change, side


def _springs(danced: Danced) -> Iterator[tuple[Moment, FeetChange | FootChange]]:
    for moment, _, change in _feet_or_foot(danced):
        if change.by is Transfer.SPRING and moment.event is not None:
            yield moment, change
