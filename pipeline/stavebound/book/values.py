"""What a book is made of on its way to the press.

A `Sheet` is one chapter as HTML with its staves; a `Piece` an exercise engraved.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass

from stavebound.book.layouts import Edition, Layout
from stavebound.book.papers import Paper
from stavebound.dance.pose import Posed
from stavebound.engrave.parts import Setting
from stavebound.faces import Faces
from stavebound.plan.book import BookPlan
from stavebound.proof.lines import DrawnLine
from stavebound.readback.claims import ReadingKey
from stavebound.score.form import BarForm
from stavebound.score.model import Score
from stavebound.trade.tables import School
from stavebound.wording.labels import ENGLISH

# What makes the glossary.
GLOSSARY = "glossary"
# By name, as SVG.
Images = tuple[tuple[str, str], ...]
# The printed page number of every anchor.
Numbers = Mapping[str, str]


@dataclass(frozen=True, slots=True)
class Piece:
    """An exercise: its number in the book, its score, the school that reads it, its lines as
    they were proved, what stands at their bars where repeats are printed as signs, how many
    bars are danced, which ways of writing each line uses and what places and repeats it has, for
    the key, and the few frames that show most, for the opening of a chapter."""

    number: int
    score: Score
    school: School
    lines: tuple[DrawnLine, ...] = ()
    form: tuple[BarForm, ...] = ()
    bars: int = 0
    features: tuple[frozenset[str], ...] = ()
    placings: tuple[frozenset[str], ...] = ()
    telling: tuple[Posed, ...] = ()


@dataclass(frozen=True, slots=True)
class Manuscript:
    """All that a book's pages are made from; pieces by the path that the plan gives.

    `edition` is one of the layout's, `paper` in the sizes of the house. `labels`
    is the language of what the layout prints by itself; `setting` is what its scores were
    engraved by, in other `sizes`, the largest first, where a piece asks for one; `key` is what its
    pictures are read back by, and `notes` are the drawings of note values by name.
    """

    plan: BookPlan
    pieces: tuple[tuple[str, Piece], ...]
    school: School
    layout: Layout
    edition: Edition
    paper: Paper
    setting: Setting
    key: ReadingKey
    notes: Mapping[str, str]
    labels: str = ENGLISH
    sizes: tuple[Setting, ...] = ()

    @property
    def faces(self) -> Faces:
        """Those of the pages."""
        return self.setting.faces

    @property
    def language(self) -> str:
        """The language of the book's own text: where none is said, that of the labels."""
        return self.plan.language or self.labels

    @property
    def explained(self) -> bool:
        """Whether the glossary is among the pages, for terms to lead there."""
        return any(section.make == GLOSSARY for section in self.edition.back)

    def piece(self, path: str) -> Piece:
        return dict(self.pieces)[path]


@dataclass(frozen=True, slots=True)
class Title:
    """A line of the contents, and those under it: anchor, number and title of an exercise.
    `number` is a chapter's."""

    anchor: str
    title: str
    entries: tuple[tuple[str, int, str], ...] = ()
    number: int | None = None


@dataclass(frozen=True, slots=True)
class Sheet:
    """A chapter as HTML, with the images for its <img src="stave:NAME">.

    `folios` is roman or arabic; `blind` the pages whose margins stay empty;
    `openings` the ids of what begins a page and should lie open at once; `facing` whether
    words of an exercise may stand on a left page and its staves on the right one.
    """

    key: str
    html: str
    images: Images
    folios: str
    blind: tuple[int, ...] = ()
    openings: tuple[str, ...] = ()
    facing: bool = False


# What makes sheets that refer to pages, for any page numbers.
Pages = Callable[[Numbers], tuple[Sheet, ...]]
