"""The text faces: where they lie, what they hold, how wide they run.

In: the families of faces.toml, static faces of installed packages. Out: `Faces`, a
value that measures text and tells which characters have no glyph, so that every string is
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
import hashlib
import importlib.resources
import tomllib
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field, replace
from pathlib import Path
from typing import Literal

from fontTools.ttLib import TTFont
from pydantic import BaseModel, ConfigDict

# The weights of what is set as usual, and of what stands out.
REGULAR, BOLD = 400, 600

FIGURES = "0123456789"
# What OpenType calls the small capitals of small letters.
SMALL_CAPITALS = "smcp"

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
    """One static face. All heights are in em; `descent` is positive, below the base line;
    `digest` is that of its file's bytes; `small_capitals` tells whether it has any of its own.

    `advances` gives each character's advance in em, `glyphs` the number of its glyph
    in the file; white space that the shaper makes has an advance alone. Cap, x and
    figure height are the tops of the outlines of H, x and the tallest figure.
    """

    family: str
    style: str
    weight: int
    path: Path
    digest: str
    small_capitals: bool
    ascent: float
    descent: float
    cap_height: float
    x_height: float
    figure_height: float
    advances: dict[str, float] = field(repr=False, compare=False)
    glyphs: dict[str, int] = field(repr=False, compare=False)


@dataclass(frozen=True, slots=True, eq=False)
class Faces:
    """The faces of one family. `style` is "normal" or "italic", `weight` 400, 600 or 700.

    `headings` are the faces in which a book's headings are set, where their family is
    another; measures are those of the text's.

    Every method raises ValueError for a style and weight that the family lacks.
    """

    family: str
    faces: tuple[Face, ...]
    headings: Faces | None = None

    @property
    def digest(self) -> str:
        """The same for the same faces, wherever their files lie."""
        faces = [(face.style, face.weight, face.digest) for face in self.faces]
        headings = self.headings and self.headings.digest
        return hashlib.sha256(repr((self.family, faces, headings)).encode()).hexdigest()

    @property
    def families(self) -> tuple[Faces, ...]:
        """The family of the text, and that of the headings where it is another."""
        return (self, self.headings) if self.headings else (self,)

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


class FaceRow(BaseModel):
    """A face of a family: its file in the package, its style and its weight."""

    model_config = ConfigDict(frozen=True, extra="forbid")

    file: str
    style: Literal["normal", "italic"]
    weight: Literal[400, 600, 700]


class Family(BaseModel):
    """A family of faces.toml: the package that holds it and its licence."""

    model_config = ConfigDict(frozen=True, extra="forbid")

    name: str
    package: str
    licence: str
    face: tuple[FaceRow, ...]


@functools.cache
def families() -> Mapping[str, Family]:
    """The families that the packaged table has, by name, the usual one first."""
    text = importlib.resources.files("stavebound").joinpath("faces.toml").read_text("utf-8")
    rows = (Family.model_validate(row) for row in tomllib.loads(text)["family"])
    return {row.name: row for row in rows}


@functools.cache
def load_faces(text: str | None = None, headings: str | None = None) -> Faces:
    """The faces of a family of the table, the usual one where none is named, with those of
    the headings; these are the text's own where none are named.

    KeyError for a family that the table lacks, ModuleNotFoundError where its package is
    not installed.
    """
    name = text or next(iter(families()))
    other = None if headings in (None, name) else load_faces(headings)
    return replace(_family_faces(families()[name]), headings=other)


@functools.cache
def _family_faces(family: Family) -> Faces:
    folder = Path(str(importlib.resources.files(family.package) / "files"))
    return Faces(
        family.name,
        tuple(
            read_face(folder / row.file, family.name, row.style, row.weight) for row in family.face
        ),
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
            digest=hashlib.sha256(path.read_bytes()).hexdigest(),
            small_capitals=SMALL_CAPITALS in _features(font),
            ascent=font["hhea"].ascent / em,
            descent=-font["hhea"].descent / em,
            cap_height=top("H"),
            x_height=top("x"),
            figure_height=top(FIGURES),
            advances=_spaces(advances[" "]) | advances,
            glyphs={char: font.getGlyphID(glyph) for char, glyph in glyphs.items()},
        )


def _features(font: TTFont) -> set[str]:
    """What the face can do besides one glyph a character, by the tags of OpenType."""
    if "GSUB" not in font:
        return set()
    return {record.FeatureTag for record in font["GSUB"].table.FeatureList.FeatureRecord}


def font_face_css(faces: Faces) -> str:
    """One @font-face rule a face of each family, its source a file:// address on this machine."""
    return "\n".join(
        f'@font-face {{ font-family: "{face.family}"; font-style: {face.style}; '
        f'font-weight: {face.weight}; src: url("{face.path.as_uri()}") }}'
        for family in faces.families
        for face in family.faces
    )


def _spaces(word_space: float) -> dict[str, float]:
    return MADE_SPACE | {char: share * word_space for char, share in SHARED_SPACE.items()}


def _named(char: str) -> str:
    return f"“{char}” (U+{ord(char):04X})"
