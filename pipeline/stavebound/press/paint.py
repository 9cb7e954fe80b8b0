"""Staves painted straight into the page, without an SVG renderer in between.

In: a stave's SVG in the grammar of `svg/draw.py`, and the faces. Out: what WeasyPrint
takes for an image: an object that tells its size and draws itself into a page's
stream. It always holds that the ink is the SVG's own, figure for figure and to its
last digit, in the black of the text or in the ink that it names; that words stay words
in the faces that the chapter embeds, so that they can be searched; and that an SVG with
anything else in it is refused.

What an image must have, and `add_font`, are WeasyPrint's own affair: its version is pinned,
and `tests/test_paint.py` holds what is used here against it.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from functools import partial
from itertools import chain
from typing import Any
from xml.etree import ElementTree

from weasyprint.text.ffi import ffi, gobject, pango
from weasyprint.text.fonts import FontConfiguration, get_font_description

from stavebound.faces import Face, Faces
from stavebound.press.letters import in_reading_order, runs_of, shown, unseen
from stavebound.press.operators import NUMBER, PATH, coloured, filled, ink_of
from stavebound.press.values import PressError

# CSS pixels to a millimetre.
PIXELS = 96 / 25.4
# The size at which a face is asked for, in CSS pixels; it is set in any.
NOMINAL = 16

NAMESPACE = "{http://www.w3.org/2000/svg}"
KNOWN = {NAMESPACE + name for name in ("svg", "title", "desc", "path", "text")}
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
            texts = (runs_of(text, ink.faces) for text in root.iter(NAMESPACE + "text"))
            self._texts = in_reading_order(tuple(chain.from_iterable(texts)), self._edge())
            self._said = root.findtext(NAMESPACE + "desc", "")
        except (ElementTree.ParseError, ValueError) as fault:
            raise PressError(f"stave:{name} is not in the grammar of staves: {fault}") from None

    def _edge(self) -> float:
        """Where the first figure begins: of a stave, its left end."""
        return min((float(path[1:].partition(",")[0]) for path, _ in self._paths[:1]), default=0.0)

    def get_intrinsic_size(
        self, _resolution: float, _font_size: float
    ) -> tuple[float, float, float]:
        """Width and height in CSS pixels, and their ratio."""
        return self._width * PIXELS, self._height * PIXELS, self._width / self._height

    def draw(self, stream: Any, width: float, height: float, _style: object) -> None:
        """Draw into a page's stream, from where it stands to the right and downwards."""
        stream.transform(a=width / self._width, d=height / self._height)
        stream.set_color_rgb(0, 0, 0)
        stream.stream.append("\n".join(self._operators(stream)).encode())

    def _operators(self, stream: Any) -> Iterator[str]:
        fonts = partial(self._ink.font, stream=stream)
        for path, ink in self._paths:
            yield coloured(filled(path), ink)
        if self._texts:
            yield from ("BT", *shown(self._texts, fonts), "ET")
        if self._said:
            yield from unseen(self._said, self._width, self._height, self._ink.faces, fonts)


def _millimetres(root: ElementTree.Element, side: str) -> float:
    found = SIZE.fullmatch(root.get(side, ""))
    if found is None:
        raise ValueError(f"its {side} is not in millimetres")
    return float(found[1])


def _path(element: ElementTree.Element) -> tuple[str, str]:
    """Its figures and its ink."""
    path = element.get("d", "")
    if not PATH.fullmatch(path) or element.attrib.keys() - {"d", "fill"}:
        raise ValueError("a path is not made of closed figures alone")
    return path, ink_of(element)
