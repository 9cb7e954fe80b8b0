"""What an engraved line prints: its ink as boxes, and its geometry in words."""

from __future__ import annotations

from collections.abc import Iterator
from functools import cache

from fontTools.ttLib import TTFont

from stavebound.engrave.cost import Line
from stavebound.engrave.engraving import Engraved
from stavebound.engrave.system import PlacedText, Rule, System
from stavebound.faces import REGULAR, load_faces
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


def described(result: Engraved) -> str:
    """The geometry in words: a line for each sign, text and bar line, in spaces to two places.

    Signs show by how much they were moved for clearance; a stave's five rules,
    which differ in nothing but height, are one line, and so are an axis's dots.
    """
    return "\n".join(
        text
        for line, system in zip(result.lines, result.systems, strict=True)
        for text in (*_of_line(line, system), *_of_system(system), "")
    )


def _of_line(line: Line, system: System) -> Iterator[str]:
    costs = ", ".join(f"{name} {cost:.1f}" for name, cost in line.costs.items() if cost)
    box = system.box
    yield f"bars {system.bars[0]} to {system.bars[1]}, ratio {_two(line.ratio)}: {costs}"
    yield f"box     {_two(box.left)} {_two(box.bottom)} to {_two(box.right)} {_two(box.top)}"


def _of_system(system: System) -> Iterator[str]:
    for stave in system.staves:
        lines = [rule for rule in stave.rules if rule.pen == "stave"]
        heights = " ".join(f"{rule.y1:g}" for rule in lines)
        yield f"stave   {_two(lines[0].x1)} to {_two(lines[0].x2)} at {heights}"
        for rule in bar_lines(system):
            yield f"bar     {_two(rule.x1)} {_two(rule.y1)} to {_two(rule.y2)}, {_two(rule.width)}"
        for axis in stave.axes:
            yield f"axis    {_two(axis.x)}, {len(axis.dots)} dots"
        for sign in stave.signs:
            limbs = ", ".join(f"{limb.side} {limb.kind}" for limb in sign.limbs)
            shift = f", moved {_two(sign.dx)} {_two(sign.dy)}" if sign.dx or sign.dy else ""
            yield f"sign    {_two(sign.x)} {_two(sign.y)} {sign.sign} ({limbs}){shift}"
        for way in stave.ways:
            first, middle, last = (way.along[at] for at in (0, len(way.along) // 2, -1))
            spots = " ".join(f"{_two(x)} {_two(y)}" for x, y in (first, middle, last))
            mark = f", {way.mark}" if way.mark else ""
            yield f"{way.kind:<7} {spots} ({way.limb}){mark}"
        for bow in stave.phrasings:
            spots = " ".join(f"{_two(x)} {_two(y)}" for x, y in bow.ends)
            sides = zip(("left", "right"), bow.is_open, strict=True)
            opened = "".join(f", open at its {side}" for side, is_open in sides if is_open)
            yield f"phrased {spots}, up to {_two(bow.box.top)}{opened}"
        for one in stave.marks:
            box = one.box
            spots = f"{_two(box.left)} {_two(box.bottom)} to {_two(box.right)} {_two(box.top)}"
            yield f"{one.lane:<7} {spots} {one.name}"
    for text in system.texts:
        slant, heavy = " italic" * text.italic, " bold" * (text.weight != REGULAR)
        size = f"{_two(text.size)}{slant}{heavy}"
        yield f"{text.lane:<7} {_two(text.x)} {_two(text.y)} “{text.text}” {size}"


def _two(value: float) -> str:
    """Two places, and never a minus before nought."""
    return f"{round(value, 2) + 0.0:.2f}"
