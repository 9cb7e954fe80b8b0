"""Random scores in which nothing is wrong, for properties that all scores have.

A score is put together as a dancer would find it sound: bars are full, frames
stand in the order of time, somebody always bears weight, hands are in reach.
`letters` are those of its texts: PRINTED are in the book's faces, ANY are all
that XML allows.
"""

import string
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date
from decimal import Decimal
from fractions import Fraction

from hypothesis import strategies as st

from stavebound.body.reach import in_reach
from stavebound.score.counts import SYLLABLES
from stavebound.score.model import (
    ArmsChange,
    At,
    Bend,
    Change,
    Depth,
    Division,
    FeetChange,
    FootChange,
    Frame,
    HandChange,
    Height,
    KneesChange,
    Music,
    Phrase,
    Position,
    Prose,
    Rise,
    Run,
    SaidBar,
    Score,
    Side,
    Way,
    Words,
)
from stavebound.score.pose import Free, Pose, Standing
from stavebound.score.read import PROSE
from stavebound.score.state import BOTH, apply
from stavebound.score.words import tidied
from stavebound.source.datatypes import collapsed
from stavebound.trade.catalogue import load_catalogue
from stavebound.trade.naming import arms_names, arms_shape, hand_names
from stavebound.trade.tables import School

CATALOGUE = load_catalogue()

Letters = st.SearchStrategy[str]

PRINTED: Letters = st.sampled_from(
    string.ascii_letters + string.digits + " éàçœÉ’“”–—…!?.,;:()&<>'\""
)
ANY: Letters = st.characters(exclude_categories=("Cs", "Cc"), exclude_characters="\ufffe\uffff")

ONCE = {"aim", "preparation", "finish", "times", "rights"}
ABOUT = [row.about for row in CATALOGUE.cautions.caution]
PLACES = ["pointed", "off the floor", "ankle", "knee"]
ANGLES = [45, 65, 90, 105, 120, 135, 180]
CROSSED = [row.name for row in CATALOGUE.feet.position if row.front]
LINES = ["floor", "knee", "hip", "waist", "shoulder", "eyes", "head"]
IDENTITIES = st.from_regex(r"[A-Za-z][A-Za-z0-9-]{0,20}", fullmatch=True)


# ---------------------------------------------------------------- words


def lines(letters: Letters = PRINTED, longest: int = 30) -> st.SearchStrategy[str]:
    """Words on one line, with no white space at the ends."""
    one_line = st.text(letters, min_size=1, max_size=longest).map(collapsed)
    return one_line.filter(lambda text: bool(text.strip()))


@st.composite
def runs(draw: st.DrawFn, letters: Letters) -> Run:
    kind = draw(st.sampled_from(["text", "text", "term", "side", "emphasis", "foreign"]))
    if kind == "text":
        return Run("text", draw(st.text(letters, max_size=40)))
    if kind == "side":
        return Run("side", "", draw(st.sampled_from(["right", "left"])))
    if kind == "term":
        return Run(kind, draw(lines(letters)), draw(st.none() | lines(letters)))
    language = draw(st.sampled_from(["fr", "it", "ru"])) if kind == "foreign" else None
    return Run(kind, draw(lines(letters)), language)


def running(letters: Letters = PRINTED) -> st.SearchStrategy[Words]:
    """Running text; it says something."""
    texts = st.lists(runs(letters), min_size=1, max_size=5).map(tidied)
    return texts.filter(bool)


@st.composite
def proses(draw: st.DrawFn, kind: str, letters: Letters) -> Prose:
    given: dict[str, str | None] = {}
    if kind == "variant":
        given = {"title": draw(st.none() | lines(letters))}
    elif kind == "caution":
        given = {"about": draw(st.sampled_from(ABOUT))}
    elif kind == "source":
        given = {"by": draw(lines(letters)), "dated": draw(st.none() | lines(letters))}
    may_be_silent = kind in ("caution", "source")
    words = draw(running(letters) | st.just(())) if may_be_silent else draw(running(letters))
    return Prose(kind, words, tuple((name, text) for name, text in given.items() if text))


@st.composite
def all_prose(draw: st.DrawFn, letters: Letters) -> tuple[Prose, ...]:
    kinds = draw(st.lists(st.sampled_from(PROSE), max_size=4))
    several = [kind for kind in kinds if kind not in ONCE]
    kinds = sorted({*kinds} & ONCE) + several
    return tuple(draw(proses(kind, letters)) for kind in sorted(kinds, key=PROSE.index))


# ---------------------------------------------------------------- limbs


def positions() -> st.SearchStrategy[FeetChange]:
    """Both feet in a position."""
    names = st.sampled_from([row.name for row in CATALOGUE.feet.position])
    rises = st.none() | st.sampled_from(Rise)
    return st.builds(
        lambda name, front, rise: FeetChange(name, front if name in CROSSED else None, rise),
        names,
        st.sampled_from(Side),
        rises,
    )


@st.composite
def free_feet(draw: st.DrawFn, side: Side) -> FootChange:
    way = draw(st.sampled_from(Way))
    if draw(st.booleans()):
        return FootChange(side, way, raised=draw(st.sampled_from(ANGLES)))
    return FootChange(side, way, draw(st.sampled_from(PLACES)))


@st.composite
def feet(draw: st.DrawFn, pose: Pose) -> list[Change]:
    """What the feet may do: stand together, rise where they are, or one of them is free."""
    does = draw(st.sampled_from(["position", "rise", "free"]))
    if does == "position":
        return [draw(positions())]
    if does == "rise":
        return [FeetChange(rise=draw(st.sampled_from(Rise)))]
    side = draw(st.sampled_from(Side))
    changes: list[Change] = [draw(free_feet(side))]
    if not isinstance(pose.feet.of(side.other), Standing) or draw(st.booleans()):
        changes.append(FootChange(side.other, rise=draw(st.sampled_from(Rise))))
    return changes


@st.composite
def arms(draw: st.DrawFn, school: School) -> ArmsChange:
    name = draw(st.sampled_from(arms_names(CATALOGUE, school)))
    shape = arms_shape(CATALOGUE, school, name)
    differ = shape is not None and shape.hands[0] != shape.hands[1]
    return ArmsChange(name, draw(st.sampled_from(Side)) if differ else None)


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
        out=draw(hundredths(0, 60)),
        depth=draw(st.none() | st.just(depth)),
        forward=draw(st.none() | st.just(Decimal(str(row.forward)))),
    )


@st.composite
def hands(draw: st.DrawFn, side: Side, school: School, pose: Pose) -> list[Change]:
    """One hand by its name, or by a place that it can reach."""
    named = HandChange(side, draw(st.sampled_from(hand_names(CATALOGUE, school))))
    placed = draw(places(side))
    after = apply(placed, pose, CATALOGUE, school).hands.of(side)
    if after is None or not in_reach(CATALOGUE.body, after) or draw(st.booleans()):
        return [named]
    fits = {
        Depth.FRONT: after.forward > 0,
        Depth.BEHIND: after.forward < 0,
        Depth.LEVEL: abs(after.forward) <= CATALOGUE.shapes.tolerance.forward,
    }
    return [placed] if fits[after.depth] else [named]


@st.composite
def knees(draw: st.DrawFn) -> list[Change]:
    if draw(st.booleans()):
        return [KneesChange(draw(st.sampled_from(Bend)))]
    sides = draw(st.lists(st.sampled_from(BOTH), min_size=1, max_size=2, unique=True))
    return [KneesChange(draw(st.sampled_from(Bend)), side) for side in sides]


@st.composite
def changes(draw: st.DrawFn, school: School, pose: Pose) -> tuple[Change, ...]:
    """What one frame may write."""
    kinds = draw(st.lists(st.sampled_from(["arms", "right", "left", "feet", "knees"]), unique=True))
    found: list[Change] = []
    if "arms" in kinds:
        found.append(draw(arms(school)))
    else:
        for side in BOTH:
            found += draw(hands(side, school, pose)) if side in kinds else []
    found += draw(feet(pose)) if "feet" in kinds else []
    found += draw(knees()) if "knees" in kinds else []
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
    return Position(tuple(draw(st.permutations(standing + held))))


# ---------------------------------------------------------------- time


@dataclass(frozen=True, slots=True)
class Dancer:
    """Who dances a score while it is being made."""

    school: School
    letters: Letters


@st.composite
def moments(draw: st.DrawFn, first: int, counts: int, division: Division) -> list[At]:
    """Different moments of a phrase in the order of time."""
    syllables = st.sampled_from(sorted(SYLLABLES[division]))
    parts = st.integers(2, 12).flatmap(
        lambda below: st.integers(1, below - 1).map(lambda above: Fraction(above, below))
    )
    ats = (
        st.builds(At, st.integers(first, first + counts - 1))
        | st.builds(At, st.integers(first, first + counts - 1), syllables)
        | st.builds(At, st.integers(first, first + counts - 1), st.none(), parts)
    )
    found = draw(st.lists(ats, min_size=1, max_size=5, unique_by=lambda at: time_of(at, division)))
    return sorted(found, key=lambda at: time_of(at, division))


def time_of(at: At, division: Division) -> Fraction:
    part = SYLLABLES[division][at.syllable] if at.syllable else at.fraction or Fraction(0)
    return at.count + part


@st.composite
def frames(
    draw: st.DrawFn, ats: Sequence[At], pose: Pose, dancer: Dancer
) -> tuple[tuple[Frame, ...], Pose]:
    found = []
    for at in ats:
        written = draw(changes(dancer.school, pose))
        pose = danced(written, pose, dancer.school)
        step = draw(st.none() | lines(dancer.letters))
        found.append(Frame(at, written, step, draw(st.none() | running(dancer.letters))))
    return tuple(found), pose


def danced(written: Sequence[Change], pose: Pose, school: School) -> Pose:
    for change in written:
        pose = apply(change, pose, CATALOGUE, school)
    assert not (isinstance(pose.feet.right, Free) and isinstance(pose.feet.left, Free))
    return pose


@st.composite
def bar_lengths(draw: st.DrawFn, usual: int) -> list[int]:
    """The counts of a phrase's bars, most of them the usual."""
    lengths = st.just(usual) | st.just(usual) | st.integers(1, 6)
    return draw(st.lists(lengths, min_size=1, max_size=5))


@st.composite
def said_bars(draw: st.DrawFn, lengths: Sequence[int], usual: int) -> tuple[SaidBar, ...]:
    """Every unusual bar, and some of the others."""
    found, count = [], 1
    metres = st.sampled_from(["2/4", "3/4", "6/8", "12/16"])
    for length in lengths:
        metre = draw(st.none() | metres)
        if length != usual or metre:
            counts = length if length != usual else None
            found.append(SaidBar(At(count), counts=counts, metre=metre))
        count += length
    return tuple(found)


@st.composite
def musics(draw: st.DrawFn, usual: int, letters: Letters) -> Music:
    return Music(
        metre=draw(st.sampled_from(["2/4", "3/4", "4/4", "6/8"])),
        counts_per_bar=usual,
        tempo=draw(st.none() | st.integers(20, 299)),
        introduction=draw(st.none() | st.integers(1, 99)),
        division=draw(st.none() | st.sampled_from(Division)),
        words=draw(running(letters) | st.just(())),
    )


@st.composite
def scores(draw: st.DrawFn, letters: Letters = PRINTED) -> Score:
    """A score in which nothing is wrong."""
    usual = draw(st.integers(1, 4))
    music = draw(musics(usual, letters))
    school = draw(st.sampled_from(CATALOGUE.schools.school))
    dancer, start = Dancer(school, letters), draw(starts(school))
    pose = danced(start.changes, Pose(), school)
    borrowed = draw(st.integers(0, usual - 1))
    division = music.division or Division.HALVES
    upbeat, phrases = None, []
    bars = draw(st.lists(bar_lengths(usual), min_size=1, max_size=3))
    # What the upbeat has, a usual bar at the end lacks.
    bars[-1].append(usual)
    counts = [sum(lengths) for lengths in bars]
    counts[-1] -= borrowed
    if borrowed:
        first = max(counts[0] - borrowed, 0) + 1
        ats = draw(moments(first, borrowed, division))
        written, pose = draw(frames(ats, pose, dancer))
        upbeat = Phrase(borrowed, written)
    for index, lengths in enumerate(bars):
        own = draw(st.none() | st.sampled_from(Division))
        ats = draw(moments(1, counts[index], own or division))
        written, pose = draw(frames(ats, pose, dancer))
        said = draw(said_bars(lengths, usual))
        phrases.append(Phrase(counts[index], written, said, own))
    return Score(
        title=draw(lines(letters)),
        phrases=tuple(phrases),
        identity=draw(st.none() | IDENTITIES),
        school=school.name,
        level=draw(st.none() | lines(letters)),
        status=draw(st.none() | st.sampled_from(["draft", "checked", "final"])),
        date=draw(st.none() | st.dates(date(1000, 1, 1))),
        pupils=draw(st.none() | st.sampled_from(["children", "adults", "professionals"])),
        music=music,
        barre=draw(st.none() | st.sampled_from(Side)),
        start=start,
        upbeat=upbeat,
        prose=draw(all_prose(letters)),
    )
