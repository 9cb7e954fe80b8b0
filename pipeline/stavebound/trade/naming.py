"""Names and places: what a name of the tables stands for, and what a place is called.

In: the catalogue, a school, a name or a place. Out: rows of the tables and names of rows.
Plain English names of arms are known to all; a school has names of its own for some. Whoever
writes, checks, draws or prints asks here. The reader of ink finds hands on the way, free feet
and positions of feet by tables and rules of its own (`readback/arrivals.py`, `changes.py`,
`free.py`, `standing.py`), so that an error here does not pass unseen there.
"""

from __future__ import annotations

from collections.abc import Iterator
from decimal import Decimal

from stavebound.remembering import remembered
from stavebound.trade.catalogue import Catalogue
from stavebound.trade.tables import ArmsShape, FeetPosition, FreePlace, HandShape, Ruling, School

SLACK = 1e-9
# How the names of rows end in which a dancer who kneels sits back.
SITTING = ", sitting back"
# How many names are remembered with what they mean; a school has some dozens.
NAMES = 1024


def arms_names(catalogue: Catalogue, school: School) -> tuple[str, ...]:
    """Every name a score of this school may give both arms, the school's own first."""
    own = tuple(school.arms.values())
    return own + tuple(row.name for row in catalogue.shapes.arms if row.name not in own)


def named_arms(catalogue: Catalogue, school: School) -> Iterator[tuple[ArmsShape, str]]:
    """The shapes of both arms that the school has a name for, with it, in the table's order."""
    for shape in catalogue.shapes.arms:
        if name := school.arms.get(shape.name):
            yield shape, name


def hand_names(catalogue: Catalogue, school: School) -> tuple[str, ...]:
    """Every name a score of this school may give one arm."""
    alike = {row.name for row in catalogue.shapes.arms if row.hands[0] == row.hands[1]}
    own = tuple(name for shape, name in school.arms.items() if shape in alike)
    return own + tuple(row.name for row in catalogue.shapes.hand if row.name not in own)


@remembered(NAMES)
def arms_shape(catalogue: Catalogue, school: School, name: str) -> ArmsShape | None:
    plain = next((shape for shape, own in school.arms.items() if own == name), name)
    return next((row for row in catalogue.shapes.arms if row.name == plain), None)


@remembered(NAMES)
def hand_shape(catalogue: Catalogue, school: School, name: str) -> HandShape | None:
    """The shape of one arm: as in a shape whose two arms are alike, or by its plain name."""
    arms = arms_shape(catalogue, school, name)
    if arms and arms.hands[0] != arms.hands[1]:
        return None
    return hand_row(catalogue, arms.hands[0] if arms else name)


@remembered(NAMES)
def hand_row(catalogue: Catalogue, name: str) -> HandShape | None:
    """A shape of one arm by its plain name."""
    return next((row for row in catalogue.shapes.hand if row.name == name), None)


def own_name(shape: str, school: School) -> str:
    """A shape of the arms as a school names it, or in plain English where it does not."""
    return school.arms.get(shape, shape)


def strays(
    shape: HandShape,
    height: float | None,
    out: float | None,
    depth: str | None,
    catalogue: Catalogue,
) -> Iterator[str]:
    """In what a place is too far from a shape to be called so; None is not asked for."""
    tolerance, slope = catalogue.shapes.tolerance, catalogue.ruling.across.hand.slope
    if height is not None and abs(height - shape.height) > tolerance.height + SLACK:
        yield "height"
    if out is not None and abs(out - shape.out) * slope > tolerance.across + SLACK:
        yield "out"
    if depth is not None and depth != shape.depth:
        yield "depth"


def arms_of(catalogue: Catalogue, hands: tuple[str, str]) -> Iterator[ArmsShape]:
    """The shapes of both arms that have these two hands, in whichever order."""
    return (row for row in catalogue.shapes.arms if sorted(row.hands) == sorted(hands))


@remembered(NAMES)
def contact_row(catalogue: Catalogue, name: str | None) -> HandShape | None:
    """A place that a hand touches; None for the other hand and the body themselves."""
    return next((row for row in catalogue.shapes.contact if row.name == name), None)


def contact_rows(catalogue: Catalogue) -> tuple[HandShape, ...]:
    """The places of the body that a hand touches."""
    return catalogue.shapes.contact


@remembered(NAMES)
def free_row(catalogue: Catalogue, name: str) -> FreePlace:
    """A place of a free foot. KeyError where the table has none of that name."""
    return {row.name: row for row in catalogue.feet.free.place}[name]


def raised_rows(catalogue: Catalogue) -> Iterator[FreePlace]:
    """The places of a raised leg, which have degrees for names."""
    return (row for row in catalogue.feet.free.place if row.name.isdecimal())


def hand_rows(catalogue: Catalogue, depth: str) -> Iterator[HandShape]:
    """The shapes of one arm whose hand is so deep."""
    return (row for row in catalogue.shapes.hand if row.depth == depth)


@remembered(NAMES)
def position_row(catalogue: Catalogue, name: str) -> FeetPosition:
    """A position of both feet, or of a dancer who kneels. KeyError where none is called so."""
    return {row.name: row for row in (*catalogue.feet.position, *catalogue.feet.kneeling)}[name]


def kneeling_name(both: bool, sitting: bool) -> str:
    """The name of the row for a dancer who kneels, on both knees or on one."""
    return ("both knees" if both else "one knee") + (SITTING if sitting else "")


def kneels(catalogue: Catalogue, position: str | None) -> bool:
    """Whether feet in this position are those of a dancer who kneels."""
    return any(row.name == position for row in catalogue.feet.kneeling)


def crossed_positions(catalogue: Catalogue) -> tuple[str, ...]:
    """The positions that have a foot in front."""
    return tuple(row.name for row in catalogue.feet.position if row.front is not None)


def nearest_line(ruling: Ruling, height: float) -> tuple[str, Decimal]:
    """A height in spaces, to a hundredth, from the nearest of the lines, the lowest first."""
    height = round(height, 2)
    at = min(max(round(height), 0), len(ruling.line) - 1)
    return ruling.line[at].name, Decimal(f"{height - at:.2f}")
