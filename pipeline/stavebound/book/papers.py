"""Papers, in millimetres: ISO 216 for A5 and A4, ANSI/ASME Y14.1 for Letter."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Paper:
    """A page and its margins; `inside` is at the spine. Type in points."""

    name: str
    width: float
    height: float
    top: float
    bottom: float
    inside: float
    outside: float
    type_size: float
    leading: float

    @property
    def measure(self) -> float:
        """The width of a line of music."""
        return self.width - self.inside - self.outside


PAPERS = {
    paper.name: paper
    for paper in (
        Paper("A5", 148, 210, 20, 21, 18, 15, 10.5, 13.5),
        Paper("A4", 210, 297, 25, 28, 26, 22, 11, 14.5),
        Paper("Letter", 215.9, 279.4, 25, 26, 27, 24, 11, 14.5),
    )
}
