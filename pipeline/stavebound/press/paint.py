"""Staves painted straight into the page, without an SVG renderer in between.

In: a stave's SVG in the grammar of `svg/draw.py`, and the faces. Out: what WeasyPrint
takes for an image: an object that tells its size and draws itself into a page's
stream. It always holds that the ink is the SVG's own, figure for figure and to its
last digit, in the black of the text; that words stay words in the faces that the
chapter embeds, so that they can be searched; and that an SVG with anything else in
it is refused.

    SVG     M0,0L0,1L9,1Z             M0,0C1,1 2,1 3,0Z
    PDF     0 0 m 0 1 l 9 1 l h       0 0 m 1 1 2 1 3 0 c h

What an image must have, `add_font`, and a font's `hash`, `widths` and `to_unicode` are
WeasyPrint's own affair: its version is pinned, and `tests/test_paint.py` holds what is
used here against it. Source of the operators: ISO 32000-1, 8.5 and 9.4.
"""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from functools import lru_cache
from itertools import chain, groupby
from typing import Any
from xml.etree import ElementTree

from weasyprint.text.ffi import ffi, gobject, pango
from weasyprint.text.fonts import FontConfiguration, get_font_description

from stavebound.faces import REGULAR, Face, Faces
from stavebound.press.values import PressError
from stavebound.svg.numbers import number

# CSS pixels to a millimetre.
PIXELS = 96 / 25.4
# The size at which a face is asked for, in CSS pixels; it is set in any.
NOMINAL = 16
# Places within a text count in thousandths of its size (ISO 32000-1, 9.4.3).
THOUSAND = 1000
# How far apart letters may be that follow each other, in millimetres: SVG rounds each place.
TOUCHING = 0.002

# How many figures straight below each other are worth a place of their own to begin from.
COLUMN = 4

NAMESPACE = "{http://www.w3.org/2000/svg}"
KNOWN = {NAMESPACE + name for name in ("svg", "title", "path", "text")}
NUMBER = r"-?\d++(?:\.\d++)?+"
POINT = f"{NUMBER},{NUMBER}"
PATH = re.compile(f"(?:M{POINT}(?:(?:L{POINT})++|(?:C{POINT} {POINT} {POINT})++)Z)++")
# A box, gone round from a corner with a level side first, or with an upright one.
BOX = re.compile(r"M([^,]+),([^L]+)(?:L([^,]+),\2L\3,([^L]+)L\1,\4|L\1,([^L]+)L([^,]+),\5L\6,\2)")
SIZE = re.compile(f"({NUMBER})mm")


class PageFaces:
    """The faces of a chapter, as the pages of its document know them."""

    def __init__(self, faces: Faces, configuration: FontConfiguration) -> None:
        self.faces = faces
        self.configuration = configuration
        context = pango.pango_font_map_create_context(configuration.font_map)
        self._context = ffi.gc(context, gobject.g_object_unref)
        self._loaded: dict[tuple[str, int], Any] = {}

    def font(self, face: Face, stream: Any) -> Any:
        """WeasyPrint's font for a face, which the stream's document embeds from now on."""
        key = face.style, face.weight
        if key not in self._loaded:
            wanted = get_font_description(_described(face))
            fonts = self.configuration.font_map
            font = pango.pango_font_map_load_font(fonts, self._context, wanted)
            self._loaded[key] = ffi.gc(font, gobject.g_object_unref)
        return stream.add_font(self._loaded[key])[0]


def _described(face: Face) -> dict[str, object]:
    """A face in CSS properties."""
    return {
        "font_family": (face.family,),
        "font_style": face.style,
        "font_weight": face.weight,
        "font_size": NOMINAL,
        "font_stretch": "normal",
        "font_variant_caps": "normal",
        "font_variation_settings": "normal",
    }


@dataclass(frozen=True, slots=True)
class _Run:
    """Letters one behind the other, from a place in millimetres from the upper left corner."""

    y: float
    x: float
    letters: str
    size: float
    face: Face


class Painting:
    """A stave as WeasyPrint sees an image."""

    def __init__(self, name: str, svg: str, ink: PageFaces) -> None:
        """PressError, with the stave's name, where the SVG is not in the grammar."""
        self._ink = ink
        try:
            root = ElementTree.fromstring(svg)
            if strange := {element.tag for element in root.iter()} - KNOWN:
                raise ValueError(f"it has {', '.join(sorted(strange))}")
            self._width, self._height = _millimetres(root, "width"), _millimetres(root, "height")
            self._paths = tuple(_path(path) for path in root.iter(NAMESPACE + "path"))
            texts = (_runs(text, ink.faces) for text in root.iter(NAMESPACE + "text"))
            # In the order of reading, so that a search finds words that go on in a next row.
            self._runs = sorted(chain.from_iterable(texts), key=lambda run: (run.y, run.x))
        except (ElementTree.ParseError, ValueError) as fault:
            raise PressError(f"stave:{name} is not in the grammar of staves: {fault}") from None

    def get_intrinsic_size(
        self, _resolution: float, _font_size: float
    ) -> tuple[float, float, float]:
        """Width and height in CSS pixels, and their ratio."""
        return self._width * PIXELS, self._height * PIXELS, self._width / self._height

    def draw(self, stream: Any, width: float, height: float, _style: object) -> None:
        """Draw into a page's stream, from where it stands to the right and downwards."""
        stream.transform(a=width / self._width, d=height / self._height)
        stream.set_color_rgb(0, 0, 0)
        operators = [_outlined(path) for path in self._paths]
        if self._runs:
            shown = (_shown(run, self._ink.font(run.face, stream)) for run in self._runs)
            operators += ["BT", *shown, "ET"]
        stream.stream.append("\n".join(operators).encode())


def _millimetres(root: ElementTree.Element, side: str) -> float:
    found = SIZE.fullmatch(root.get(side, ""))
    if found is None:
        raise ValueError(f"its {side} is not in millimetres")
    return float(found[1])


def _path(element: ElementTree.Element) -> str:
    path = element.get("d", "")
    if not PATH.fullmatch(path) or len(element.attrib) > 1:
        raise ValueError("a path is not made of closed figures alone")
    return path


def _runs(element: ElementTree.Element, faces: Faces) -> Iterator[_Run]:
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
    begin = 0
    for at in range(1, len(xs)):
        if abs(xs[at - 1] + face.advances[letters[at - 1]] * size - xs[at]) > TOUCHING:
            yield _Run(float(element.get("y", "")), xs[begin], letters[begin:at], size, face)
            begin = at
    yield _Run(float(element.get("y", "")), xs[begin], letters[begin:], size, face)


def _outlined(path: str) -> str:
    """A path as operators, filled by the rule of SVG: whatever its figures go round.

    Figures that begin straight below each other and are alike across, such as the dots of
    a centre line, are written from there: so all columns read alike, and a packed page
    holds one of them.
    """
    single: list[str] = []
    columns: list[str] = []
    for x, figures in groupby(path.split("Z")[:-1], key=lambda figure: figure.partition(",")[0]):
        together = tuple(figures)
        column = _column(x[1:], together) if len(together) >= COLUMN else None
        if column:
            columns.append(column)
        else:
            single += together
    alone = [_filled("Z".join(single))] if single else []
    return "\n".join(alone + columns)


def _column(x: str, figures: Sequence[str]) -> str | None:
    """None where the figures are not alike across: then a corner is left in its old place."""
    origin, moved = float(x), "Z".join(figures).replace(f"M{x},", "m0,")
    for place in {corner.partition(",")[0] for corner in figures[0].split("L")[1:]}:
        moved = moved.replace(f"L{place},", f"l{number(float(place) - origin)},")
    if any(letter in moved for letter in "MLC"):
        return None
    return f"q 1 0 0 1 {x} 0 cm\n{_kept(moved.upper())} Q"


@lru_cache(maxsize=256)
def _kept(figures: str) -> str:
    return _filled(figures)


def _filled(figures: str) -> str:
    operators = "\n".join(map(_figure, figures.split("Z")))
    return f"{operators}\nf".replace(",", " ")


def _figure(figure: str) -> str:
    """The letter of an SVG command goes before its places, a PDF operator after them."""
    if box := BOX.fullmatch(figure):
        return _box(*box.groups())
    kind = "C" if "C" in figure else "L"
    operator = kind.lower()
    body = figure[1:].replace(kind, " m ", 1).replace(kind, f" {operator} ")
    return f"{body} {operator} h"


def _box(x: str, y: str, right: str | None, down: str, up: str, far: str) -> str:
    """Four upright and level sides have an operator of their own, which goes level first."""
    if right:
        return f"{x} {y} {_less(right, x)} {_less(down, y)} re"
    return f"{x} {up} {_less(far, x)} {_less(y, up)} re"


def _less(far: str, near: str) -> str:
    return number(float(far) - float(near))


def _shown(run: _Run, font: Any) -> str:
    glyphs = "".join(_glyphs(run, font))
    return f"/{font.hash} {run.size:g} Tf 1 0 0 -1 {run.x:g} {run.y:g} Tm [{glyphs}] TJ"


def _glyphs(run: _Run, font: Any) -> Iterator[str]:
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
