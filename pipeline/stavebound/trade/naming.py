"""Names of the arms: from what is written to the shape, and back by school.

In: the catalogue, a school and a name. Out: rows of the shape table, or None
where the school has no such name. Plain English shape names are known to all.
"""

from __future__ import annotations

from functools import lru_cache

from stavebound.trade.catalogue import Catalogue
from stavebound.trade.tables import ArmsShape, FreePlace, HandShape, School

# How many names are remembered with what they mean; a school has some dozens.
NAMES = 1024


def arms_names(catalogue: Catalogue, school: School) -> tuple[str, ...]:
    """Every name a score of this school may give both arms, the school's own first."""
    own = tuple(school.arms.values())
    return own + tuple(row.name for row in catalogue.shapes.arms if row.name not in own)


def hand_names(catalogue: Catalogue, school: School) -> tuple[str, ...]:
    """Every name a score of this school may give one arm."""
    alike = {row.name for row in catalogue.shapes.arms if row.hands[0] == row.hands[1]}
    own = tuple(name for shape, name in school.arms.items() if shape in alike)
    return own + tuple(row.name for row in catalogue.shapes.hand if row.name not in own)


@lru_cache(maxsize=NAMES)
def arms_shape(catalogue: Catalogue, school: School, name: str) -> ArmsShape | None:
    plain = next((shape for shape, own in school.arms.items() if own == name), name)
    return next((row for row in catalogue.shapes.arms if row.name == plain), None)


@lru_cache(maxsize=NAMES)
def hand_shape(catalogue: Catalogue, school: School, name: str) -> HandShape | None:
    """The shape of one arm: as in a shape whose two arms are alike, or by its plain name."""
    arms = arms_shape(catalogue, school, name)
    if arms and arms.hands[0] != arms.hands[1]:
        return None
    return hand_row(catalogue, arms.hands[0] if arms else name)


@lru_cache(maxsize=NAMES)
def free_row(catalogue: Catalogue, name: str) -> FreePlace:
    """A place of the table of free places. KeyError where it has none of that name."""
    return {row.name: row for row in catalogue.feet.free.place}[name]


@lru_cache(maxsize=NAMES)
def hand_row(catalogue: Catalogue, name: str) -> HandShape | None:
    return next((row for row in catalogue.shapes.hand if row.name == name), None)
