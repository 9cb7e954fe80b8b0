"""Papers, in millimetres; which there are stands with the layouts."""

from __future__ import annotations

from dataclasses import dataclass

from stavebound.book.grid import POINTS

# The measure of running text, of 60 to 70 characters a line: so many millimetres at the most,
# and so much of a line of music.
PROSE, OF_MUSIC = 112.0, 0.975


@dataclass(frozen=True, slots=True)
class Paper:
    """A page and its margins; `inside` is at the spine. Type in points.

    On the outer side of text and staves is a margin `column`, behind a `gap`, if it has one.
    The type area is so many `lines` of its leading high; `stave` is the usual height of a stave.
    The type of an edition may be so many times (`enlarged`) that of the book. The pages of `loose`
    sheets are all right-hand ones.
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
    stave: float
    column: float = 0.0
    gap: float = 0.0
    enlarged: float = 1.0
    loose: bool = False

    @property
    def points(self) -> float:
        """Points to a millimetre, for style sheets."""
        return POINTS

    @property
    def small_leading(self) -> float:
        """The leading by which type is set close that is as small in all editions."""
        return self.leading / self.enlarged

    @property
    def size(self) -> tuple[float, float]:
        return self.width, self.height

    @property
    def measure(self) -> float:
        """The width of the type area."""
        return self.width - self.inside - self.outside

    @property
    def music(self) -> float:
        """The width of a line of music, and of the text that stands with it."""
        return self.measure - self.column - self.gap

    @property
    def prose(self) -> float:
        """The width of running text."""
        return min(PROSE, OF_MUSIC * self.music)

    @property
    def beside(self) -> float:
        """How far the margin column begins from the inner edge of the type area."""
        return self.music + self.gap

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
        return 0.0 if self.loose else (self.outside - self.inside) * POINTS
