"""Departures of limbs by the rows of their table: all of them, and random ones."""

from collections.abc import Iterable, Iterator
from dataclasses import replace
from itertools import product
from random import Random

from hypothesis import strategies as st

from stavebound.build.values import House
from stavebound.readback.table import DepartureRow, ShapeRow, SignPart, SignRow
from stavebound.score.departures import Departures, departures
from stavebound.trade.catalogue import load_catalogue
from stavebound.trade.departures import Departure, DepartureTable, LimbKind, Place, Value
from stavebound.trade.tables import Sign

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


def all_departing(limb: LimbKind, table: DepartureTable = TABLE) -> Iterator[Departures]:
    """All that such a limb may depart in at once, with nothing of what is usual."""
    names = table.of(limb)
    ways = [[None, *(row.says for row in table.value if row.of == name)] for name in names]
    for values in product(*ways):
        said = departures(dict(zip(names, values, strict=True)))
        if table.departing(limb, said) == said:
            yield said


# ---------------------------------------------------------------- a mark that no table has

# As large as the room under feet lets it be.
WIDE, THICK = 0.26, 0.19
PLACES: dict[LimbKind, Place] = {"hand": "beside", "free": "beside", "standing": "under"}
MARKED = departures({"trial": "marked"})


def with_mark(house: House, limb: LimbKind, drawn_at: float = 0.0) -> House:
    """The house with one departure more, of such limbs: the rows that it needs, for the
    engraver and for the reader. Its sign is drawn so far over its centre."""
    wide, place = WIDE / 2, PLACES[limb]
    row = Departure(name="trial", of=(limb,), description="a trial")
    value = Value(of="trial", says="marked", sign="trial", place=place)
    stroke = (-wide, drawn_at, wide, drawn_at, THICK)
    sign = Sign(name="trial", meaning="", description="", source="", strokes=(stroke,))
    theirs = house.catalogue
    departing = DepartureTable(
        departure=(*theirs.departures.departure, row), value=(*theirs.departures.value, value)
    )
    catalogue = replace(
        theirs, departures=departing, signs={**theirs.signs, "trial": sign}, digest="trial"
    )
    shape = ShapeRow(name="trial", kind="stroke", description="", length=WIDE, width=THICK)
    part = SignPart(shape="trial", at=(0.0, drawn_at))
    own = house.table
    read = DepartureRow(name="trial", says="marked", of=(limb,), sign="trial", place=place)
    table = own.model_copy(
        update={
            "shape": (*own.shape, shape),
            "sign": (*own.sign, SignRow(name="trial", description="", parts=(part,))),
            "departure": (*own.departure, read),
        }
    )
    return replace(house, catalogue=catalogue, table=table)
