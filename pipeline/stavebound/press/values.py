"""What goes into the press and what comes out of it.

A `Chapter` is HTML with its staves; a `Pressed` chapter is a PDF without page
numbers, with the places of everything that may be referred to. Pages inside a
chapter count from 0. Places are in PDF points from the page's lower left
corner. All values are frozen and can be pickled: they cross to worker processes.
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime
from enum import StrEnum

from stavebound.book.blocks import PlannedExercise, Spreads

# The level of bookmarks that are no part of the outline, but words of a list, which running
# heads tell from where to where.
WORD = 6


class PressError(Exception):
    """The press failed through a fault of this program or this machine, not of a source file.

    Its one argument says what failed, in words for the person who has to mend it.
    """


class Folios(StrEnum):
    """How a chapter's pages are numbered. Each numbered kind counts through the book."""

    ROMAN = "roman"
    ARABIC = "arabic"
    NONE = "none"


@dataclass(frozen=True, slots=True)
class Chapter:
    """One chapter to be laid out by itself; it will open on a right-hand page.

    `html` is a whole document that refers to staves as `<img src="stave:NAME">`
    and to anchors of other chapters as `href="stavebound:ANCHOR"`; `images`
    holds (name, SVG text) pairs; `css` is laid under the styles of `html`, and
    lays out every page as a right-hand one. `blind` names the pages that count
    but have empty margins, such as the title page. `openings` are the ids of
    elements that begin a page, and whose pages face each other where they are
    two. `spreads` says how pages of the type `galley`, on each of which an exercise is laid out
    as long as it is, are made up into pages of the paper. A `draft` is laid out for the places of
    its pages alone, and has no PDF. Ids are unique through the whole book.
    """

    key: str
    html: str
    images: tuple[tuple[str, str], ...] = ()
    folios: Folios = Folios.ARABIC
    css: str = ""
    blind: tuple[int, ...] = ()
    openings: tuple[str, ...] = ()
    spreads: Spreads | None = None
    draft: bool = False


@dataclass(frozen=True, slots=True)
class Destination:
    """Where the element with this id begins."""

    name: str
    page: int
    x: float
    y: float


@dataclass(frozen=True, slots=True)
class Bookmark:
    """One entry of the outline, or at the level `WORD` of a list of words; `level` counts
    from 1, as CSS `bookmark-level` does."""

    level: int
    label: str
    page: int
    y: float


@dataclass(frozen=True, slots=True)
class Pressed:
    """One chapter as PDF, all its pages right-handed. `openings` are the pages on which
    its openings begin, in order; `planned` is how its galleys were made up."""

    key: str
    pdf: bytes
    pages: int
    anchors: tuple[Destination, ...] = ()
    bookmarks: tuple[Bookmark, ...] = ()
    folios: Folios = Folios.ARABIC
    blind: tuple[int, ...] = ()
    openings: tuple[int, ...] = ()
    planned: tuple[PlannedExercise, ...] = ()


@dataclass(frozen=True, slots=True)
class Metadata:
    """What the bound file says of itself.

    `language` is a BCP 47 tag. `created` carries its time zone; the same value
    gives the same bytes. `creator` names the program that made the book. An
    author or subject that is not known is empty, and left out.
    """

    title: str
    author: str
    subject: str
    language: str
    created: datetime
    creator: str = "stavebound"
