"""Our SVG read by other people's libraries.

`svgelements` reads the geometry back: sizes, closed subpaths and the box of
every sign, with its own arithmetic of units, view boxes and cubics. The XML
parser of the standard library holds every document against the grammar that
`svg/draw.py` states, so that whoever reads it needs paths and text only.
Source of the grammar's words: W3C, *Scalable Vector Graphics (SVG) 2*.
"""

from __future__ import annotations

import io
import re
import xml.etree.ElementTree as ET
from functools import cache
from itertools import islice
from pathlib import Path

import pytest
import svgelements

from stavebound.engrave.system import System
from stavebound.geometry import Box
from stavebound.svg.staves import draw_staves
from tests.support.ink import dot_boxes, stave_lines
from tests.support.sources import score_of
from tests.support.staves import FACES, engraved

FOLDER = Path(__file__).parents[1] / "cases" / "engrave"
CASES = sorted(path.stem for path in FOLDER.glob("*.xml") if not path.name.endswith(".style.xml"))
# svgelements counts in pixels of which CSS has 96 to the inch.
PIXEL = 25.4 / 96

NAMESPACE = "{http://www.w3.org/2000/svg}"
ATTRIBUTES = {
    "svg": {"width", "height", "viewBox"},
    "title": set(),
    "path": {"d"},
    "text": {"x", "y", "font-family", "font-style", "font-weight", "font-size", "aria-label"},
}
NUMBER = r"-?\d+(\.\d{1,3})?"
POINT = f"{NUMBER},{NUMBER}"
FIGURE = re.compile(f"M{POINT}((L{POINT})+|(C{POINT} {POINT} {POINT})+)Z")

cases = pytest.mark.parametrize("case", CASES)


@cache
def systems_of(case: str) -> tuple[System, ...]:
    text = (FOLDER / f"{case}.xml").read_text(encoding="utf-8")
    return engraved(score_of(text, case)).systems


def document(system: System) -> svgelements.SVG:
    return svgelements.SVG.parse(io.StringIO(draw_staves(system, FACES, "A line")))


def subpaths(document: svgelements.SVG) -> list[list[svgelements.Path]]:
    """The subpaths of every path, in the order of the document."""
    return [
        [svgelements.Path(part) for part in element.as_subpaths()]
        for element in document.elements()
        if isinstance(element, svgelements.Path)
    ]


def read_box(part: svgelements.Path, system: System) -> Box:
    """A subpath's box in spaces, as the engraver counts them."""
    left, top, right, bottom = (side * PIXEL / system.space for side in part.bbox())
    box = system.box
    return Box(box.left + left, box.top - bottom, box.left + right, box.top - top)


def agree(read: Box, placed: Box, system: System) -> None:
    """To a hundredth of a millimetre."""
    for side in ("left", "bottom", "right", "top"):
        apart = abs(getattr(read, side) - getattr(placed, side)) * system.space
        assert apart < 0.01, (side, read, placed)


@cases
def test_a_document_is_as_large_as_its_box(case: str) -> None:
    for system in systems_of(case):
        read = document(system)
        assert float(read.width) * PIXEL == pytest.approx(
            system.box.width * system.space, abs=0.001
        )
        assert float(read.height) * PIXEL == pytest.approx(
            system.box.height * system.space, abs=0.001
        )


@cases
def test_every_pen_draws_just_the_figures_of_the_system(case: str) -> None:
    for system in systems_of(case):
        (stave,) = system.staves
        figures = [
            len(stave_lines(system)),
            len(list(dot_boxes(system))),
            len(stave.rules) - len(stave_lines(system)),
            sum(len(sign.figures) for sign in stave.signs)
            + sum(len(way.figures) for way in stave.ways)
            + sum(len(bow.figures) for bow in stave.phrasings)
            + sum(len(line.figures) for line in stave.lasting)
            + sum(len(mark.figures) for mark in stave.marks),
        ]
        read = subpaths(document(system))
        assert [len(pen) for pen in read] == [count for count in figures if count]
        for part in (part for pen in read for part in pen):
            assert isinstance(part[-1], svgelements.Close)
            assert sum(isinstance(piece, svgelements.Move) for piece in part) == 1


@cases
def test_signs_lie_where_the_engraver_put_them(case: str) -> None:
    for system in systems_of(case):
        parts = iter(subpaths(document(system))[-1])
        for sign in system.staves[0].signs:
            boxes = [read_box(part, system) for part in islice(parts, len(sign.figures))]
            read = Box(
                min(box.left for box in boxes),
                min(box.bottom for box in boxes),
                max(box.right for box in boxes),
                max(box.top for box in boxes),
            )
            agree(read, sign.box, system)


@cases
def test_rules_lie_where_the_engraver_put_them(case: str) -> None:
    for system in systems_of(case):
        pens = subpaths(document(system))
        (stave,) = system.staves
        for part, rule in zip(pens[0], stave_lines(system), strict=True):
            agree(read_box(part, system), rule.box, system)
        bars = [rule for rule in stave.rules if rule.pen == "bar"]
        for part, rule in zip(pens[-2], bars, strict=True):
            agree(read_box(part, system), rule.box, system)


@cases
def test_a_document_keeps_to_its_grammar(case: str) -> None:
    for system in systems_of(case):
        root = ET.fromstring(draw_staves(system, FACES, "A line"))
        names = [element.tag.removeprefix(NAMESPACE) for element in root.iter()]
        order = ["svg", "title", "path", "text"]
        assert names == sorted(names, key=order.index)
        assert names.count("svg") == names.count("title") == 1
        for element, name in zip(root.iter(), names, strict=True):
            assert set(element.attrib) <= ATTRIBUTES[name]
            assert all(not len(child) for child in element)
        for path in root.findall(f"{NAMESPACE}path"):
            assert set(path.attrib) == {"d"}
            assert re.sub(FIGURE, "", path.attrib["d"]) == ""


@cases
def test_texts_are_the_engraver_s_and_have_a_place_or_one_a_letter(case: str) -> None:
    for system in systems_of(case):
        root = ET.fromstring(draw_staves(system, FACES))
        words = []
        for element in root.findall(f"{NAMESPACE}text"):
            text, places = element.text or "", element.attrib["x"].split()
            assert len(places) in (1, len(text))
            words.append(text)
        assert sorted("".join(words)) == sorted("".join(text.text for text in system.texts))


@cases
def test_every_text_begins_where_the_engraver_put_it(case: str) -> None:
    for system in systems_of(case):
        root = ET.fromstring(draw_staves(system, FACES))
        found = set()
        for element in root.findall(f"{NAMESPACE}text"):
            for letter, place in zip(element.text or "", element.attrib["x"].split(), strict=False):
                found.add((letter, round(float(place), 2)))
        for text in system.texts:
            left = (text.x - system.box.left) * system.space
            near = {(text.text[0], round(left + step / 100, 2)) for step in (-1, 0, 1)}
            assert near & found, text
