"""Random scores in which nothing is wrong, for properties that all scores have.

A score is put together as a dancer would find it sound: bars are full, frames
stand in the order of time, somebody always bears weight, hands are in reach.
`letters` are those of its texts: PRINTED are in the book's faces, ANY are all
that XML allows.
"""

import string
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from datetime import date
from fractions import Fraction
from functools import cache
from itertools import pairwise

from hypothesis import strategies as st

from stavebound.check.characters import says_something
from stavebound.dance.pose import Free, Pose
from stavebound.dance.state import apply, begun
from stavebound.score.counts import SYLLABLES
from stavebound.score.frame_texts import text_names
from stavebound.score.lanes import TurnChange
from stavebound.score.model import (
    ArmsChange,
    At,
    Change,
    Division,
    FeetChange,
    FootChange,
    Frame,
    FrameText,
    HandChange,
    Music,
    Phrase,
    Phrasing,
    Prose,
    Run,
    SaidBar,
    Score,
    Side,
    Words,
)
from stavebound.score.read import PROSE
from stavebound.score.words import composed, plain, tidied
from stavebound.source.datatypes import collapsed
from stavebound.trade.tables import School
from tests.support.changes import CATALOGUE, changes, starts

Letters = st.SearchStrategy[str]

PRINTED: Letters = st.sampled_from(
    string.ascii_letters + string.digits + " éàçœÉ’“”–—…!?.,;:()&<>'\""
)
ANY: Letters = st.characters(exclude_categories=("Cs", "Cc"), exclude_characters="\ufffe\uffff")

ONCE = {"aim", "preparation", "finish", "times", "rights"}
ABOUT = [row.about for row in CATALOGUE.cautions.caution]
IDENTITIES = st.from_regex(r"[A-Za-z][A-Za-z0-9-]{0,20}", fullmatch=True)


# ---------------------------------------------------------------- words


@cache
def lines(letters: Letters = PRINTED, longest: int = 30) -> st.SearchStrategy[str]:
    """Words on one line, with no white space at the ends."""
    one_line = st.text(letters, min_size=1, max_size=longest).map(collapsed).map(composed)
    return one_line.filter(says_something)


@cache
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


@cache
def running(letters: Letters = PRINTED) -> st.SearchStrategy[Words]:
    """Running text; it says something."""
    texts = st.lists(runs(letters), min_size=1, max_size=5).map(tidied).map(_composed)
    return texts.filter(lambda words: says_something(plain(words)))


def _composed(words: Words) -> Words:
    return tuple(replace(run, text=composed(run.text)) for run in words)


@cache
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


@cache
@st.composite
def all_prose(draw: st.DrawFn, letters: Letters) -> tuple[Prose, ...]:
    kinds = draw(st.lists(st.sampled_from(PROSE), max_size=4))
    several = [kind for kind in kinds if kind not in ONCE]
    kinds = sorted({*kinds} & ONCE) + several
    return tuple(draw(proses(kind, letters)) for kind in sorted(kinds, key=PROSE.index))


# ---------------------------------------------------------------- time


@dataclass(frozen=True, slots=True)
class Dancer:
    """Who dances a score while it is being made."""

    school: School
    letters: Letters


@cache
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


def frame_texts(letters: Letters) -> st.SearchStrategy[tuple[FrameText, ...]]:
    """Texts of a frame in some of its lanes."""
    label = lines(letters).map(lambda text: (Run("text", text),))
    names = text_names()
    every = [
        *(st.none() | st.builds(FrameText, st.just(name), label) for name in names.attributes),
        *(st.none() | _running(name, letters) for name in names.elements),
    ]
    return st.tuples(*every).map(lambda found: tuple(text for text in found if text))


def _running(name: str, letters: Letters) -> st.SearchStrategy[FrameText | None]:
    """A text that is measured is less frequent, and has words or none."""
    measure = CATALOGUE.lanes.measured.get(name)
    if measure is None:
        return st.builds(FrameText, st.just(name), running(letters))
    values = st.tuples(st.just(measure.attribute), st.integers(20, 299).map(str))
    words = running(letters) | st.just(())
    return st.none() | st.builds(FrameText, st.just(name), words, st.tuples(values))


@st.composite
def frames(
    draw: st.DrawFn, ats: Sequence[At], pose: Pose, dancer: Dancer
) -> tuple[tuple[Frame, ...], Pose]:
    found = []
    for at in ats:
        written = draw(changes(dancer.school, pose))
        pose = danced(written, pose, dancer.school)
        found.append(Frame(at, written, draw(frame_texts(dancer.letters))))
    return tuple(found), pose


@st.composite
def with_lasting(
    draw: st.DrawFn, written: Sequence[Frame], division: Division
) -> tuple[Frame, ...]:
    """Some turns last since an earlier frame, on feet that stood before. Syllables are left out,
    since ink does not say how a count is divided."""
    found = []
    for number, frame in enumerate(written):
        turn = next((one for one in frame.changes if isinstance(one, TurnChange)), None)
        steps = any(isinstance(one, FeetChange | FootChange) for one in frame.changes)
        begins = [] if frame.at.syllable or steps else [*_beginnings(written[:number])]
        if turn and begins and draw(st.booleans()):
            since = time_of(draw(st.sampled_from(begins)), division)
            lasts = time_of(frame.at, division) - since
            own = (replace(turn, lasts=lasts) if one is turn else one for one in frame.changes)
            frame = replace(frame, changes=tuple(own))
        found.append(frame)
    return tuple(found)


def _beginnings(before: Sequence[Frame]) -> Iterator[At]:
    """Where a turn behind these frames may begin: as far back as arms alone move."""
    for frame in reversed(before):
        if not frame.at.syllable and not frame.at.fraction:
            yield frame.at
        if not all(isinstance(one, ArmsChange | HandChange) for one in frame.changes):
            return


def danced(written: Sequence[Change], pose: Pose, school: School) -> Pose:
    for change in written:
        pose = apply(change, pose, CATALOGUE, school)
    assert not (isinstance(pose.feet.right, Free) and isinstance(pose.feet.left, Free))
    return pose


@cache
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
def phrasings(
    draw: st.DrawFn, ats: Sequence[At], first: int, counts: int, division: Division, last: bool
) -> tuple[Phrasing, ...]:
    """One after another, from and to whole counts and the moments of frames; some go on into
    the phrase that follows."""
    whole = [At(count) for count in range(first, first + counts)]
    places = {time_of(at, division): at for at in (*whole, *ats)}
    times = sorted(draw(st.lists(st.sampled_from(sorted(places)), max_size=3, unique=True)))
    found = [Phrasing(places[a], places[b]) for a, b in pairwise(times)]
    if times and not last and draw(st.booleans()):
        found.append(Phrasing(places[times[-1]], At(1)))
    return tuple(found)


@cache
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
def scores(draw: st.DrawFn, letters: Letters = PRINTED, least_phrases: int = 1) -> Score:
    """A score in which nothing is wrong."""
    usual = draw(st.integers(1, 4))
    music = draw(musics(usual, letters))
    school = draw(st.sampled_from(CATALOGUE.schools.school))
    dancer, start = Dancer(school, letters), draw(starts(school))
    pose = danced(start.changes, begun(start.changes, school), school)
    borrowed = draw(st.integers(0, usual - 1))
    division = music.division or Division.HALVES
    upbeat, phrases = None, []
    bars = draw(st.lists(bar_lengths(usual), min_size=least_phrases, max_size=3))
    # What the upbeat has, a usual bar at the end lacks.
    bars[-1].append(usual)
    counts = [sum(lengths) for lengths in bars]
    counts[-1] -= borrowed
    if borrowed:
        first = max(counts[0] - borrowed, 0) + 1
        ats = draw(moments(first, borrowed, division))
        written, pose = draw(frames(ats, pose, dancer))
        written = draw(with_lasting(written, division))
        upbeat = Phrase(
            borrowed,
            written,
            phrasings=draw(phrasings(ats, first, borrowed, division, last=False)),
        )
    for index, lengths in enumerate(bars):
        own = draw(st.none() | st.sampled_from(Division))
        ats = draw(moments(1, counts[index], own or division))
        written, pose = draw(frames(ats, pose, dancer))
        written = draw(with_lasting(written, own or division))
        said = draw(said_bars(lengths, usual))
        last = index == len(bars) - 1
        bows = draw(phrasings(ats, 1, counts[index], own or division, last))
        phrases.append(Phrase(counts[index], written, said, own, phrasings=bows))
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
