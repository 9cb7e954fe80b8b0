"""Engraved staves for the tests: how to get one, and how to look at it."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from functools import cache
from itertools import islice

from fontTools.ttLib import TTFont

from stavebound.engrave.columns import Column, Measure, measures
from stavebound.engrave.cost import Line
from stavebound.engrave.engraving import Engraved, engrave
from stavebound.engrave.parts import Setting
from stavebound.engrave.style import resolve_style
from stavebound.engrave.system import PlacedSign, PlacedText, Rule, System
from stavebound.faces import load_faces
from stavebound.geometry import Box, union
from stavebound.score.book import StyleSheet, read_style
from stavebound.score.counts import time_line
from stavebound.score.model import Score
from stavebound.score.pose import Posed
from stavebound.score.read import read_score
from stavebound.score.state import fold
from stavebound.source.document import Element
from stavebound.source.reading import parse_source
from stavebound.source.rules import NAMESPACE
from stavebound.source.schema import load_schema, schema_faults
from stavebound.trade.catalogue import load_catalogue
from stavebound.trade.tables import School

CATALOGUE = load_catalogue()
FACES = load_faces()
# The width of a line of music on A5 paper, in millimetres.
MEASURE = 115.0


def setting_of(*sheets: StyleSheet) -> Setting:
    return Setting(CATALOGUE, resolve_style(CATALOGUE.engraving, sheets), FACES)


SETTING = setting_of()


def school_of(score: Score) -> School:
    school = CATALOGUE.school(score.school or "english")
    assert school is not None
    return school


def root_of(text: str, shown: str) -> Element:
    """The root element of a source that the schema accepts."""
    parsed = parse_source(text, shown)
    assert parsed.value is not None, parsed.diagnostics
    assert schema_faults(parsed.value, load_schema()) == ()
    return parsed.value.root


def score_of(text: str, shown: str = "score.xml") -> Score:
    return read_score(root_of(text, shown))


def style_of(text: str, shown: str = "style.xml") -> StyleSheet:
    return read_style(root_of(text, shown))


def small_score(inside: str, music: str = '<music metre="4/4" counts-per-bar="4"/>') -> Score:
    """A score with a first line of its own, so that `inside` begins at line 2."""
    return score_of(f'<score xmlns="{NAMESPACE}" title="Small">{music}\n{inside}\n</score>')


def engraved(score: Score, width: float = MEASURE, setting: Setting = SETTING) -> Engraved:
    """The score on paper, where nothing is found wrong with it."""
    outcome = engrave(score, school_of(score), width, setting)
    assert outcome.diagnostics == ()
    assert outcome.value is not None
    return outcome.value


def poses_of(score: Score) -> tuple[Posed, ...]:
    """The pose of the start and of every frame."""
    start = score.start.changes if score.start else ()
    events = time_line(score).events
    return fold(
        (start, *(event.frame.changes for event in events)), CATALOGUE, school_of(score)
    )


def bars_of(score: Score, setting: Setting = SETTING) -> tuple[Measure, ...]:
    poses = poses_of(score)
    found = measures(
        time_line(score), poses[0], poses[1:], setting.catalogue, setting.style, setting.faces
    )
    return found.value or ()


def widest_bar(score: Score, setting: Setting = SETTING) -> float:
    """The least width in millimetres on which every bar stands whole."""
    wide = engrave(score, school_of(score), 1.0, setting).value
    assert wide is not None
    room = max(sum(gap.least for gap in line.run.gaps) for line in wide.lines)
    return room * setting.style.space


@dataclass(frozen=True, slots=True)
class Moment:
    """A column on its axis, with the signs that were placed for it, cluster by cluster."""

    column: Column
    axis: float
    clusters: tuple[tuple[PlacedSign, ...], ...]

    @property
    def signs(self) -> tuple[PlacedSign, ...]:
        return tuple(sign for cluster in self.clusters for sign in cluster)

    @property
    def box(self) -> Box | None:
        return union(sign.box for sign in self.signs) if self.signs else None


def moments_of(line: Line, system: System, bars: Sequence[Measure]) -> tuple[Moment, ...]:
    """The columns of a line beside what was placed for them."""
    columns = [column for bar in bars[line.start : line.end] for column in bar.columns]
    signs = iter(system.staves[0].signs)
    moments = []
    for column, axis in zip(columns, line.run.places(line.ratio)[:-1], strict=True):
        clusters = tuple(
            tuple(islice(signs, len(cleared.cluster.inks))) for cleared in column.signs
        )
        moments.append(Moment(column, axis, clusters))
    assert next(signs, None) is None
    return tuple(moments)


@cache
def _glyph_boxes(italic: bool) -> dict[str, Box | None]:
    """The ink of every character in em, from the face's own outlines."""
    with TTFont(FACES.face("italic" if italic else "normal").path) as font:
        em, outlines = font["head"].unitsPerEm, font["glyf"]
        return {
            chr(code): _scaled(outlines[glyph], em) for code, glyph in font.getBestCmap().items()
        }


def _scaled(glyph: object, em: int) -> Box | None:
    if getattr(glyph, "numberOfContours", 0) == 0:
        return None
    sides = (getattr(glyph, name) / em for name in ("xMin", "yMin", "xMax", "yMax"))
    return Box(*sides)


def glyph_boxes(text: PlacedText) -> tuple[Box, ...]:
    """The ink of a text letter by letter, as the face draws it."""
    style = "italic" if text.italic else "normal"
    x, boxes = text.x, []
    for letter in text.text:
        if glyph := _glyph_boxes(text.italic)[letter]:
            boxes.append(_at(glyph, text.size, x, text.y))
        x += FACES.width(letter, text.size, style)
    return tuple(boxes)


def _at(glyph: Box, size: float, x: float, y: float) -> Box:
    sides = (glyph.left, glyph.bottom, glyph.right, glyph.top)
    return Box(*(side * size for side in sides)).moved(x, y)


def ink_of(system: System) -> Iterator[tuple[str, Box]]:
    """Everything that is printed, each with words that name it."""
    for stave in system.staves:
        for rule in stave.rules:
            yield f"{rule.pen} line at {rule.x1:.2f}", rule.box
        for sign in stave.signs:
            yield f"{sign.sign} at {sign.x:.2f}, {sign.y:.2f}", sign.box
        for axis in stave.axes:
            for y in axis.dots:
                yield f"centre dot at {axis.x:.2f}", dot_box(axis.x, y, system)
    for text in system.texts:
        yield f"{text.lane} “{text.text}”", union(glyph_boxes(text))


def dot_box(x: float, y: float, system: System) -> Box:
    return Box(x, y, x, y).grown(system.centre_dot / 2)


def bar_lines(system: System) -> tuple[Rule, ...]:
    """The bar lines from left to right."""
    rules = (rule for stave in system.staves for rule in stave.rules if rule.pen == "bar")
    return tuple(sorted(rules, key=lambda rule: rule.x1))


def texts_in(system: System, lane: str) -> tuple[PlacedText, ...]:
    return tuple(text for text in system.texts if text.lane == lane)


def described(result: Engraved) -> str:
    """The geometry in words: a line for each sign, text and rule, in spaces to two places.

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
    for text in system.texts:
        slant = " italic" if text.italic else ""
        size = f"{_two(text.size)}{slant}"
        yield f"{text.lane:<7} {_two(text.x)} {_two(text.y)} “{text.text}” {size}"


def _two(value: float) -> str:
    """Two places, and never a minus before nought."""
    return f"{round(value, 2) + 0.0:.2f}"
