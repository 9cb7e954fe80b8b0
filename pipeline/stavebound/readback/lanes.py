"""Lanes: where the dancer faces, travels to and turns; and what else signs there say.

In: the signs of one moment, and the texts beside signs. Out: claims. A text that is
an amount goes among the signs by the name "amount" with what it says, where it begins.
"""

from __future__ import annotations

import re
from collections.abc import Collection, Iterable, Iterator, Mapping
from fractions import Fraction
from itertools import combinations, product

from stavebound.readback.claims import Claim, ReadingKey, Signs, near, standing_at
from stavebound.readback.stave import LINES
from stavebound.readback.values import (
    FacingRead,
    LaneRead,
    SignRead,
    TextRead,
    TravelRead,
    TurnRead,
)
from stavebound.score.lanes import DIRECTIONS, EIGHTHS, Front, SmallSteps, TravelPath, TurnedOn
from stavebound.score.model import Side
from stavebound.trade.lanes import WholeSign

VULGAR = {"½": Fraction(1, 2), "¼": Fraction(1, 4), "¾": Fraction(3, 4)}
AMOUNT = re.compile(r"([1-4])?(?:([½¼¾])|(?:(?<=\d) |^)([1357])/8)?")
PATHS = {"curving": "curved", "circling": "circling"}
# The lanes below the stave, by the first word of the signs that stand there.
LANES = {"facing": "facing", "travel": "travel", "turning": "turn"}
SPOTTING = "spotting"
FEET = {
    frozenset((Side.RIGHT,)): TurnedOn.RIGHT,
    frozenset((Side.LEFT,)): TurnedOn.LEFT,
    frozenset(Side): TurnedOn.BOTH,
    frozenset[Side](): TurnedOn.NEITHER,
}


def amount_in(text: str) -> Fraction | None:
    """How many turns a text says; None where it is no amount."""
    found = AMOUNT.fullmatch(text)
    if not (found and text):
        return None
    whole, vulgar, eighths = found.groups()
    part = VULGAR[vulgar] if vulgar else Fraction(int(eighths or 0), EIGHTHS)
    return Fraction(int(whole or 0)) + part


def amount_signs(texts: Iterable[TextRead]) -> Signs:
    return tuple(SignRead(f"amount {text.letters}", text.xs[0], text.y) for text in texts)


def lanes_used(signs: Signs, lasting: bool, key: ReadingKey) -> Mapping[str, float]:
    """The heights of the lanes below, by what stands on a stave: those that it does not use are
    closed up. A turn that is `lasting` is in its lane before its sign stands there."""
    lanes = key.catalogue.lanes
    kinds = (sign.name.partition(" ")[0] for sign in signs)
    pointing = {LANES[kind] for kind in kinds if kind in LANES}
    heard = {lanes.lane_of_sign[sign.name] for sign in signs if sign.name in lanes.lane_of_sign}
    return lanes.heights(pointing | heard | ({"turn"} if lasting else set()))


def lane_claims(signs: Signs, key: ReadingKey) -> Iterator[Claim]:
    yield from _said(signs, key)
    for number, sign in enumerate(signs):
        if near(sign.x, 0.0, key) and not sign.marks:
            kind, _, direction = sign.name.partition(" ")
            lane = LANES.get(kind)
            if lane is None or not near(sign.y, key.lanes[lane], key):
                continue
            if lane == "facing":
                yield Claim(frozenset({number}), FacingRead(_turned_over(direction, sign)))
            elif lane == "travel":
                yield from _travel(number, signs, key)
            else:
                yield from _turn(number, signs, key)


def _said(signs: Signs, key: ReadingKey) -> Iterator[Claim]:
    """What is said of the whole dancer: by all signs of a name that stand there."""
    for row in key.catalogue.lanes.off_stave:
        here = {
            number: sign
            for number, sign in enumerate(signs)
            if row.sign == sign.name and not sign.marks and _stands(sign, row, key)
        }
        if _across(here.values(), row, key):
            yield Claim(frozenset(here), LaneRead(row.name))


def _across(here: Collection[SignRead], row: WholeSign, key: ReadingKey) -> bool:
    """Whether there is a sign at each x of the row, and no other."""
    return len(here) == len(row.x) and all(
        any(near(sign.x, x, key) for sign in here) for x in row.x
    )


def _stands(sign: SignRead, row: WholeSign, key: ReadingKey) -> bool:
    """At its height below the stave, or over the counts; without whole counts, anywhere over
    the stave."""
    if row.lane != "above":
        return near(sign.y, row.y + key.lanes.get(row.lane, 0.0), key)
    return sign.y > LINES - 1 if key.top is None else near(sign.y, key.top + row.y, key)


def _turned_over(direction: str, sign: SignRead) -> int:
    """The eighth of a direction, by the right-hand sign that it is drawn with."""
    eighth = DIRECTIONS.index(direction)
    return eighth if sign.turned > 0 else -eighth % EIGHTHS


def _travel(number: int, signs: Signs, key: ReadingKey) -> Iterator[Claim]:
    row, sign = key.catalogue.lanes.travel, signs[number]
    _, _, _, of, direction = sign.name.split(" ", 4)
    to = DIRECTIONS[_turned_over(direction, sign)]
    for members, path in _paths(signs, key):
        whole = members | {number}
        yield Claim(whole, TravelRead(to, Front(of), path))
        for steps in SmallSteps:
            beside = row.steps_beside(path)
            for at in standing_at(signs, steps.sign, beside, key.lanes["travel"], key):
                yield Claim(whole | {at}, TravelRead(to, Front(of), path, steps))


def _paths(signs: Signs, key: ReadingKey) -> Iterator[tuple[frozenset[int], TravelPath]]:
    """The forms of the path that stand beside an arrow, with their signs; straight has none."""
    row, y = key.catalogue.lanes.travel, key.lanes["travel"]
    yield frozenset(), TravelPath.STRAIGHT
    for name, form in PATHS.items():
        for side in Side:
            for path in standing_at(signs, name, side.sign * row.path, y, key):
                if signs[path].turned == side.sign:
                    yield frozenset({path}), TravelPath(f"{form} {side}")


def _turn(number: int, signs: Signs, key: ReadingKey) -> Iterator[Claim]:
    """With every choice of what stands beside it: what is left over belongs to nobody."""
    row, y = key.catalogue.lanes.turn, key.lanes["turn"]
    to = Side.RIGHT if signs[number].turned > 0 else Side.LEFT
    dots = [
        (dot, side)
        for side in Side
        for dot in standing_at(signs, "weight", side.sign * row.foot, y + row.below, key)
    ]
    amounts = [
        (other, by)
        for other, sign in enumerate(signs)
        if sign.name.startswith("amount ")
        and near(sign.x, row.amount, key)
        and near(sign.y, y + row.baseline, key)
        and (by := amount_in(sign.name.removeprefix("amount ")))
    ]
    spots = [*_spots(signs, y, key), None]
    for (other, by), spot in product(amounts, spots):
        looks = frozenset({spot[0]} if spot else ())
        for count in range(len(dots) + 1):
            for some in combinations(dots, count):
                members = looks | {number, other, *(dot for dot, _ in some)}
                on = FEET[frozenset(side for _, side in some)]
                yield Claim(members, TurnRead(to, by, on, spotting=spot[1] if spot else None))


def _spots(signs: Signs, y: float, key: ReadingKey) -> Iterator[tuple[int, str]]:
    """The signs beside a turn that say where the dancer spots."""
    x = -key.catalogue.lanes.turn.spotting
    for number, sign in enumerate(signs):
        kind, _, direction = sign.name.partition(" ")
        if kind == SPOTTING and near(sign.x, x, key) and near(sign.y, y, key):
            yield number, DIRECTIONS[_turned_over(direction, sign)]
