"""Words of a drawing as operators of a page's stream.

In: the texts of `svg/draw.py`'s grammar, and the faces. Out: what shows them, letter for
letter at its place, and what of them is said otherwise than letter by letter: the figures of
a fraction, or of a metre, are one amount to whoever searches or copies, and a picture in a
line of text has words that are not seen. Source: ISO 32000-1, 9.3, 9.4 and 14.9.4; of
fractions, the Unicode Standard, 6.2, which has the digits on both sides of a fraction slash as
one.

A font's `hash`, `widths` and `to_unicode` are WeasyPrint's own affair.
"""

from __future__ import annotations

import unicodedata
from collections.abc import Callable, Iterable, Iterator, Sequence
from dataclasses import dataclass
from itertools import pairwise
from typing import Any, ClassVar
from xml.etree import ElementTree

from stavebound.faces import REGULAR, Face, Faces
from stavebound.press.operators import coloured, ink_of

# Places within a text count in thousandths of its size (ISO 32000-1, 9.4.3).
THOUSAND = 1000
# How far apart letters may be that follow each other, in millimetres: SVG rounds each place.
TOUCHING = 0.002
SLASH = "\u2044"
# What stands between the figures of a metre where they are one text.
METRE = "/"
# Fractions that are a character by themselves, by their digits.
VULGAR = {unicodedata.normalize("NFKC", char): char for char in "½⅓⅔¼¾⅕⅖⅗⅘⅙⅚⅛⅜⅝⅞"}

Fonts = Callable[[Face], Any]


@dataclass(frozen=True, slots=True)
class Letters:
    """Letters one behind the other, from a place in millimetres from the upper left corner."""

    y: float
    x: float
    letters: str
    size: float
    face: Face
    ink: str = ""
    said: str = ""
    in_row_over: ClassVar[bool] = False

    @property
    def end(self) -> float:
        return self.x + sum(self.face.advances[letter] for letter in self.letters) * self.size


@dataclass(frozen=True, slots=True)
class Said:
    """Runs that are shown together, and read as something else: `said`, a metre in the row of
    counts over it."""

    runs: tuple[Letters, ...]
    said: str
    in_row_over: bool = False

    @property
    def y(self) -> float:
        """The base line; of what is told in the row over it, that of the first run."""
        return self.runs[0].y if self.in_row_over else max(run.y for run in self.runs)

    @property
    def x(self) -> float:
        return self.runs[0].x


def runs_of(element: ElementTree.Element, faces: Faces) -> Iterator[Letters]:
    """A text with one place is a run; of one with a place for each letter, those that touch.

    ValueError where a number, the face or a glyph is missing.
    """
    letters, xs = element.text or "", [float(x) for x in element.get("x", "").split(" ")]
    style, weight = element.get("font-style", "normal"), int(element.get("font-weight", REGULAR))
    size, face = float(element.get("font-size", "")), faces.face(style, weight)
    if lacking := faces.missing(letters, style, weight):
        raise ValueError(f"there is no glyph for {' '.join(map(ascii, lacking))}")
    if len(xs) not in (1, len(letters)):
        raise ValueError("a text has neither one place nor one for each letter")
    y, ink, begin = float(element.get("y", "")), ink_of(element), 0
    for at in range(1, len(xs)):
        if abs(xs[at - 1] + face.advances[letters[at - 1]] * size - xs[at]) > TOUCHING:
            yield Letters(y, xs[begin], letters[begin:at], size, face, ink)
            begin = at
    yield Letters(y, xs[begin], letters[begin:], size, face, ink, element.get("aria-label", ""))


def in_reading_order(runs: Sequence[Letters], edge: float) -> list[Letters | Said]:
    """What begins left of the `edge`, such as the names of lines, before all else; from above,
    and from the left: so a search finds words that go on in a next row."""
    told = tuple(_together(runs))
    rows = [each.y for each in told if each.x >= edge and not each.in_row_over]

    def place(text: Letters | Said) -> tuple[bool, float, float]:
        over = (y for y in rows if text.in_row_over and y < text.y)
        return text.x >= edge, max(over, default=text.y), text.x

    return sorted(told, key=place)


def _together(runs: Sequence[Letters]) -> Iterator[Letters | Said]:
    """A fraction with its whole, if it has one, is one amount; its baseline is the slash's. The
    figures of a metre are one too."""
    at = 0
    while at < len(runs):
        amount, metre = _amount(runs[at:]), _metre(runs[at:])
        if metre:
            yield Said(metre, METRE.join(run.letters for run in metre), in_row_over=True)
        elif runs[at].said:
            yield Said((runs[at],), runs[at].said)
        elif amount:
            *whole, above, slash, below = (run.letters for run in amount)
            digits = f"{above}{slash}{below}"
            yield Said(amount, "".join((*whole, VULGAR.get(digits, digits))))
        else:
            yield runs[at]
        at += len(amount) or len(metre) or 1


def _metre(runs: Sequence[Letters]) -> tuple[Letters, ...]:
    """Two figures of which one stands in the middle over the other; none where they do not."""
    upper, lower = (*runs[:2], None, None)[:2]
    if not (upper and lower and upper.letters.isdecimal() and lower.letters.isdecimal()):
        return ()
    alike = upper.size == lower.size and upper.face is lower.face
    under = 0 < lower.y - upper.y <= upper.size
    middle = abs(upper.x + upper.end - lower.x - lower.end) / 2 <= TOUCHING
    return (upper, lower) if alike and under and middle else ()


def _amount(runs: Sequence[Letters]) -> tuple[Letters, ...]:
    """The runs of an amount that begins with the first of them; none where none does."""
    for slash in (1, 2):
        pieces = tuple(runs[: slash + 2])
        letters = [run.letters for run in pieces]
        if letters[slash:-1] == [SLASH] and all(
            map(str.isdecimal, (*letters[:slash], letters[-1]))
        ):
            gaps = (abs(one.end - other.x) for one, other in pairwise(pieces))
            if max(gaps) <= TOUCHING:
                return pieces
    return ()


def shown(texts: Iterable[Letters | Said], fonts: Fonts) -> Iterator[str]:
    for text in texts:
        if isinstance(text, Letters):
            yield _shown(text, fonts(text.face))
            continue
        said = text.said.encode("utf-16-be").hex().upper()
        yield f"/Span <</ActualText <FEFF{said}>>> BDC"
        yield from (_shown(run, fonts(run.face)) for run in text.runs)
        yield "EMC"


def unseen(words: str, width: float, height: float, faces: Faces, fonts: Fonts) -> Iterator[str]:
    """Words without ink that are as wide as the picture that they stand for."""
    run = Letters(height, 0.0, words, height, faces.face("normal", REGULAR))
    yield f"q 3 Tr {THOUSAND * width / run.end / 10:g} Tz BT"
    yield _shown(run, fonts(run.face))
    yield "ET Q"


def _shown(run: Letters, font: Any) -> str:
    glyphs = "".join(_glyphs(run, font))
    shown = f"/{font.hash} {run.size:g} Tf 1 0 0 -1 {run.x:g} {run.y:g} Tm [{glyphs}] TJ"
    return coloured(shown, run.ink)


def _glyphs(run: Letters, font: Any) -> Iterator[str]:
    """Each letter at its place: where a font's whole widths lead elsewhere, a step is put in.

    White space without a glyph of its own is a space; without width it is nothing.
    """
    face, at, place = run.face, 0, 0.0
    for letter in run.letters:
        shown = letter if letter in face.glyphs else " "
        if shown == letter or face.advances[letter]:
            glyph = face.glyphs[shown]
            step = at - round(place)
            yield f"{step}<{glyph:04x}>" if step else f"<{glyph:04x}>"
            font.to_unicode.setdefault(glyph, shown)
            at += font.widths.setdefault(glyph, round(face.advances[shown] * THOUSAND)) - step
        place += face.advances[letter] * THOUSAND
