"""One ink, one position: no two different positions are drawn with the same ink.

Random moments are written on a coarse grid of places, so that they meet often;
those that no rule refuses and that can be placed are drawn, and what is drawn
alike must be the same position. What ink leaves out is left out of a position
here: how far forward a hand is, and the name by which a place was written.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Iterator
from dataclasses import dataclass, replace
from decimal import Decimal
from itertools import combinations
from random import Random

import pytest

from stavebound.book.key import posed_in
from stavebound.dance.pose import Free, HandPose, Joint, Pose, Posed, Standing, Subject
from stavebound.diagnostics import has_errors
from stavebound.engrave.clear import clear
from stavebound.engrave.gather import Ink as Sign
from stavebound.engrave.gather import gather, ink_box, place_of
from stavebound.engrave.outline import outline
from stavebound.score.attitude import attitude
from stavebound.score.departures import departures
from stavebound.score.model import (
    ArmsChange,
    At,
    Bend,
    CentreChange,
    CentrePart,
    Change,
    Depth,
    ElbowChange,
    FeetChange,
    FootChange,
    Frame,
    HandChange,
    Height,
    KneesChange,
    LegDirection,
    Music,
    Phrase,
    Position,
    Return,
    Rise,
    Score,
    Side,
    Weight,
    WholeChange,
)
from tests.support.changes import ANGLES, CONTACTS, CROSSED, JOINED, PLACES
from tests.support.departures import TABLE, chosen
from tests.support.laws import PIXEL
from tests.support.leans import leans_of
from tests.support.sources import score_faults
from tests.support.staves import CATALOGUE, SETTING, poses_of, school_of

MOMENTS = 6000
# Signs nearer than that, in spaces, are at one place to the eye.
ALIKE = 3 * PIXEL
# How far clearing may move a hand or a joint, and how much nearer the eye lets them be:
# up or down in spaces, outward in statures.
SHIFT = 0.30 + ALIKE
SHIFT_OUT = (0.40 + ALIKE) / CATALOGUE.ruling.across.hand.slope

Ink = tuple[str, bool, float, float]
Said = tuple[object, ...]


@dataclass(frozen=True, slots=True)
class Drawn:
    """What a moment says, and its ink."""

    said: tuple[tuple[str, Said], ...]
    ink: tuple[Ink, ...]


# ---------------------------------------------------------------- random moments


def moment(random: Random) -> tuple[Change, ...]:
    """One to three limbs, each anyhow."""
    kinds = (hand, hand, foot, foot, feet, joint, joint, part, joined, whole)
    return tuple(random.choice(kinds)(random) for _ in range(random.choice((1, 1, 2, 3))))


def hand(random: Random) -> Change:
    if random.random() < 0.15:
        contact = departures({"touching": random.choice(CONTACTS)})
        return HandChange(random.choice(list(Side)), departures=contact)
    marks = [name for name in TABLE.of("hand") if name != "touching"]
    touching = random.choice([None, None, None, "body", "hand"])
    return HandChange(
        random.choice(list(Side)),
        height=height(random, range(4, 19)),
        out=Decimal(random.randrange(-15, 50, 5)).scaleb(-2),
        depth=random.choice(list(Depth)),
        departures=departures({**dict(chosen(random, marks, 3)), "touching": touching}),
    )


def joined(random: Random) -> Change:
    return ArmsChange(random.choice(JOINED), joined=random.random() < 0.7)


def whole(random: Random) -> Change:
    return WholeChange.named(random.choice(CATALOGUE.lanes.on_stave).name)


def height(random: Random, quarters: Iterable[int]) -> Height:
    return Height("floor", Decimal(random.choice(list(quarters))) / 4)


def foot(random: Random) -> Change:
    side = random.choice(list(Side))
    if random.random() < 0.2:
        return FootChange(side, rise=random.choice(list(Rise)))
    way, kind = random.choice(list(LegDirection)), random.random()
    own = chosen(random, TABLE.of("free"))
    if kind < 0.3:
        change = FootChange(side, way, raised=random.choice(ANGLES))
    elif kind < 0.6:
        change = FootChange(side, way, random.choice(PLACES))
    else:
        out = Decimal(random.randrange(-10, 60, 5)).scaleb(-2)
        change = FootChange(side, way, height=height(random, range(2, 16)), out=out)
    return replace(change, departures=own)


def feet(random: Random) -> Change:
    name = random.choice([row.name for row in CATALOGUE.feet.position])
    front = random.choice(list(Side)) if name in CROSSED else None
    weight = random.choice([None, *Weight])
    own = chosen(random, TABLE.of("standing"))
    return FeetChange(name, front, random.choice([None, *Rise]), weight, own)


def joint(random: Random) -> Change:
    bend, side = random.choice(list(Bend)), random.choice(list(Side))
    depth = random.choice([None, *Depth])
    placed = bend is not Bend.NONE and random.random() < 0.7
    up = height(random, range(4, 14)) if placed else None
    out = Decimal(random.randrange(5, 35, 5)).scaleb(-2) if placed else None
    if random.random() < 0.5:
        return KneesChange(bend, side, depth if bend is not Bend.NONE else None, up, out)
    return ElbowChange(bend, side, depth if bend is not Bend.NONE else None, up, out)


def part(random: Random) -> Change:
    which = random.choice(list(CentrePart))
    every = leans_of(which)
    own = attitude({name: random.choice([None, random.choice(every[name])]) for name in every})
    return CentreChange(which, own) if own else Return(which)


# ---------------------------------------------------------------- what is drawn


def drawn(before: tuple[Change, ...], changes: tuple[Change, ...]) -> Drawn | None:
    """The second of two moments; None where a rule refuses it or it cannot be placed."""
    held = HandChange(Side.RIGHT, "low rounded"), HandChange(Side.LEFT, "low rounded")
    start = Position((FeetChange("first"), *held))
    phrase = Phrase(2, (Frame(At(1), before), Frame(At(2), changes)))
    score = Score("One", (phrase,), music=Music("2/4", 2), start=start)
    if has_errors(score_faults(score, CATALOGUE, school_of(score))):
        return None
    posed = poses_of(score)[2]
    placed = clear(gather(posed, CATALOGUE), CATALOGUE, SETTING.style)
    if placed.value is None or placed.diagnostics:
        return None
    inks = (ink for cleared in placed.value for ink in cleared.cluster.inks)
    return Drawn(tuple(sorted(said(posed), key=str)), tuple(sorted(_seen(ink) for ink in inks)))


def _seen(ink: Sign) -> Ink:
    return (ink.sign, _turned(ink.sign, ink.mirrored), ink.x, ink.y)


def random_drawn(random: Random) -> Drawn | None:
    """A moment after another, in which a leg may have been freed."""
    return drawn(random.choice([(), (foot(random),)]), moment(random))


def _turned(sign: str, mirrored: bool) -> bool:
    """Whether it can be seen that a sign is turned over."""
    return mirrored and _corners(sign, True) != _corners(sign, False)


def _corners(sign: str, mirrored: bool) -> set[tuple[float, float]]:
    return {
        (round(point.x, 3) + 0.0, round(point.y, 3))
        for figure in outline(CATALOGUE.sign(sign), mirrored)
        for point in figure.points
    }


def said(posed: Posed) -> Iterator[tuple[str, Said]]:
    """What is written of each limb, in full."""
    for subject, _ in posed.written:
        yield str(subject), _of(subject, posed.pose)
        if subject.kind == "foot" and subject.side:
            found, knee = posed.pose.feet.of(subject.side), Subject("knee", subject.side)
            if isinstance(found, Free) and found.place == "knee" and not posed.origin(knee):
                yield str(knee), _joint("knee", Joint(Bend.HALF), posed.pose, subject.side)


def _of(subject: Subject, pose: Pose) -> Said:
    if subject.side is None and subject.kind not in list(CentrePart):
        return (subject.kind,)
    if subject.side is None:
        return (str(pose.attitude(CentrePart(subject.kind))),)
    if subject.kind in ("knee", "elbow"):
        joints = pose.knees if subject.kind == "knee" else pose.elbows
        return _joint(subject.kind, joints.of(subject.side), pose, subject.side)
    if subject.kind == "hand":
        found = pose.hands.of(subject.side)
        assert isinstance(found, HandPose)
        return (found.height, found.out, str(found.depth), found.departures)
    return _foot(pose, subject.side)


def _foot(pose: Pose, side: Side) -> Said:
    """By its place where it touches floor or leg, else by height and distance out."""
    found = pose.feet.of(side)
    if not isinstance(found, Free):
        return (f"{found} {isinstance(pose.feet.of(side.other), Standing)}",)
    row = place_of(found, CATALOGUE)
    aside = found.direction is LegDirection.SIDE
    scale = CATALOGUE.ruling.across.foot_aside if aside else CATALOGUE.ruling.across.foot
    x = row.side if aside else row.before or CATALOGUE.feet.free.before
    up = row.front if found.direction is LegDirection.FRONT else row.level
    touches = found.place if row.hook or row.touch else None
    return (
        up,
        (x - scale.base) / scale.slope,
        str(found.direction),
        str(touches),
        found.departures,
    )


def _joint(kind: str, found: Joint, pose: Pose, side: Side) -> Said:
    usual = CATALOGUE.feet.joint[kind][found.bend]
    leg, across = pose.feet.of(side), CATALOGUE.ruling.across.hand
    x, y = usual.x, usual.y
    if kind == "knee" and isinstance(leg, Free) and leg.place == "knee":
        x, y = 0.96, 1.65
    out = (x - across.base) / across.slope if found.out is None else found.out
    return (y if found.height is None else found.height, out, str(found.bend), str(found.depth))


# ---------------------------------------------------------------- comparing


def same_ink(a: Drawn, b: Drawn) -> bool:
    """Whether each sign of the one lies where the same sign of the other does, to the eye,
    and touches what that touches."""
    if len(a.ink) != len(b.ink) or _touching(a) != _touching(b):
        return False
    return all(
        one[:2] == two[:2] and abs(one[2] - two[2]) <= ALIKE and abs(one[3] - two[3]) <= ALIKE
        for one, two in zip(a.ink, b.ink, strict=True)
    )


def _touching(each: Drawn) -> list[tuple[str, str]]:
    """The names of signs that run together, two and two."""
    boxes = [ink_box(Sign(name, x, y, turned), CATALOGUE) for name, turned, x, y in each.ink]
    return sorted(
        (each.ink[i][0], each.ink[j][0])
        for i, j in combinations(range(len(boxes)), 2)
        if boxes[i].overlaps(boxes[j])
    )


def same_position(a: Drawn, b: Drawn) -> bool:
    """Whether the same is said of the same limbs, places as far apart as clearing may move them."""
    if [subject for subject, _ in a.said] != [subject for subject, _ in b.said]:
        return False
    return all(_near(one, two) for (_, one), (_, two) in zip(a.said, b.said, strict=True))


def _near(a: Said, b: Said) -> bool:
    if len(a) == 1 or len(b) == 1:
        return a == b
    up, out = (abs(float(str(a[i])) - float(str(b[i]))) for i in (0, 1))
    return a[2:] == b[2:] and up <= SHIFT and out <= SHIFT_OUT


def alike(moments: Iterable[Drawn]) -> list[tuple[Drawn, Drawn]]:
    """The pairs that are drawn with the same ink and say different things."""
    families = defaultdict(list)
    for each in set(moments):
        families[tuple(ink[:2] for ink in each.ink)].append(each)
    return [
        (a, b)
        for family in families.values()
        for a, b in combinations(sorted(family, key=str), 2)
        if same_ink(a, b) and not same_position(a, b)
    ]


def test_no_two_positions_have_the_same_ink() -> None:
    random = Random(20260302)
    found = [each for _ in range(MOMENTS) if (each := random_drawn(random))]
    assert len(found) > MOMENTS / 4
    assert alike(found) == []


# ---------------------------------------------------------------- pairs that were found

# Two positions, and the sign that parts them: without it their ink is the same.
PARTED = {
    "a raised foot and a hand": (
        '<foot side="right" to="front" raised="120"/>',
        '<hand side="right" height="shoulder" out="0.05" depth="front"/>',
        "tail",
    ),
    "a raised knee and an elbow": (
        '<knee side="right" bend="half" height="waist+0.4" out="0.20"/>',
        '<elbow side="right" bend="half" height="waist+0.4" out="0.20"/>',
        "tail",
    ),
    "a foot at the ankle and off the floor": (
        '<foot side="right" to="front" place="ankle"/>',
        '<foot side="right" to="front" place="off the floor"/>',
        "touch",
    ),
    "a foot at the knee and one before it with its knee bent": (
        '<foot side="right" to="front" place="knee"/>',
        '<foot side="right" to="front" height="knee+0.32"/>'
        '<knee side="right" bend="half" height="waist-0.35" out="0.43"/>',
        "touch",
    ),
    "weight on both feet and on one": (
        '<feet in="third" front="right"/>',
        '<feet in="third" front="right" weight="left"/>',
        "weight",
    ),
    "a hand across and the other hand": (
        '<hand side="right" height="waist" out="-0.05" depth="front"/>',
        '<hand side="left" height="waist" out="0.05" depth="front"/>',
        "across",
    ),
    "a stretched arm and a usual one": (
        '<hand side="right" in="side" arm="stretched"/>',
        '<hand side="right" in="side"/>',
        "arm stretched",
    ),
    "a rounded arm and a usual one": (
        '<hand side="right" in="arabesque side" arm="rounded"/>',
        '<hand side="right" in="arabesque side"/>',
        "arm rounded",
    ),
    "a hand on the hip and one near it": (
        '<hand side="right" touching="hip"/>',
        '<hand side="right" height="hip" out="0.20" depth="level"/>',
        "touch",
    ),
    "a leg parallel and turned out": (
        '<feet in="first" turned="parallel"/>',
        '<feet in="first"/>',
        "parallel",
    ),
    "a leg turned in and turned out": (
        '<foot side="right" to="front" raised="90" turned="in"/>',
        '<foot side="right" to="front" raised="90"/>',
        "turned in",
    ),
    "a foot flexed and stretched": (
        '<foot side="right" to="side" raised="90" ankle="flexed"/>',
        '<foot side="right" to="side" raised="90"/>',
        "flexed",
    ),
    "a foot across and the other foot": (
        '<foot side="right" to="front" height="knee-0.3" out="-0.05"/>',
        '<foot side="left" to="front" height="knee-0.3" out="0.05"/>',
        "across",
    ),
    "a palm up and a usual one": (
        '<hand side="right" in="side" palm="up"/>',
        '<hand side="right" in="side"/>',
        "palm up",
    ),
}

# Two positions whose signs are others, or stand elsewhere.
APART = {
    "one foot and first": ('<foot side="right" on="whole foot"/>', '<feet in="first"/>'),
    "on one foot or on the other": (
        '<feet in="third" front="right" weight="right"/>',
        '<feet in="third" front="right" weight="left"/>',
    ),
    "third and fifth": ('<feet in="third" front="left"/>', '<feet in="fifth" front="left"/>'),
    "half and fully bent": ('<knees bend="half"/>', '<knees bend="full"/>'),
    "a bend and a crossed limb": (
        '<elbow side="left" bend="half" depth="front" height="waist+0.5" out="0.20"/>',
        '<hand side="right" height="waist+0.5" out="-0.20" depth="front"/>',
    ),
    "a palm in and out": (
        '<hand side="right" in="side" palm="in"/>',
        '<hand side="right" in="side" palm="out"/>',
    ),
    "a pointed foot and one just above the floor": (
        '<foot side="right" to="back" place="pointed"/>',
        '<foot side="right" to="back" height="floor+0.40" out="0.05"/>',
    ),
    "a pointed foot and one on full point": (
        '<foot side="right" to="side" place="pointed"/>',
        '<foot side="right" on="point"/>',
    ),
    "hands joined and close": (
        '<arms in="front rounded" hands="joined"/>',
        '<arms in="front rounded"/>',
    ),
    "a near hand with its elbow and one that reaches": (
        '<hand side="right" height="waist+0.6" out="0.05" depth="front" forward="0.10"/>'
        '<elbow side="right" bend="half"/>',
        '<hand side="right" height="waist+0.6" out="0.05" depth="front" forward="0.40"/>',
    ),
    "held in so many words and simply held": ("<hold/>", ""),
    "the arms held and the legs": ('<hold of="arms"/>', '<hold of="legs"/>'),
    "held and still": ("<hold/>", "<still/>"),
    "held and straight again": ("", '<return of="head"/>'),
    "a tilt and the tick of a crossed limb": (
        '<body tilt="right"/>',
        '<hand side="left" height="waist+0.5" out="-0.05" depth="behind"/>',
    ),
    "to one side and to the other": ('<head turn="left 2"/>', '<head turn="right 2"/>'),
}


def ink_of(position: str) -> Drawn:
    posed = posed_in(position, CATALOGUE, CATALOGUE.schools.school[0])
    placed = clear(gather(posed, CATALOGUE), CATALOGUE, SETTING.style)
    assert placed.value is not None
    assert placed.diagnostics == ()
    inks = (ink for cleared in placed.value for ink in cleared.cluster.inks)
    return Drawn((), tuple(sorted(_seen(ink) for ink in inks)))


@pytest.mark.parametrize(("one", "other", "sign"), PARTED.values(), ids=PARTED)
def test_a_sign_parts_two_positions(one: str, other: str, sign: str) -> None:
    a, b = ink_of(one), ink_of(other)
    assert not same_ink(a, b)
    bare = [Drawn((), tuple(ink for ink in each.ink if ink[0] != sign)) for each in (a, b)]
    assert same_ink(*bare), "something else parts them too: the pair belongs among the others"


@pytest.mark.parametrize(("one", "other"), APART.values(), ids=APART)
def test_two_positions_stand_apart(one: str, other: str) -> None:
    assert not same_ink(ink_of(one), ink_of(other))
