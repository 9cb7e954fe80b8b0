"""What a book is made of on its way to the press.

A `Sheet` is one chapter as HTML with its staves; a `Piece` an exercise engraved.
"""

from __future__ import annotations

from dataclasses import dataclass

from stavebound.engrave.system import System
from stavebound.score.book import BookPlan
from stavebound.score.form import BarForm
from stavebound.score.model import Score
from stavebound.trade.tables import School


@dataclass(frozen=True, slots=True)
class Piece:
    """An exercise: its number in the book, its score, the school that reads it, its lines, and
    what stands at their bars where repeats are printed as signs."""

    number: int
    score: Score
    school: School
    systems: tuple[System, ...]
    form: tuple[BarForm, ...] = ()


@dataclass(frozen=True, slots=True)
class Edition:
    """All that a book's pages are made from; pieces by the path that the plan gives."""

    plan: BookPlan
    pieces: tuple[tuple[str, Piece], ...]
    school: School

    def piece(self, path: str) -> Piece:
        return dict(self.pieces)[path]


@dataclass(frozen=True, slots=True)
class Sheet:
    """A chapter as HTML; `images` are (name, SVG) for its <img src="stave:NAME">.

    `folios` is roman or arabic; `blind` the pages whose folio is not printed.
    """

    key: str
    html: str
    images: tuple[tuple[str, str], ...]
    folios: str
    blind: tuple[int, ...] = ()
