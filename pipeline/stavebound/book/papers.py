"""Papers, in millimetres: ISO 216 for A5 and A4, ANSI/ASME Y14.1 for Letter."""

from __future__ import annotations

from dataclasses import dataclass

from stavebound.book.grid import POINTS


@dataclass(frozen=True, slots=True)
class Paper:
    """A page and its margins; `inside` is at the spine. Type in points.

    The type area is so many `lines` of its leading high.
    """

    name: str
    width: float
    height: float
    top: float
    inside: float
    outside: float
    type_size: float
    leading: float
    lines: int

    @property
    def measure(self) -> float:
        """The width of a line of music."""
        return self.width - self.inside - self.outside

    @property
    def depth(self) -> float:
        """The height of the type area."""
        return self.lines * self.leading / POINTS

    @property
    def bottom(self) -> float:
        return self.height - self.top - self.depth

    @property
    def shift(self) -> float:
        """How far a left-hand page stands to the right of a right-hand one, in points."""
        return (self.outside - self.inside) * POINTS


PAPERS = {
    paper.name: paper
    for paper in (
        Paper("A5", 148, 210, 19, 18, 15, 10.5, 13, 37),
        Paper("A4", 210, 297, 26, 26, 22, 11, 14.5, 47),
        Paper("Letter", 215.9, 279.4, 25, 27, 24, 11, 14.5, 44),
    )
}
