"""Outlines: the words of a line as figures, for a file that stands alone.

In: the SVG text that was proved, and the faces it is set in. Out: the same, in which every
text is there to be searched, selected and spoken, but shows nothing, and one path more for
each ink, the last ones, shows its letters, each where print has it. Taken off again, the
proved text is left, to the byte. The grammar of `svg/draw.py` grows by this:

    svg      := '<svg' size, viewBox '>' title? path* text* words? '</svg>'
    text     := … font-size="…" fill-opacity="0"
    words    := '<path aria-hidden="true" d="…"/>' for each ink, the outlines of its letters

A text whose fill is none, or that is hidden, can't be selected in every browser, or is not
spoken; one that is filled with nothing can. Whoever speaks a document is not told of the path.
A face inside the file would show nothing where a renderer has no fonts at all.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from functools import cache
from html import unescape
from pathlib import Path
from typing import Any

from fontTools.pens.svgPathPen import SVGPathPen
from fontTools.pens.transformPen import TransformPen
from fontTools.ttLib import TTFont

from stavebound.faces import REGULAR, Face, Faces
from stavebound.svg.numbers import number

UNSEEN = ' fill-opacity="0"'
END = "</svg>\n"
TEXT = re.compile(
    r'<text x="(?P<xs>[^"]*)" y="(?P<y>[^"]*)" font-family="[^"]*"'
    r'(?: font-style="(?P<style>[^"]*)")?(?: font-weight="(?P<weight>[^"]*)")?'
    r' font-size="(?P<size>[^"]*)"(?P<fill>(?: fill="[^"]*")?)(?: aria-label="[^"]*")?'
)
FAMILY = re.compile(r'<text [^>]*font-family="([^",]*), serif"')
LETTERS = r">(?P<letters>[^<]*)</text>"
SEEN = re.compile(TEXT.pattern + LETTERS)
UNSEEN_TEXT = re.compile(f"({TEXT.pattern}){UNSEEN}>")
WORDS = re.compile(f'(?:<path aria-hidden="true"(?: fill="[^"]*")? d="[^"]*"/>\n)+(?={END}$)')


def with_outlines(svg: str, faces: Faces) -> str:
    """ValueError where the family lacks a face that a text asks for."""
    outlines: dict[str, list[str]] = {}
    for text in SEEN.finditer(svg):
        outlines.setdefault(text["fill"], []).extend(_words(text, faces))
    paths = "".join(
        f'<path aria-hidden="true"{fill} d="{"".join(figures)}"/>\n'
        for fill, figures in outlines.items()
        if figures
    )
    unseen = TEXT.sub(lambda text: text[0] + UNSEEN, svg) if paths else svg
    return f"{unseen.removesuffix(END)}{paths}{END}"


def without_outlines(svg: str) -> str:
    """The text that was proved; any other is left as it is."""
    return UNSEEN_TEXT.sub(r"\1>", WORDS.sub("", svg))


def outlines_hold(svg: str, faces: Faces) -> bool:
    """Whether the outlines in it, where it has any, are those of its words in these faces."""
    proved = without_outlines(svg)
    try:
        return svg in (proved, with_outlines(proved, faces))
    except ValueError:
        return False


def family_of(svg: str) -> str | None:
    """The family that its words are set in; None where it has no words."""
    found = FAMILY.search(svg)
    return found[1] if found else None


def _words(text: re.Match[str], faces: Faces) -> Iterator[str]:
    """The letters of a text, at places of their own or one behind the other; white space, and
    what the face has no glyph for, shows nothing."""
    face = faces.face(text["style"] or "normal", int(text["weight"] or REGULAR))
    letters, size, y = unescape(text["letters"]), float(text["size"]), float(text["y"])
    places = [float(x) for x in text["xs"].split(" ")]
    x = places[0]
    for at, letter in enumerate(letters):
        x = places[at] if at < len(places) else x
        if letter in face.glyphs:
            yield _letter(letter, x, y, size, face)
        x += face.advances.get(letter, 0.0) * size


def _letter(letter: str, x: float, y: float, size: float, face: Face) -> str:
    """In millimetres, y downwards; an outline has its y upwards, in units of the em."""
    names, glyphs, em = _glyphs(face.path)
    pen, scale = SVGPathPen(glyphs, ntos=number), size / em
    glyphs[names[ord(letter)]].draw(TransformPen(pen, (scale, 0, 0, -scale, x, y)))
    return str(pen.getCommands())


@cache
def _glyphs(path: Path) -> tuple[dict[int, str], Any, int]:
    """The names of a face's glyphs by character, the glyphs by name, and the units of its em."""
    font = TTFont(path)
    return font.getBestCmap(), font.getGlyphSet(), font["head"].unitsPerEm
