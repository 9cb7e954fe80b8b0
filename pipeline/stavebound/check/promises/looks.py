"""Looks: what must hold at one moment of a step, held against it.

In: a look, the side of the working leg, a shot, the dance. Out: what is written instead, in
words, each with the subject that it is said of; nothing where the look holds.
"""

from __future__ import annotations

from collections.abc import Iterator
from typing import NamedTuple

from stavebound.check.feet import standing
from stavebound.check.phrasing import listed
from stavebound.check.promises.shots import Shot
from stavebound.dance.beats import beaten
from stavebound.dance.danced import Danced, Moment
from stavebound.dance.pose import (
    BOTH,
    FEET,
    KNEES,
    FootPose,
    Free,
    Pose,
    Standing,
    Subject,
)
from stavebound.score.attitude import lean_of
from stavebound.score.departures import departure
from stavebound.score.lanes import TurnChange, TurnedOn
from stavebound.score.model import Beat, Bend, FeetChange, FootChange, Rise, Side
from stavebound.trade.catalogue import Catalogue
from stavebound.trade.naming import raised_rows
from stavebound.trade.steps import LegLook, Look, TurnLook

CHILDREN = "children"
BENT = {Bend.NONE: "straight", Bend.HALF: "half bent", Bend.FULL: "fully bent"}
AT = {"pointed": "pointed", "off the floor": "off the floor", "ankle": "at the ankle"}
AT |= {"calf": "at the calf", "knee": "at the knee"}
RISEN = {Rise.WHOLE: "with its heel down", Rise.HALF: "on half point", Rise.POINT: "on point"}


class Instead(NamedTuple):
    """What is written where something else was promised, and of what."""

    words: str
    subject: Subject


def otherwise(look: Look, side: Side, shot: Shot, danced: Danced) -> tuple[Instead, ...]:
    """All in which a shot is not as a look has it, where the leg on `side` works."""
    return tuple(dict.fromkeys(_otherwise(look, side, shot, danced)))


def _otherwise(look: Look, side: Side, shot: Shot, danced: Danced) -> Iterator[Instead]:
    legs = [(look.working, side), (look.other, side.other)]
    legs += [(look.standing, one) for one in standing(shot.pose.feet)]
    if look.standing and not standing(shot.pose.feet):
        yield Instead("no foot stands", FEET[side])
    for leg, one in legs:
        if leg:
            yield from _leg(leg, one, shot, danced)
    yield from _feet(look, side, shot.pose)
    if look.spring and kind_of_spring(shot) not in look.spring:
        yield Instead(_spring_words(shot), Subject("feet"))
    if (look.beats or look.beaten) and not _beats(look, shot):
        yield Instead(f"this beats {listed(_written(shot)) or 'not'}", Subject("feet"))
    if look.turn:
        yield from _turn(look.turn, side, shot)
    bend = lean_of(shot.pose.body, "bend")
    if look.bend and (bend is None or _way(bend.direction) not in look.bend):
        yield Instead(f"the body is {'bent ' + bend.direction if bend else 'straight'}", BODY)
    if look.travels and not (shot.arrives and shot.moment.posed.travel):
        yield Instead("nothing travels", Subject("travel"))
    if look.small_steps and _small_steps(shot) not in look.small_steps:
        yield Instead(_small_steps(shot) or "there are no small steps", Subject("travel"))


def _small_steps(shot: Shot) -> str | None:
    travel = shot.moment.posed.travel if shot.arrives else None
    return travel.steps if travel else None


BODY = Subject("body")


def _way(direction: str) -> str:
    return "side" if direction in list(Side) else direction


# ---------------------------------------------------------------- legs


def _leg(look: LegLook, side: Side, shot: Shot, danced: Danced) -> Iterator[Instead]:
    foot = shot.pose.feet.of(side)
    if not (_stands_so(look, foot) and _is_free_so(look, foot, danced)):
        yield Instead(_foot_words(side, foot), FEET[side])
    elif look.steps and not (shot.arrives and takes_weight(side, shot.moment)):
        yield Instead(f"no weight goes to the {side} foot", FEET[side])
    elif look.moves and not (shot.arrives and _moves(look, side, shot.moment)):
        yield Instead(f"the {side} foot does not {' or '.join(look.moves)}", FEET[side])
    knee = shot.pose.knees.of(side)
    if look.knee and not _is_bent_so(look.knee, side, knee.bend, shot):
        yield Instead(f"the {side} knee is {BENT[knee.bend]}", KNEES[side])


def _stands_so(look: LegLook, foot: FootPose | None) -> bool:
    if look.stands is not None and isinstance(foot, Standing) is not look.stands:
        return False
    if look.rise is None:
        return True
    return isinstance(foot, Standing) and (foot.rise is Rise.WHOLE) == (look.rise == "down")


def _is_free_so(look: LegLook, foot: FootPose | None, danced: Danced) -> bool:
    if not (look.at or look.raised or look.to or look.stands is False):
        return True
    if not isinstance(foot, Free) or (look.to and foot.direction not in look.to):
        return False
    if look.ankle and departure(foot.departures, "ankle") not in look.ankle:
        return False
    if not look.at and not look.raised:
        return True
    raised = look.children if danced.score.pupils == CHILDREN and look.children else look.raised
    degrees = raised_by(foot, danced.catalogue)
    high = raised is not None and degrees is not None and raised[0] <= degrees <= raised[1]
    return high or foot.place in look.at


def raised_by(foot: Free, catalogue: Catalogue) -> int | None:
    """The degrees of a raised leg, those of the row under it at a height of its own; None
    where it is not raised."""
    if foot.place is not None:
        return int(foot.place) if foot.place.isdecimal() else None
    height = foot.height or 0
    under = [int(row.name) for row in raised_rows(catalogue) if row.level <= height]
    return max(under, default=None)


def _is_bent_so(wanted: str, side: Side, bend: Bend, shot: Shot) -> bool:
    if wanted == "straight":
        return bend is Bend.NONE
    if wanted == "bent":
        return bend is not Bend.NONE
    if wanted == "bent here":
        return bend is not Bend.NONE and shot.moment.posed.origin(KNEES[side]) is not None
    return bend.value == wanted


def takes_weight(side: Side, moment: Moment) -> bool:
    """Whether a foot takes the weight, or some of it, and does not spring on to it."""
    before, after = moment.before.feet.of(side), moment.after.feet.of(side)
    stands = isinstance(after, Standing) and after.bears
    stood = isinstance(before, Standing) and before.bears
    moved = any(move.subject == FEET[side] and move.kind != "way" for move in moment.posed.moves)
    return stands and not _springs(moment) and (moved or not stood)


def _moves(look: LegLook, side: Side, moment: Moment) -> bool:
    return any(
        move.subject == FEET[side] and move.kind in look.moves for move in moment.posed.moves
    )


def _foot_words(side: Side, foot: FootPose | None) -> str:
    match foot:
        case None:
            return f"nothing is written of the {side} foot"
        case Standing():
            where = f" in {foot.position}" if foot.position else ""
            return f"the {side} foot stands{where} {RISEN[foot.rise]}"
        case Free(place=None):
            return f"the {side} foot is at a height of its own to the {foot.direction}"
    raised = AT.get(foot.place or "", f"raised {foot.place}")
    return f"the {side} {'foot' if foot.place in AT else 'leg'} is {raised} to the {foot.direction}"


# ---------------------------------------------------------------- both feet


def _feet(look: Look, side: Side, pose: Pose) -> Iterator[Instead]:
    if not (look.feet or look.front):
        return
    feet = (pose.feet.right, pose.feet.left)
    places = [foot.position for foot in feet if isinstance(foot, Standing)]
    if len(places) < len(feet) or (look.feet and places[0] not in look.feet):
        wrong = next((one for one in BOTH if not isinstance(pose.feet.of(one), Standing)), side)
        yield Instead(_foot_words(wrong, pose.feet.of(wrong)), FEET[wrong])
        return
    front = side if look.front == "working" else side.other
    stands = pose.feet.right
    if look.front and isinstance(stands, Standing) and stands.front is not front:
        yield Instead(f"the {front.other} foot is in front", FEET[front.other])


def kind_of_spring(shot: Shot) -> str | None:
    """From how many feet to how many; None where nothing springs, or it has no take-off or no
    landing."""
    off, on = shot.off, standing(shot.pose.feet)
    if not (shot.arrives and _springs(shot.moment) and off and on):
        return None
    if len(off) == 1 and len(on) == 1:
        return "one foot to the same" if off == on else "one foot to the other"
    counted = {1: "one", 2: "two"}
    return f"{counted[len(off)]} {'foot' if len(off) == 1 else 'feet'} to {counted[len(on)]}"


def _springs(moment: Moment) -> bool:
    """Whether it is said, or the dancer comes out of the air."""
    said = any(move.kind == "spring" for move in moment.posed.moves)
    return said or not standing(moment.before.feet)


def _spring_words(shot: Shot) -> str:
    kind = kind_of_spring(shot)
    return f"this spring goes from {kind}" if kind else "nothing springs"


def _beats(look: Look, shot: Shot) -> bool:
    """Whether the feet in front at the beats are those that are asked for; against a take-off
    without a front foot the words have to be the same."""
    written = _written(shot)
    if look.beaten:
        return bool(written)
    wanted = tuple(map(Beat, look.beats))
    sides = beaten(wanted, shot.held.feet)
    return sides == beaten(written, shot.held.feet) if sides else wanted == written


def _written(shot: Shot) -> tuple[Beat, ...]:
    feet = (FeetChange, FootChange)
    beats = (one.flight.beats for one in shot.moment.changes if isinstance(one, feet))
    return next(filter(None, beats), ()) if shot.arrives else ()


# ---------------------------------------------------------------- turns


def _turn(look: TurnLook, side: Side, shot: Shot) -> Iterator[Instead]:
    turn = shot.moment.posed.turn if shot.arrives else None
    if turn is None:
        yield Instead("nothing turns", TURN)
        return
    towards = "working" if turn.to is side else "other"
    amounts = not look.by or str(turn.by) in look.by
    if _on(turn, side) not in (look.on or (_on(turn, side),)) or not amounts:
        yield Instead(_turn_words(turn), TURN)
    elif look.to and towards != look.to:
        yield Instead(f"this turns to the {turn.to}", TURN)
    begun, ended = (tuple(_turned_on(look, turn, pose)) for pose in (shot.held, shot.pose))
    yield from ended if begun and ended else ()


TURN = Subject("turn")


def _on(turn: TurnChange, side: Side) -> str:
    if turn.on in (TurnedOn.BOTH, TurnedOn.NEITHER):
        return turn.on.value
    return "working" if turn.on.on(side) else "other"


def _turned_on(look: TurnLook, turn: TurnChange, pose: Pose) -> Iterator[Instead]:
    """What of the feet that are turned on is not as it is asked."""
    own = LegLook(rise=look.rise, knee=look.knee)
    for side in (one for one in BOTH if turn.on.on(one)):
        foot, knee = pose.feet.of(side), pose.knees.of(side)
        if not _stands_so(own, foot):
            yield Instead(_foot_words(side, foot), FEET[side])
        if own.knee and knee.bend is not Bend.NONE:
            yield Instead(f"the {side} knee is {BENT[knee.bend]}", KNEES[side])


def _turn_words(turn: TurnChange) -> str:
    where = {"both": "both feet", "neither": "neither foot"}.get(turn.on, f"the {turn.on} foot")
    return f"this turns by {turn.by} on {where}"
