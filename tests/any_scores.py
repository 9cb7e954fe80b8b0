"""Random scores that the schema accepts, whether they make sense or not."""

from dataclasses import replace
from fractions import Fraction

from hypothesis import strategies as st

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
    Rise,
    SaidBar,
    Score,
    Side,
    Way,
)
from stavebound.trade.naming import arms_names
from tests.strategies import (
    ANGLES,
    CATALOGUE,
    IDENTITIES,
    LINES,
    PLACES,
    PRINTED,
    all_prose,
    hundredths,
    lines,
)


def any_changes() -> st.SearchStrategy[Change]:
    """A change that the schema accepts, whatever it means."""
    sides, rises = st.sampled_from(Side), st.none() | st.sampled_from(Rise)
    known = {name for school in CATALOGUE.schools.school for name in arms_names(CATALOGUE, school)}
    shapes = sorted(known | {row.name for row in CATALOGUE.shapes.hand})
    names = st.sampled_from(shapes) | lines()
    positions_ = st.sampled_from([row.name for row in CATALOGUE.feet.position])
    heights = st.builds(Height, st.sampled_from(LINES), hundredths(-999, 999))
    return st.one_of(
        st.builds(ArmsChange, names, st.none() | sides),
        st.builds(
            HandChange,
            sides,
            st.none() | names,
            st.none() | heights,
            st.none() | hundredths(0, 60),
            st.none() | st.sampled_from(Depth),
            st.none() | hundredths(-60, 60),
        ),
        st.builds(
            FootChange,
            sides,
            st.none() | st.sampled_from(Way),
            st.none() | st.sampled_from(PLACES),
            st.none() | st.sampled_from(ANGLES),
            rises,
        ),
        st.builds(FeetChange, st.none() | positions_, st.none() | sides, rises),
        st.builds(KneesChange, st.sampled_from(Bend), st.none() | sides),
    )


def any_moments() -> st.SearchStrategy[At]:
    counts = st.integers(1, 99)
    fractions = st.builds(Fraction, st.integers(1, 11), st.integers(2, 12))
    return st.one_of(
        st.builds(At, counts),
        st.builds(At, counts, st.sampled_from(["e", "and", "a"])),
        st.builds(At, counts, st.none(), fractions),
    )


@st.composite
def any_positions(draw: st.DrawFn) -> tuple[Change, ...]:
    """Changes of which the schema allows each kind once, where it does."""
    found = draw(st.lists(any_changes(), max_size=6))
    whole = (ArmsChange, FeetChange)
    return tuple(
        change
        for index, change in enumerate(found)
        if (
            not isinstance(change, whole)
            and not (isinstance(change, KneesChange) and change.side is None)
        )
        or type(change) not in {type(other) for other in found[:index]}
    )


def any_phrases() -> st.SearchStrategy[Phrase]:
    few = st.none() | st.integers(1, 12)
    said = st.builds(SaidBar, any_moments(), st.none() | IDENTITIES, few, st.none())
    written = st.builds(Frame, any_moments(), any_positions(), st.none() | lines())
    return st.builds(
        Phrase,
        st.integers(1, 99),
        st.lists(written, min_size=1, max_size=4).map(tuple),
        st.lists(said, max_size=3).map(tuple),
        st.none() | st.sampled_from(Division),
    )


def any_scores() -> st.SearchStrategy[Score]:
    """A score that the schema accepts, sense or not."""
    few = st.none() | st.integers(1, 12)
    return st.builds(
        Score,
        title=lines(),
        phrases=st.lists(any_phrases(), min_size=1, max_size=3).map(tuple),
        identity=st.none() | IDENTITIES,
        school=st.sampled_from(["english", "french", "italian", "russian", "other"]) | st.none(),
        music=st.none() | st.builds(Music, st.just("3/4"), few, few),
        barre=st.none() | st.sampled_from(Side),
        start=st.none() | st.builds(Position, any_positions()),
        upbeat=st.none() | any_phrases().map(lambda phrase: replace(phrase, bars=())),
        prose=all_prose(PRINTED),
    )
