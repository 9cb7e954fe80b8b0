"""Departures of limbs by the rows of their table: all of them, and random ones."""

from collections.abc import Iterable, Iterator
from itertools import product
from random import Random

from hypothesis import strategies as st

from stavebound.score.departures import Departures, departures
from stavebound.trade.catalogue import load_catalogue
from stavebound.trade.departures import LimbKind

TABLE = load_catalogue().departures
# Those of which it is a question of the arm's place whether they can be written.
OF_PLACES = ("arm", "touching")
# The kinds of limb of which an element may write.
OF_ELEMENTS: dict[str, tuple[LimbKind, ...]] = {
    "hand": ("hand",),
    "feet": ("standing",),
    "foot": ("free", "standing"),
}


def values_of(name: str) -> list[str]:
    """All that an attribute may say, the usual too."""
    return [row.says for row in TABLE.value if row.of == name]


def names_of(element: str) -> list[str]:
    """The attributes that an element may have."""
    kinds = OF_ELEMENTS[element]
    return list(dict.fromkeys(name for kind in kinds for name in TABLE.of(kind)))


def free_names(limb: LimbKind) -> list[str]:
    """Those that can be written of such a limb wherever it is."""
    return [name for name in TABLE.of(limb) if name not in OF_PLACES]


def written(names: Iterable[str]) -> st.SearchStrategy[Departures]:
    """Each of the attributes written or not."""
    rows = {name: st.none() | st.none() | st.sampled_from(values_of(name)) for name in names}
    return st.fixed_dictionaries(rows).map(departures)


def chosen(random: Random, names: Iterable[str], seldom: int = 2) -> Departures:
    """The same of a random number; each is left out `seldom` times for every value."""
    return departures({name: random.choice([*[None] * seldom, *values_of(name)]) for name in names})


def all_departing(limb: LimbKind) -> Iterator[Departures]:
    """All that such a limb may depart in at once, with nothing of what is usual."""
    names = TABLE.of(limb)
    ways = [[None, *(value for value in values_of(name))] for name in names]
    for values in product(*ways):
        said = departures(dict(zip(names, values, strict=True)))
        if TABLE.departing(limb, said) == said:
            yield said
