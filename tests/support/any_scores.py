"""Random scores that the schema accepts, whether they make sense or not."""

from dataclasses import replace
from fractions import Fraction

from hypothesis import strategies as st

from stavebound.score.attitude import attitude
from stavebound.score.departures import departures
from stavebound.score.lanes import (
    DIRECTIONS,
    FacingChange,
    TravelChange,
    TurnChange,
    TurnedOn,
)
from stavebound.score.model import (
    ArmsChange,
    At,
    Bend,
    Bow,
    CentreChange,
    CentrePart,
    Change,
    Depth,
    Division,
    ElbowChange,
    FeetChange,
    FootChange,
    Frame,
    HandChange,
    Height,
    KneelChange,
    KneesChange,
    LegDirection,
    Music,
    PathForm,
    Phrase,
    Phrasing,
    Position,
    Return,
    Rise,
    SaidBar,
    Score,
    Side,
    Transfer,
    Weight,
    WholeChange,
)
from stavebound.source.schema import load_plain_schema
from stavebound.trade.naming import arms_names
from tests.support.changes import (
    ANGLES,
    CATALOGUE,
    CONTACTS,
    LINES,
    PLACES,
    WHOLE,
    amounts,
    hundredths,
    travels,
)
from tests.support.departures import names_of, written
from tests.support.leans import all_leans, leans_known_of
from tests.support.strategies import IDENTITIES, PRINTED, all_prose, frame_texts, lines


def any_changes() -> st.SearchStrategy[Change]:
    """A change that the schema accepts, whatever it means."""
    sides, rises = st.sampled_from(Side), st.none() | st.sampled_from(Rise)
    known = {name for school in CATALOGUE.schools.school for name in arms_names(CATALOGUE, school)}
    shapes = sorted(known | {row.name for row in CATALOGUE.shapes.hand})
    names = st.sampled_from(shapes) | lines()
    positions_ = st.sampled_from([row.name for row in CATALOGUE.feet.position])
    heights = st.builds(Height, st.sampled_from(LINES), hundredths(-999, 999))
    outs, depths = st.none() | hundredths(0, 60), st.sampled_from(Depth)
    bends, weights = st.sampled_from(Bend), st.none() | st.sampled_from(Weight)
    hands = written(name for name in names_of("hand") if name != "touching")
    touching = st.none() | st.sampled_from(["hand", "body", *CONTACTS])
    ways = (st.none() | st.sampled_from(PathForm), st.none() | st.sampled_from(Bow))
    transfers = st.none() | st.sampled_from(Transfer)
    parts = st.sampled_from(CentrePart)
    words = st.sampled_from([row.word for row in CATALOGUE.shapes.slightly])
    slight = st.lists(words, max_size=2).map(tuple)
    return st.one_of(
        st.builds(
            ArmsChange, names, st.none() | sides, st.booleans(), st.none() | names, *ways, slight
        ),
        st.builds(
            HandChange,
            sides,
            st.none() | names,
            st.none() | heights,
            st.none() | hundredths(-60, 60),
            st.none() | depths,
            st.none() | hundredths(-60, 60),
            st.builds(lambda own, at: departures({**dict(own), "touching": at}), hands, touching),
            st.none() | names,
            *ways,
            slight,
        ),
        st.builds(
            FootChange,
            sides,
            st.none() | st.sampled_from(LegDirection),
            st.none() | st.sampled_from(PLACES),
            st.none() | st.sampled_from(ANGLES),
            st.none() | heights,
            st.none() | hundredths(-60, 60),
            rises,
            written(names_of("foot")),
            transfers,
            st.none() | st.sampled_from(["ankle", "first", "side"]),
            *ways,
        ),
        st.builds(
            FeetChange,
            st.none() | positions_,
            st.none() | sides,
            rises,
            weights,
            written(names_of("feet")),
            transfers,
            st.none() | sides,
        ),
        st.builds(KneelChange, st.sampled_from(Weight), st.booleans()),
        st.builds(KneesChange, bends, kept=st.booleans()),
        st.builds(KneesChange, bends, sides, st.none() | depths, st.none() | heights, outs),
        st.builds(ElbowChange, bends, sides, st.none() | depths, st.none() | heights, outs),
        st.one_of([any_attitudes(part) for part in CentrePart]),
        st.builds(Return, parts),
        st.builds(FacingChange, st.sampled_from(DIRECTIONS) | st.integers(1, 8).map(str)),
    )


def any_attitudes(part: CentrePart) -> st.SearchStrategy[CentreChange]:
    leaning = {
        row.name: st.none() | st.sampled_from(all_leans(row)) for row in leans_known_of(part)
    }
    return st.builds(CentreChange, st.just(part), st.fixed_dictionaries(leaning).map(attitude))


def any_moments() -> st.SearchStrategy[At]:
    counts = st.integers(1, 99)
    fractions = st.builds(Fraction, st.integers(1, 11), st.integers(2, 12))
    return st.one_of(
        st.builds(At, counts),
        st.builds(At, counts, st.sampled_from(["e", "and", "a"])),
        st.builds(At, counts, st.none(), fractions),
    )


ONCE = {
    name
    for slot in next(iter(load_plain_schema().named("frame"))).slots
    for name, _ in slot.children
    if slot.most == 1
}


def any_frames() -> st.SearchStrategy[tuple[Change, ...]]:
    """What a frame may hold."""
    whole = st.sampled_from(WHOLE) | travels()
    lasts, spots = st.none() | amounts(), st.none() | st.sampled_from(DIRECTIONS)
    turns = st.builds(
        TurnChange, st.sampled_from(Side), amounts(), st.sampled_from(TurnedOn), lasts, spots
    )
    return any_positions(any_changes() | whole | turns)


@st.composite
def any_positions(
    draw: st.DrawFn, changes: st.SearchStrategy[Change] | None = None
) -> tuple[Change, ...]:
    """Changes of which the schema allows each kind once, where it does."""
    found = draw(st.lists(any_changes() if changes is None else changes, max_size=6))
    kinds = [_kind(change) for change in found]
    return tuple(
        change
        for index, change in enumerate(found)
        if kinds[index] is None or kinds[index] not in kinds[:index]
    )


def _kind(change: Change) -> object:
    """What may stand there once; None where the schema allows several."""
    match change:
        case ArmsChange() | FeetChange() | KneelChange() | KneesChange(side=None):
            return type(change)
        case FacingChange() | TurnChange() | TravelChange():
            return type(change)
        case WholeChange(what) if what in ONCE:
            return what
        case CentreChange(part):
            return part
    return None


def any_phrases() -> st.SearchStrategy[Phrase]:
    few = st.none() | st.integers(1, 12)
    said = st.builds(SaidBar, any_moments(), st.none() | IDENTITIES, few, st.none())
    written = st.builds(
        Frame,
        any_moments(),
        any_frames(),
        frame_texts(PRINTED),
        does=st.none() | lines(),
        promises=st.booleans(),
    )
    return st.builds(
        Phrase,
        st.integers(1, 99),
        st.lists(written, min_size=1, max_size=4).map(tuple),
        st.lists(said, max_size=3).map(tuple),
        st.none() | st.sampled_from(Division),
        phrasings=st.lists(st.builds(Phrasing, any_moments(), any_moments()), max_size=2).map(
            tuple
        ),
    )


def any_scores() -> st.SearchStrategy[Score]:
    """A score that the schema accepts, sense or not."""
    few = st.none() | st.integers(1, 12)
    return st.builds(
        Score,
        title=lines(),
        phrases=st.lists(any_phrases(), min_size=1, max_size=3).map(tuple),
        identity=st.none() | IDENTITIES,
        school=st.sampled_from([*(row.name for row in CATALOGUE.schools.school), "other"])
        | st.none(),
        music=st.none() | st.builds(Music, st.just("3/4"), few, few),
        barre=st.none() | st.sampled_from(Side),
        promises=st.booleans(),
        start=st.none() | st.builds(Position, any_positions()),
        upbeat=st.none() | any_phrases().map(lambda phrase: replace(phrase, bars=())),
        prose=all_prose(PRINTED),
    )
