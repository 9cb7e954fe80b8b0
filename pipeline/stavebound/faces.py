"""The text faces: where they lie, what they hold, how wide they run.

In: the static faces of an installed font package. Out: `Faces`, a value that
measures text and tells which characters have no glyph, so that every string is
checked before it is laid out. Heights and widths are kept as fractions of the
em and come out in the unit the size is given in.

    ascent  ─────────────────────
    figures ──────────── 1 2 ────
    caps    ── H ────────────────
    x       ────── x ────────────
    base    ── H ─ x ─── 1 2 ─ p     y grows upwards from here
    descent ───────────────── p ─

Widths are sums of the glyphs' advances: kerning and ligatures are *not* in
them. Text in an SVG is set letter by letter and runs exactly this wide; running
text in a book is kerned by the press and comes out a little narrower.
"""

from __future__ import annotations

import functools
import importlib.resources
from collections.abc import Iterable
from dataclasses import dataclass, field
from pathlib import Path

from fontTools.ttLib import TTFont

FAMILY = "Crimson Text"
PACKAGE = "fontpkg_crimson_text"

# file in the package, style, weight
FILES = (
    ("CrimsonText-Regular.ttf", "normal", 400),
    ("CrimsonText-Italic.ttf", "italic", 400),
    ("CrimsonText-SemiBold.ttf", "normal", 600),
    ("CrimsonText-SemiBoldItalic.ttf", "italic", 600),
    ("CrimsonText-Bold.ttf", "normal", 700),
    ("CrimsonText-BoldItalic.ttf", "italic", 700),
)

# The weights of what is set as usual, and of what stands out.
REGULAR, BOLD = 400, 600

FIGURES = "0123456789"

# Space that the shaper makes where a face has no glyph for it, in em.
MADE_SPACE = {
    "\u2002": 1 / 2,
    "\u2003": 1.0,
    "\u2009": 1 / 5,
    "\u00ad": 0.0,
    "\u200b": 0.0,
    "\u2060": 0.0,
}
# White space that runs as wide as this share of a word space.
SHARED_SPACE = {"\n": 1.0, "\r": 1.0, "\t": 1.0, "\u202f": 1 / 2}


@dataclass(frozen=True, slots=True)
class Face:
    """One static face. All heights are in em; `descent` is positive, below the base line.

    `advances` gives each character's advance in em. Cap, x and figure height are
    the tops of the outlines of H, x and the tallest figure.
    """

    family: str
    style: str
    weight: int
    path: Path
    ascent: float
    descent: float
    cap_height: float
    x_height: float
    figure_height: float
    advances: dict[str, float] = field(repr=False, compare=False)


@dataclass(frozen=True, slots=True, eq=False)
class Faces:
    """The faces of one family. `style` is "normal" or "italic", `weight` 400, 600 or 700.

    Every method raises ValueError for a style and weight that the family lacks.
    """

    family: str
    faces: tuple[Face, ...]

    def face(self, style: str = "normal", weight: int = 400) -> Face:
        for face in self.faces:
            if face.weight == weight and face.style == style:
                return face
        raise ValueError(f"{self.family} has no face of style {style} and weight {weight}")

    def width(self, text: str, size: float, style: str = "normal", weight: int = 400) -> float:
        """How wide `text` runs at `size`, in the unit of `size`, without kerning.

        ValueError names the characters that have no glyph.
        """
        advances = self.face(style, weight).advances
        try:
            return size * sum(map(advances.__getitem__, text))
        except KeyError:
            missing = " ".join(map(_named, self.missing(text, style, weight)))
            raise ValueError(f"{self.family} has no glyph for {missing}") from None

    def missing(self, text: str, style: str = "normal", weight: int = 400) -> tuple[str, ...]:
        """The characters of `text` without a glyph, each once, in order of appearance.

        `text` is composed (NFC): a letter and its accent are one character.
        """
        advances = self.face(style, weight).advances
        return tuple(char for char in dict.fromkeys(text) if char not in advances)

    def ascent(self, size: float, style: str = "normal", weight: int = 400) -> float:
        return size * self.face(style, weight).ascent

    def descent(self, size: float, style: str = "normal", weight: int = 400) -> float:
        return size * self.face(style, weight).descent

    def cap_height(self, size: float, style: str = "normal", weight: int = 400) -> float:
        return size * self.face(style, weight).cap_height

    def x_height(self, size: float, style: str = "normal", weight: int = 400) -> float:
        return size * self.face(style, weight).x_height

    def figure_height(self, size: float, style: str = "normal", weight: int = 400) -> float:
        return size * self.face(style, weight).figure_height


@functools.cache
def load_faces() -> Faces:
    """The text faces of the installed font package.

    ModuleNotFoundError where the package is not installed.
    """
    folder = Path(str(importlib.resources.files(PACKAGE) / "files"))
    return Faces(
        FAMILY,
        tuple(read_face(folder / name, FAMILY, style, weight) for name, style, weight in FILES),
    )


def read_face(path: Path, family: str, style: str, weight: int) -> Face:
    """One TrueType file as a `Face`. OSError where it cannot be read."""
    with TTFont(path, lazy=True) as font:
        em = font["head"].unitsPerEm
        glyphs = {chr(code): glyph for code, glyph in font.getBestCmap().items()}
        outlines = font["glyf"]
        advances = {char: font["hmtx"][glyph][0] / em for char, glyph in glyphs.items()}

        def top(chars: Iterable[str]) -> float:
            return max(float(outlines[glyphs[char]].yMax / em) for char in chars)

        return Face(
            family=family,
            style=style,
            weight=weight,
            path=path,
            ascent=font["hhea"].ascent / em,
            descent=-font["hhea"].descent / em,
            cap_height=top("H"),
            x_height=top("x"),
            figure_height=top(FIGURES),
            advances=_spaces(advances[" "]) | advances,
        )


def font_face_css(faces: Faces) -> str:
    """One @font-face rule a face, its source a file:// address on this machine."""
    return "\n".join(
        f'@font-face {{ font-family: "{face.family}"; font-style: {face.style}; '
        f'font-weight: {face.weight}; src: url("{face.path.as_uri()}") }}'
        for face in faces.faces
    )


def _spaces(word_space: float) -> dict[str, float]:
    return MADE_SPACE | {char: share * word_space for char, share in SHARED_SPACE.items()}


def _named(char: str) -> str:
    return f"“{char}” (U+{ord(char):04X})"
