"""The engraving style: every distance and cost by its name.

In: the packaged tables and what a house or a book sets. Out: a frozen `Style`.
Later settings lie over earlier ones.
"""

from __future__ import annotations

import hashlib
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field, replace

from stavebound.faces import Faces
from stavebound.plan.book import StyleSheet, TypeSetting
from stavebound.plan.house_signs import Shapings, shapings
from stavebound.trade.catalogue import Catalogue
from stavebound.trade.printing import FINEST_LINE, LEAST_APART, LEAST_WHITE, POINT, STAVE_HEIGHT


@dataclass(frozen=True, slots=True, eq=False, weakref_slot=True)
class Style:
    """`stave_height` is in millimetres, distances in spaces unless their rows have another
    unit, costs pure numbers; `signs`
    tells how the house shapes the signs that it changes; `colours` what it does not draw in black,
    by what is drawn; `type` names the faces of text and
    headings and sets sizes in points, as far as the house has its own; `binding` is how much
    wider than the paper's the inner margin is, in millimetres; `greatest` is how large each of
    the distances that a house may set can be."""

    stave_height: float
    centre_line: bool
    line_names: str
    distances: Mapping[str, float]
    costs: Mapping[str, float]
    signs: Shapings = field(default_factory=dict)
    colours: Mapping[str, str] = field(default_factory=dict)
    type: TypeSetting = TypeSetting()
    binding: float = 0.0
    greatest: Mapping[str, float] = field(default_factory=dict)

    @property
    def digest(self) -> str:
        """The same for the same settings, wherever they were made."""
        named = (self.distances, self.costs, self.signs, self.colours)
        tables = [sorted(table.items()) for table in named]
        whole = (
            self.stave_height,
            self.centre_line,
            self.line_names,
            tables,
            self.type,
            self.binding,
        )
        return hashlib.sha256(repr(whole).encode()).hexdigest()

    @property
    def space(self) -> float:
        """A space of the stave in millimetres."""
        return self.stave_height / 4

    def alike(self, other: Style, sizes: Iterable[str]) -> bool:
        """Whether ink with texts of these sizes is the same in spaces, by styles that differ in
        the height of the stave alone: so it is where nothing would be too small in print."""
        names = tuple(sizes)
        return self._least(names) == other._least(names)

    def _least(self, sizes: Iterable[str]) -> tuple[float, ...]:
        """What is drawn larger where it would be too small in print."""
        lines = self.stave_line, self.line_clearance, self.sign_clearance
        return (*lines, *map(self.size, sizes))

    def distance(self, name: str) -> float:
        return self.distances[name]

    def cost(self, name: str) -> float:
        return self.costs[name]

    def size(self, name: str) -> float:
        """A type size in spaces, not smaller in print than the least of all, nor than its own least
        as far as its lane has room for that."""
        least = self.distances["least type size"] * POINT / self.space
        own = self.distances.get(f"least {name}", 0.0) * POINT / self.space
        return max(self.distances[name], least, min(own, self.greatest.get(name, 0.0)))

    @property
    def stave_line(self) -> float:
        return max(self.distances["stave line"], FINEST_LINE / self.space)

    @property
    def line_clearance(self) -> float:
        """White between a sign and a stave line: the table's, and 0.2 mm in print."""
        return max(self.distances["line clearance"], LEAST_WHITE / self.space)

    @property
    def sign_clearance(self) -> float:
        """White between two signs that do not touch: the table's, and 0.22 mm in print."""
        return max(self.distances["sign clearance"], LEAST_APART / self.space)


@dataclass(frozen=True, slots=True)
class Setting:
    """What engraving needs to know besides the score."""

    catalogue: Catalogue
    style: Style
    faces: Faces

    @property
    def digest(self) -> str:
        """The same for all that is engraved alike, in every process."""
        own = (self.catalogue.digest, self.style.digest, self.faces.digest)
        return hashlib.sha256(repr(own).encode()).hexdigest()

    def at_height(self, height: float) -> Setting:
        """The same on a stave of so many millimetres."""
        return replace(self, style=replace(self.style, stave_height=height))


def resolve_style(catalogue: Catalogue, sheets: Sequence[StyleSheet]) -> Style:
    """The tables with the sheets laid over them, the last uppermost."""
    engraving = catalogue.engraving
    distances = {row.name: row.value for row in (*engraving.fixed, *engraving.distance)}
    height, centre_line, line_names = STAVE_HEIGHT, True, "first"
    kind = TypeSetting()
    for sheet in sheets:
        height = float(sheet.stave_height or height)
        centre_line = centre_line if sheet.centre_line is None else sheet.centre_line
        line_names = sheet.line_names or line_names
        kind = sheet.type.over(kind)
        distances |= {setting.name: float(setting.spaces) for setting in sheet.distances}
    return Style(
        stave_height=height,
        centre_line=centre_line,
        line_names=line_names,
        distances=distances,
        costs={row.name: row.value for row in engraving.cost},
        signs=shapings(sheets, catalogue.signs),
        colours=_colours(catalogue, sheets),
        type=kind,
        binding=float(next((own.binding for own in reversed(sheets) if own.binding), 0)),
        greatest={row.name: row.greatest for row in engraving.distance},
    )


def _colours(catalogue: Catalogue, sheets: Sequence[StyleSheet]) -> Mapping[str, str]:
    """What is printed in colour, by what is drawn; names that nothing has, the checks tell."""
    drawn = {row.name: row.drawn for row in catalogue.colours.thing}
    values = {row.name: row.value for row in catalogue.colours.colour}
    chosen = {row.thing: row.colour for sheet in sheets for row in sheet.colours}
    return {drawn[thing]: values[name] for thing, name in chosen.items() if name in values}
