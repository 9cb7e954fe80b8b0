"""SVG as two programs show it that are not ours: resvg, which is given no fonts, and PDFium,
which shows the press's PDF."""

from __future__ import annotations

import io

import pypdfium2
import resvg_py
from PIL import Image, ImageChops, ImageFilter

from stavebound.engrave.parts import Setting
from stavebound.press import Chapter, press_chapters

DPI = 300
# Of 255: what is ink for certain, and the lightest that may stand for it a pixel beside.
INK, TRACE = 96, 176
CSS = "@page { size: 120mm 60mm; margin: 0 } html, body, img { margin: 0; display: block }"


def without_fonts(svg: str) -> Image.Image:
    data = resvg_py.svg_to_bytes(
        svg_string=svg, skip_system_fonts=True, background="#ffffff", dpi=DPI
    )
    return Image.open(io.BytesIO(data)).convert("L")


def in_print(svg: str, setting: Setting) -> Image.Image:
    """A page of 120 by 60 mm with the picture in its upper left corner."""
    body = '<img src="stave:line" alt="a">'
    html = f'<!DOCTYPE html><html lang="en"><title>A</title><body>{body}</body></html>'
    (part,) = press_chapters([Chapter("one", html, (("line", svg),), css=CSS)], setting.faces)
    with pypdfium2.PdfDocument(part.pdf) as document:
        found: Image.Image = document[0].render(scale=DPI / 72).to_pil().convert("L")
    return found


def apart(one: Image.Image, page: Image.Image) -> int:
    """How many pixels of a picture and of the page with it in its corner are ink in one and not
    even nearly so in the other."""
    other = page.crop((0, 0, *one.size))
    return _lost(one, other) + _lost(other, one)


def _lost(one: Image.Image, other: Image.Image) -> int:
    ink = one.point(lambda grey: 255 * (grey < INK))
    bare = other.filter(ImageFilter.MinFilter(3)).point(lambda grey: 255 * (grey > TRACE))
    return ImageChops.multiply(ink, bare).histogram()[255]
