"""Random changes of a dancer's limbs in which nothing is wrong.

They are put together as a notator would find them sound: somebody always bears
weight, hands and elbows are in reach, marks agree with the places they stand by.
"""

from collections.abc import Sequence
from dataclasses import replace
from decimal import Decimal
from fractions import Fraction

from hypothesis import strategies as st

from stavebound.body.skeleton import arm
from stavebound.check.feet import PARALLEL
from stavebound.check.kneeling import on_knees
from stavebound.check.lifted import is_off_the_floor
from stavebound.check.sounds import feet_heard
from stavebound.dance.beats import front_foot
from stavebound.dance.points import hand_point
from stavebound.dance.pose import Free, Pose, Standing
from stavebound.dance.state import BARRE, BOTH, apply
from stavebound.score.attitude import attitude
from stavebound.score.departures import departures
from stavebound.score.lanes import (
    DIRECTIONS,
    FacingChange,
    Front,
    SmallSteps,
    TravelChange,
    TravelPath,
    TurnChange,
    TurnedOn,
    direction_of,
    turned,
)
from stavebound.score.model import (
    ArmsChange,
    Beat,
    Bend,
    Bow,
    CentreChange,
    CentrePart,
    Change,
    Depth,
    ElbowChange,
    FeetChange,
    Flight,
    FootChange,
    HandChange,
    Height,
    KneelChange,
    KneesChange,
    LegDirection,
    Legs,
    PathForm,
    Phrase,
    Position,
    Return,
    Rise,
    Score,
    Side,
    Size,
    Transfer,
    Weight,
    WholeChange,
)
from stavebound.trade.catalogue import load_catalogue
from stavebound.trade.naming import arms_names, arms_shape, hand_names
from stavebound.trade.tables import School
from tests.support.departures import TABLE, free_names, written
from tests.support.leans import leans_of

CATALOGUE = load_catalogue()
PLACES = ["pointed", "off the floor", "ankle", "calf", "knee"]
ANGLES = [45, 65, 90, 105, 120, 135, 180]
ARM = arm(CATALOGUE.person)
CROSSED = [row.name for row in CATALOGUE.feet.position if row.front]
LINES = ["floor", "knee", "hip", "waist", "shoulder", "eyes", "head"]
# Shapes that bring the hands together, and places of the body that they may touch.
JOINED = ("low rounded", "front rounded", "overhead rounded")
CONTACTS = [row.name for row in CATALOGUE.shapes.contact]
OF_THE_BODY = [name for name in CONTACTS if name != BARRE]
# What one sign says of the whole dancer.
WHOLE = [WholeChange.named(row.name) for row in CATALOGUE.lanes.whole]
OFF_STAVE = [WholeChange.named(row.name) for row in CATALOGUE.lanes.off_stave]


# ---------------------------------------------------------------- feet and knees


def positions() -> st.SearchStrategy[FeetChange]:
    """Both feet in a position, with the weight on one or both."""
    names = st.sampled_from([row.name for row in CATALOGUE.feet.position])
    return st.builds(
        lambda name, front, rise, weight, own: FeetChange(
            name, front if name in CROSSED else None, rise, weight, () if name in PARALLEL else own
        ),
        names,
        st.sampled_from(Side),
        st.none() | st.sampled_from(Rise),
        st.none() | st.sampled_from(Weight),
        written(TABLE.of("standing")),
    )


def kneeling() -> st.SearchStrategy[KneelChange]:
    return st.builds(KneelChange, st.sampled_from(Weight), st.booleans())


@st.composite
def free_feet(draw: st.DrawFn, side: Side) -> FootChange:
    direction = draw(st.sampled_from(LegDirection))
    kind = draw(st.sampled_from(["raised", "place", "height"]))
    if kind == "raised":
        change = FootChange(side, direction, raised=draw(st.sampled_from(ANGLES)))
    elif kind == "place":
        change = FootChange(side, direction, draw(st.sampled_from(PLACES)))
    else:
        change = draw(toes(side, direction))
    own = dict(draw(written(TABLE.of("free"))))
    if change.place != "ankle":
        own.pop("beating", None)
        if own.get("ankle") == "wrapped":
            own.pop("ankle")
    return replace(change, departures=departures(own))


@st.composite
def toes(draw: st.DrawFn, side: Side, direction: LegDirection) -> FootChange:
    """A foot at a height of its own, stretched; crossed a little in front or behind."""
    height = Height("floor", Decimal("0.50") + draw(hundredths(0, 300)))
    out = (
        draw(hundredths(-12, 12))
        if direction is not LegDirection.SIDE and draw(st.booleans())
        else None
    )
    return FootChange(side, direction, height=height, out=out)


@st.composite
def way_of_a_foot(draw: st.DrawFn, change: FootChange, pose: Pose) -> FootChange:
    """The same foot, and perhaps by what way or transfer; a high leg from a closed position
    says how it comes there."""
    held = pose.feet.of(change.side)
    if held is None:
        return change
    closed = isinstance(held, Standing) and held.position is not None
    bow = draw(st.none() | st.none() | st.sampled_from(Bow))
    kind = draw(st.sampled_from(["", "", "via", "path", "slide"]))
    on_the_floor = isinstance(held, Standing) or held.place == "pointed"
    if kind == "slide" and change.place == "pointed" and on_the_floor:
        return replace(change, by=Transfer.SLIDE)
    if kind == "path" or (closed and (change.raised or 0) >= 65 and kind != "via"):
        return replace(change, path=draw(st.sampled_from(PathForm)), bow=bow)
    if kind == "via":
        via = draw(st.sampled_from(["ankle", "knee", "first", "front", "side", "back"]))
        return replace(change, via=via, bow=bow)
    return replace(change, bow=bow)


@st.composite
def transferred(draw: st.DrawFn, change: FeetChange, pose: Pose) -> FeetChange:
    """Both feet, and perhaps how they come there."""
    stand = [side for side in BOTH if isinstance(pose.feet.of(side), Standing)]
    by = draw(st.none() | st.sampled_from([Transfer.SPRING, Transfer.SLIDE]))
    if by is Transfer.SPRING and stand and change.position:
        return replace(change, by=by, flight=draw(flights(change.front, pose)))
    if by is Transfer.SLIDE and len(stand) == 2 and change.position:
        return replace(change, by=by, moving=draw(st.sampled_from(BOTH)))
    if by is Transfer.SLIDE and len(stand) == 1 and change.position:
        side = stand[0].other
        foot = pose.feet.of(side)
        assert isinstance(foot, Free)
        closes = LegDirection.FRONT if change.front is side else LegDirection.BACK
        pointed = foot.place == "pointed"
        if pointed and (change.front is None or foot.direction in (LegDirection.SIDE, closes)):
            return replace(change, by=by)
    return change


@st.composite
def flights(draw: st.DrawFn, lands: Side | None, pose: Pose) -> Flight:
    """Perhaps with beats, the last of which leaves the feet as they land; said against the
    take-off or by sides."""
    fronts = draw(st.just([]) | st.lists(st.sampled_from(BOTH), max_size=3))
    if fronts and lands:
        fronts[-1] = lands.other
    took_off = front_foot(pose.feet)
    if took_off and draw(st.booleans()):
        beats = [Beat.SAME if front is took_off else Beat.OTHER for front in fronts]
    else:
        beats = [Beat(front.value) for front in fronts]
    legs, size = (draw(st.none() | st.sampled_from(each)) for each in (Legs, Size))
    return Flight(tuple(beats), legs, size)


@st.composite
def feet(draw: st.DrawFn, pose: Pose) -> list[Change]:
    """What the feet may do: stand together, rise where they are, or one of them is free; or the
    dancer kneels, and stands up from it."""
    if on_knees(pose, CATALOGUE):
        return [draw(kneeling() | positions())]
    does = draw(st.sampled_from(["position", "rise", "weight", "free", "kneel"]))
    if does == "kneel":
        return [draw(kneeling())]
    if does == "weight" and all(isinstance(pose.feet.of(side), Standing) for side in BOTH):
        return [FeetChange(weight=draw(st.sampled_from(Weight)))]
    if does in ("position", "weight"):
        return [draw(transferred(draw(positions()), pose))]
    if does == "rise":
        return [FeetChange(rise=draw(st.sampled_from(Rise)))]
    side = draw(st.sampled_from(Side))
    changes: list[Change] = [draw(way_of_a_foot(draw(free_feet(side)), pose))]
    if not isinstance(pose.feet.of(side.other), Standing) or draw(st.booleans()):
        alone = not isinstance(pose.feet.of(side), Standing)
        steps = not (alone and isinstance(pose.feet.of(side.other), Standing))
        by = draw(st.none() | st.just(Transfer.STEP)) if steps else None
        changes.append(FootChange(side.other, rise=draw(st.sampled_from(Rise)), by=by))
    return changes


@st.composite
def joint_places(draw: st.DrawFn, side: Side, near: Sequence[Decimal]) -> KneesChange:
    """A bent joint, at its usual place or at one near a height and a distance out."""
    bend = draw(st.sampled_from([Bend.HALF, Bend.FULL]))
    depth = draw(st.none() | st.sampled_from(Depth))
    if draw(st.booleans()):
        return KneesChange(bend, side, depth)
    height = Height("waist", near[0] + draw(hundredths(-10, 10)))
    return KneesChange(bend, side, depth, height, near[1] + draw(hundredths(-4, 4)))


@st.composite
def knees(draw: st.DrawFn, after: Pose) -> list[Change]:
    """`after` is the pose with the feet of this moment."""
    if draw(st.booleans()):
        bends = [Bend.HALF, Bend.FULL] if any(_touches(after, side) for side in BOTH) else Bend
        return [KneesChange(draw(st.sampled_from(bends)))]
    found: list[Change] = []
    for side in draw(st.lists(st.sampled_from(BOTH), min_size=1, max_size=2, unique=True)):
        standing = isinstance(after.feet.of(side), Standing)
        heights = ["-1.4", "-1.2"] if standing else ["-0.65", "-0.5", "-0.3"]
        bent = joint_places(side, (Decimal(draw(st.sampled_from(heights))), Decimal("0.18")))
        straight = st.just(KneesChange(Bend.NONE, side))
        found.append(draw(bent if _touches(after, side) else bent | straight))
    return found


def _touches(pose: Pose, side: Side) -> bool:
    foot = pose.feet.of(side)
    return isinstance(foot, Free) and foot.place in ("ankle", "calf", "knee")


# ---------------------------------------------------------------- arms


@st.composite
def arms(draw: st.DrawFn, school: School, pose: Pose | None = None) -> ArmsChange:
    """In a shape; with a pose before it, perhaps by the way of another."""
    change = draw(shapes(school))
    known = pose and all(pose.hands.of(side) for side in BOTH)
    if not known or draw(st.booleans()):
        return change
    if draw(st.booleans()):
        return replace(change, via=draw(st.sampled_from(arms_names(CATALOGUE, school))))
    return replace(
        change,
        path=draw(st.none() | st.sampled_from(PathForm)),
        bow=draw(st.none() | st.sampled_from(Bow)),
    )


@st.composite
def shapes(draw: st.DrawFn, school: School) -> ArmsChange:
    name = draw(st.sampled_from(arms_names(CATALOGUE, school)))
    shape = arms_shape(CATALOGUE, school, name)
    differ = shape is not None and shape.hands[0] != shape.hands[1]
    lead = draw(st.sampled_from(Side)) if differ else None
    near = shape is not None and shape.name in JOINED
    return ArmsChange(name, lead, near and draw(st.booleans()))


def hundredths(least: int, most: int) -> st.SearchStrategy[Decimal]:
    return st.integers(least, most).map(lambda number: Decimal(number).scaleb(-2))


@st.composite
def places(draw: st.DrawFn, side: Side) -> HandChange:
    """A place near one of the shapes', of which some may be left to what is held."""
    row = draw(st.sampled_from(CATALOGUE.shapes.hand))
    depth = Depth(row.depth)
    line = draw(st.sampled_from(LINES))
    stray = draw(hundredths(-99, 99))
    return HandChange(
        side,
        height=draw(st.none() | st.just(Height(line, stray))),
        out=draw(hundredths(-15, 60)),
        depth=draw(st.none() | st.just(depth)),
        forward=draw(st.none() | st.just(Decimal(str(row.forward)))),
    )


@st.composite
def hands(draw: st.DrawFn, side: Side, school: School, pose: Pose) -> list[Change]:
    """One hand by its name, or by a place that it can reach; with its marks and its elbow."""
    change = draw(_gone(side, school, pose))
    own = dict(draw(written(free_names("hand"))))
    if change.touching:
        return [replace(change, departures=departures({**own, "touching": change.touching}))]
    after = apply(change, pose, CATALOGUE, school).hands.of(side)
    assert after is not None
    share = ARM.share(hand_point(after, CATALOGUE))
    bent = pose.elbows.of(side).bend
    elbow = draw(st.none() | st.none() | st.none() | elbows(side, free=False))
    if change.forward and after.depth is not Depth.LEVEL and not after.shape and share < 0.8:
        elbow = ElbowChange(Bend.HALF, side)
    if elbow and (elbow.bend is Bend.NONE or share < 0.94):
        bent = elbow.bend
    else:
        elbow = None
    lines = {
        "stretched": bent is Bend.NONE and bool(after.shape or share >= 0.95),
        "rounded": bool(after.shape or share <= 0.91),
    }
    may_be = [line for line, fits in lines.items() if fits]
    line = draw(st.none() | st.sampled_from(may_be)) if may_be else None
    marked = replace(change, departures=departures({**own, "arm": line}))
    if pose.hands.of(side) and draw(st.integers(0, 3)) == 0:
        named = st.sampled_from(hand_names(CATALOGUE, school))
        marked = (
            replace(marked, via=draw(named))
            if draw(st.booleans())
            else replace(marked, path=draw(st.sampled_from(PathForm)))
        )
    return [marked, elbow] if elbow else [marked]


@st.composite
def _gone(draw: st.DrawFn, side: Side, school: School, pose: Pose) -> HandChange:
    named = HandChange(side, draw(st.sampled_from(hand_names(CATALOGUE, school))))
    if draw(st.integers(0, 4)) == 0:
        touching = draw(st.sampled_from(OF_THE_BODY))
        return HandChange(side, departures=departures({"touching": touching}))
    placed = draw(places(side))
    after = apply(placed, pose, CATALOGUE, school).hands.of(side)
    if after is None or not ARM.holds(hand_point(after, CATALOGUE)) or draw(st.booleans()):
        return named
    fits = {
        Depth.FRONT: after.forward > 0,
        Depth.BEHIND: after.forward < 0,
        Depth.LEVEL: abs(after.forward) <= CATALOGUE.shapes.tolerance.forward,
    }
    return placed if fits[after.depth] else named


@st.composite
def turned_hands(draw: st.DrawFn, side: Side, pose: Pose) -> list[Change]:
    """A hand that stays where it is, and its palm turns or the like; or nothing where no hand
    is held."""
    own = draw(written(free_names("hand")).filter(bool))
    return [HandChange(side, departures=own)] if pose.hands.of(side) else []


@st.composite
def elbows(draw: st.DrawFn, side: Side, free: bool = True) -> ElbowChange:
    """An elbow, at a place of its own where it is `free` to be anywhere in reach."""
    if draw(st.booleans()):
        return ElbowChange(Bend.NONE, side)
    near = draw(joint_places(side, (Decimal("0.5"), Decimal("0.2"))))
    place = (near.height, near.out) if free else (None, None)
    return ElbowChange(near.bend, side, near.depth, *place)


# ---------------------------------------------------------------- head, body and hips


@st.composite
def attitudes(draw: st.DrawFn, part: CentrePart) -> CentreChange | Return:
    """The part tilted, turned, bent or several of them; or straight again."""
    every = leans_of(part)
    how = draw(st.lists(st.sampled_from(list(every)), max_size=2, unique=True))
    own = attitude({name: draw(st.sampled_from(every[name])) for name in how})
    return CentreChange(part, own) if own else Return(part)


# ---------------------------------------------------------------- facing, turns and travel


HALF_TURN = Fraction(1, 2)


def amounts() -> st.SearchStrategy[Fraction]:
    """Of turning: up to four turns."""
    return st.integers(1, 32).map(lambda eighths: Fraction(eighths, 8))


def travels() -> st.SearchStrategy[TravelChange]:
    directions, paths = st.sampled_from(DIRECTIONS), st.sampled_from(TravelPath)
    steps = st.none() | st.sampled_from(SmallSteps)
    return st.builds(TravelChange, directions, st.sampled_from(Front), paths, steps)


@st.composite
def in_lanes(draw: st.DrawFn, pose: Pose, after: Pose, school: School) -> list[Change]:
    """What stands below the stave; `after` is the pose with the feet of this moment."""
    found: list[Change] = []
    if draw(st.booleans()):
        free = [isinstance(after.feet.of(side), Free) for side in BOTH]
        feet_ = [side.value for side, is_free in zip(BOTH, free, strict=True) if not is_free]
        on = st.sampled_from([*feet_, "neither", *(["both"] if not any(free) else [])])
        turn = draw(st.builds(TurnChange, st.sampled_from(Side), amounts(), on.map(TurnedOn)))
        spots = st.none() | st.sampled_from(DIRECTIONS)
        found.append(replace(turn, spotting=draw(spots)) if turn.by >= HALF_TURN else turn)
    if draw(st.booleans()):
        found.append(draw(travels()))
    if draw(st.booleans()):
        facing = turned(pose.facing, (each for each in found if isinstance(each, TurnChange)))
        found.append(FacingChange(draw(st.sampled_from(names_of(facing, school)))))
    lifted = [side for side in BOTH if is_off_the_floor(after.feet.of(side))]
    may = [one for one in OFF_STAVE if not any(side in lifted for side in feet_heard(one))]
    off = draw(st.lists(st.sampled_from(may), unique_by=lambda one: one.what))
    paused = any(one.what == "pause" for one in off)
    return found + [one for one in off if not (paused and one.what == "through")]


def names_of(facing: int, school: School) -> list[str]:
    """What a direction of the room may be called."""
    word = DIRECTIONS[facing]
    return [word, str(school.room[word])] if word in school.room else [word]


def in_words(score: Score, school: School) -> Score:
    """The same score with its directions in plain words, which exchange right and left."""

    def worded(changes: tuple[Change, ...]) -> tuple[Change, ...]:
        return tuple(
            replace(each, to=DIRECTIONS[direction_of(each.to, school) or 0])
            if isinstance(each, FacingChange)
            else each
            for each in changes
        )

    def phrased(phrase: Phrase) -> Phrase:
        frames = (replace(frame, changes=worded(frame.changes)) for frame in phrase.frames)
        return replace(phrase, frames=tuple(frames))

    start, upbeat = score.start, score.upbeat
    return replace(
        score,
        start=replace(start, changes=worded(start.changes)) if start else None,
        upbeat=phrased(upbeat) if upbeat else None,
        phrases=tuple(map(phrased, score.phrases)),
    )


# ---------------------------------------------------------------- moments


KINDS = ["arms", "right", "left", "feet", "knees", "centre", "hold", "lanes"]


@st.composite
def changes(draw: st.DrawFn, school: School, pose: Pose) -> tuple[Change, ...]:
    """What one frame may write."""
    kinds = draw(st.lists(st.sampled_from(KINDS), unique=True))
    found: list[Change] = []
    if "arms" in kinds:
        found.append(draw(arms(school, pose)))
    for side in BOTH:
        if side in kinds and "arms" not in kinds:
            found += draw(hands(side, school, pose) | turned_hands(side, pose))
        elif side in kinds and draw(st.integers(0, 3)) == 0:
            found.append(draw(elbows(side)))
    feet_ = draw(feet(pose)) if "feet" in kinds else []
    after = pose
    for change in feet_:
        after = apply(change, after, CATALOGUE, school)
    bends = "knees" in kinds and not on_knees(after, CATALOGUE)
    found += [*feet_, *(draw(knees(after)) if bends else [])]
    if not kinds and draw(st.integers(0, 3)) == 0:
        return (WholeChange("still"),)
    if kinds == ["hold"]:
        return (draw(st.sampled_from([one for one in WHOLE if one.what == "hold"])),)
    if "centre" in kinds:
        parts = draw(st.lists(st.sampled_from(CentrePart), min_size=1, max_size=2, unique=True))
        found += [draw(attitudes(part)) for part in parts]
    if "lanes" in kinds:
        found += draw(in_lanes(pose, after, school))
    return tuple(draw(st.permutations(found)))


@st.composite
def starts(draw: st.DrawFn, school: School) -> Position:
    if draw(st.booleans()):
        standing: list[Change] = [draw(positions())]
    else:
        side = draw(st.sampled_from(Side))
        standing = [FootChange(side, rise=draw(st.sampled_from(Rise))), draw(free_feet(side.other))]
    names = hand_names(CATALOGUE, school)
    if draw(st.booleans()):
        held: list[Change] = [draw(arms(school))]
    else:
        held = [HandChange(side, draw(st.sampled_from(names))) for side in BOTH]
    facing = draw(st.none() | st.sampled_from(range(len(DIRECTIONS))))
    if facing is not None:
        held.append(FacingChange(draw(st.sampled_from(names_of(facing, school)))))
    return Position(tuple(draw(st.permutations(standing + held))))
