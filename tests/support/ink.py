"""What an engraved line prints, as boxes."""

from __future__ import annotations

from collections.abc import Iterator
from functools import cache

from fontTools.ttLib import TTFont

from stavebound.engrave.system import PlacedText, Rule, System
from stavebound.faces import load_faces
from stavebound.geometry import Box, union

FACES = load_faces()


@cache
def _glyphs(italic: bool, weight: int) -> dict[str, Box | None]:
    """The ink of every character in em, from the face's own outlines."""
    with TTFont(FACES.face("italic" if italic else "normal", weight).path) as font:
        em, outlines = font["head"].unitsPerEm, font["glyf"]
        return {chr(code): _glyph(outlines[name], em) for code, name in font.getBestCmap().items()}


def _glyph(outline: object, em: int) -> Box | None:
    if getattr(outline, "numberOfContours", 0) == 0:
        return None
    return Box(*(getattr(outline, side) / em for side in ("xMin", "yMin", "xMax", "yMax")))


def glyph_boxes(text: PlacedText) -> tuple[Box, ...]:
    """The ink of a text letter by letter, as the face draws it."""
    style = "italic" if text.italic else "normal"
    x, boxes = text.x, []
    for letter in text.text:
        if glyph := _glyphs(text.italic, text.weight)[letter]:
            boxes.append(_at(glyph, text.size, x, text.y))
        x += FACES.width(letter, text.size, style, text.weight)
    return tuple(boxes)


def _at(glyph: Box, size: float, x: float, y: float) -> Box:
    sides = (glyph.left, glyph.bottom, glyph.right, glyph.top)
    return Box(*(side * size for side in sides)).moved(x, y)


def white(a: Box, b: Box) -> float:
    """How far two boxes are apart, across or up and down; below 0 they overlap."""
    across = max(a.left - b.right, b.left - a.right)
    upright = max(a.bottom - b.top, b.bottom - a.top)
    return max(across, upright)


def dot_boxes(system: System) -> Iterator[Box]:
    """The dots of the learner's centre lines."""
    for stave in system.staves:
        for axis in stave.axes:
            for y in axis.dots:
                yield Box(axis.x, y, axis.x, y).grown(system.centre_dot / 2)


def ink_of(system: System) -> Iterator[tuple[str, Box]]:
    """Everything that is printed, each with words that name it."""
    for stave in system.staves:
        for rule in stave.rules:
            yield f"{rule.pen} line at {rule.x1:.2f}", rule.box
        for sign in stave.signs:
            yield f"{sign.sign} at {sign.x:.2f}, {sign.y:.2f}", sign.box
        for mark in stave.marks:
            yield f"{mark.name} at {mark.box.left:.2f}", mark.box
    for box in dot_boxes(system):
        yield f"centre dot at {box.left:.2f}", box
    for text in system.texts:
        yield f"{text.lane} “{text.text}”", union(glyph_boxes(text))


def bar_lines(system: System) -> tuple[Rule, ...]:
    """The bar lines from left to right."""
    rules = (rule for stave in system.staves for rule in stave.rules if rule.pen == "bar")
    return tuple(sorted(rules, key=lambda rule: rule.x1))


def stave_lines(system: System) -> tuple[Rule, ...]:
    return tuple(rule for stave in system.staves for rule in stave.rules if rule.pen == "stave")


def texts_in(system: System, *lanes: str) -> tuple[PlacedText, ...]:
    return tuple(text for text in system.texts if text.lane in lanes)
