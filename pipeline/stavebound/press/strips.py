"""Strips of margins, cut.

In: pressed strips, each a long page on which the margins of many pages stand one below the
other (`margins.py`), and the size of a page. Out: for each of these pages the operators that
draw its margins, and the faces that they name. It always holds that words are all that a strip
has: what else stands there is not cut, and refused.
"""

from __future__ import annotations

import io
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import Any

from pikepdf import Dictionary, Name, Object, Operator, Page, Pdf, parse_content_stream
from pikepdf import unparse_content_stream as written

from stavebound.press.values import Pressed, PressError

# PDF points to a CSS pixel, in which WeasyPrint writes.
POINTS = 0.75
COLOURS = ("rg", "g", "k")
WORDS = ("BT", "ET", "Tm", "Tf", "TJ", *COLOURS)
OTHERS = ("f", "f*", "S", "B", "sh", "Do")
# How far a strip may be from so many whole pages, in points.
NEAR = 0.5

Operation = tuple[list[Any], Operator]


@dataclass(frozen=True, slots=True)
class Cut:
    """The margins of a page: a stream without its fonts, and these by the names it has."""

    stream: bytes
    fonts: Dictionary


def cut(book: Pdf, strips: Sequence[Pressed], size: tuple[float, float]) -> Iterator[Cut]:
    """The margins of every page in order; `size` is that of a page, in points. Fonts are
    copied into the book. PressError where a strip is not so many pages long, or not as wide."""
    for number, strip in enumerate(strips):
        with Pdf.open(io.BytesIO(strip.pdf)) as pdf:
            (page,) = pdf.pages
            count = _count(page, size)
            names = dict(page.Resources.get(Name.Font, Dictionary()).items())
            fonts = {f"/M{number}-{name[1:]}": font for name, font in names.items()}
            shared = book.make_indirect(Dictionary({k: _own(book, f) for k, f in fonts.items()}))
            for words in _parted(page, count, size[1], number):
                yield Cut(words, shared)


def _own(book: Pdf, font: Object) -> Object:
    return book.copy_foreign(font)


def _count(page: Page, size: tuple[float, float]) -> int:
    _left, _bottom, width, height = (float(edge) for edge in page.mediabox)
    count = round(height / size[1])
    if abs(width - size[0]) > NEAR or abs(height - count * size[1]) > NEAR:
        raise PressError("the margins are laid out for paper of another size")
    return count


def _parted(page: Page, count: int, height: float, number: int) -> Iterator[bytes]:
    """The operators of each page, from its own upper left corner."""
    parts: list[list[Operation]] = [[] for _ in range(count)]
    for at, words in _texts(page, number):
        leaf = min(int(at * POINTS / height), count - 1)
        parts[leaf] += _moved(words, leaf * height / POINTS)
    corner = f"{POINTS} 0 0 -{POINTS} 0 {height:.6f} cm\n".encode()
    for part in parts:
        yield corner + written(part) if part else b""


def _texts(page: Page, number: int) -> Iterator[tuple[float, list[Operation]]]:
    """Each text with its colour, and how far below the strip's upper edge it stands."""
    colour: list[Operation] = []
    words: list[Operation] = []
    for instruction in parse_content_stream(page, " ".join((*WORDS, *OTHERS))):
        operands, operator = list(instruction.operands), instruction.operator
        name = str(operator)
        if name in OTHERS:
            raise PressError("in the margins stands what is no word")
        if name in COLOURS:
            colour = [(operands, operator)]
            continue
        if name == "Tf":
            operands = [Name(f"/M{number}-{str(operands[0])[1:]}"), operands[1]]
        words.append((operands, operator))
        if name == "ET":
            (place,) = (own for own, letters in words if str(letters) == "Tm")
            yield float(place[5]), [*colour, *words]
            words = []


def _moved(words: Sequence[Operation], up: float) -> Iterator[Operation]:
    for operands, operator in words:
        if str(operator) == "Tm":
            *shape, y = operands
            yield [*shape, round(float(y) - up, 6)], operator
        else:
            yield operands, operator
