"""SVG: numbers, texts and figures as the grammar has them."""

from __future__ import annotations

import xml.etree.ElementTree as ET
from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st

from stavebound.drawing.figures import Figure
from stavebound.engrave.outline import outline, sign_box
from stavebound.engrave.system import Axis, PlacedText, Rule, Stave, System
from stavebound.engrave.texts import placed_text
from stavebound.geometry import Box, bounds
from stavebound.svg.numbers import number
from stavebound.svg.staves import draw_staves
from tests.support.staves import CATALOGUE, FACES

SVG = "{http://www.w3.org/2000/svg}"
# A line of music 40 spaces of 2 mm wide, with nothing on it.
EMPTY = System((Stave(0.0, (), (), ()),), (), Box(0, -2, 40, 6), (1, 1), 2.0, 0.06)


def with_texts(*texts: PlacedText) -> System:
    return replace(EMPTY, texts=texts)


def text_of(lane: str, text: str, x: float, y: float = 5.0, size: float = 1.5) -> PlacedText:
    row = CATALOGUE.lanes.texts[lane]
    return placed_text(row, text, x, y, size, FACES.width(text, size))


def elements(svg: str, name: str) -> list[ET.Element]:
    return ET.fromstring(svg).findall(f"{SVG}{name}")


# ---------------------------------------------------------------- numbers


@pytest.mark.parametrize(
    ("value", "text"),
    [
        (0.0, "0"),
        (-0.0, "0"),
        (-0.0004, "0"),
        (1.0, "1"),
        (100.0, "100"),
        (0.5, "0.5"),
        (-1.25, "-1.25"),
        (1 / 3, "0.333"),
        (2 / 3, "0.667"),
        (115.0001, "115"),
    ],
)
def test_a_number_is_short_and_exact_to_a_thousandth(value: float, text: str) -> None:
    assert number(value) == text


@given(st.floats(-2000, 2000))
def test_a_number_reads_back_to_a_thousandth_and_never_in_powers(value: float) -> None:
    text = number(value)
    assert float(text) == pytest.approx(value, abs=0.00051)
    assert set(text) <= set("-.0123456789")
    assert number(float(text)) == text


# ---------------------------------------------------------------- the document


def test_an_empty_line_is_an_empty_document_of_its_size() -> None:
    svg = draw_staves(EMPTY, FACES)
    assert svg == (
        '<svg xmlns="http://www.w3.org/2000/svg" width="80mm" height="16mm" '
        'viewBox="0 0 80 16">\n</svg>\n'
    )


def test_a_title_stands_first_and_its_letters_are_safe() -> None:
    root = ET.fromstring(draw_staves(EMPTY, FACES, "Pliés <1> & “2”"))
    assert root[0].tag == f"{SVG}title"
    assert root[0].text == "Pliés <1> & “2”"


def test_heights_are_turned_over_and_lengths_in_millimetres() -> None:
    stave = Stave(0.0, (Rule("stave", 0, 4, 40, 4, 0.1),), (), ())
    (path,) = elements(draw_staves(replace(EMPTY, staves=(stave,)), FACES), "path")
    # 4 spaces up lie 2 spaces under the top of the box, and half the width to either side.
    assert path.get("d") == "M0,4.1L0,3.9L80,3.9L80,4.1Z"


def test_pens_come_in_their_order_and_empty_ones_not_at_all() -> None:
    rules = (Rule("bar", 9, 0, 9, 4, 0.1), Rule("stave", 0, 0, 40, 0, 0.1))
    stave = Stave(0.0, rules, (Axis(20, (1.0, 2.0)),), ())
    paths = elements(draw_staves(replace(EMPTY, staves=(stave,)), FACES), "path")
    assert [path.get("d", "").count("M") for path in paths] == [1, 2, 1]


def test_a_second_stave_stands_on_its_own_floor() -> None:
    line = Rule("stave", 0, 0, 40, 0, 0.1)
    staves = (Stave(0.0, (line,), (), ()), Stave(10.0, (line,), (), ()))
    system = replace(EMPTY, staves=staves, box=Box(0, -2, 40, 16))
    (path,) = elements(draw_staves(system, FACES), "path")
    assert path.get("d") == "M0,32.1L0,31.9L80,31.9L80,32.1ZM0,12.1L0,11.9L80,11.9L80,12.1Z"


# ---------------------------------------------------------------- texts


def test_counts_of_a_row_are_one_element_with_a_place_for_every_letter() -> None:
    counts = (text_of("counts", "12", 3), text_of("counts", "1", 1), text_of("counts", "½", 7))
    (element,) = elements(draw_staves(with_texts(*counts), FACES), "text")
    assert element.text == "112½"
    second = 3 + FACES.width("1", 1.5)
    places = [float(x) for x in element.get("x", "").split()]
    assert places == pytest.approx([2, 6, 2 * second, 14], abs=0.001)
    assert element.get("y") == "2"
    assert element.get("font-size") == "3"
    assert element.get("font-style") is None


def test_counts_and_syllables_of_another_size_are_elements_of_their_own() -> None:
    row = (text_of("counts", "1", 1), text_of("counts", "&", 3, size=1.2))
    found = elements(draw_staves(with_texts(*row), FACES), "text")
    assert [(element.text, element.get("font-size")) for element in found] == [
        ("&", "2.4"),
        ("1", "3"),
    ]


def test_running_words_are_an_element_each_with_one_place() -> None:
    words = (text_of("step", "demi-plié & <élevé>", 3, -1), text_of("cue", "far off", 9))
    found = elements(draw_staves(with_texts(*words), FACES), "text")
    assert [(element.text, element.get("x")) for element in found] == [
        ("demi-plié & <élevé>", "6"),
        ("far off", "18"),
    ]
    assert {element.get("font-style") for element in found} == {"italic"}
    assert {element.get("font-family") for element in found} == {f"{FACES.family}, serif"}


# ---------------------------------------------------------------- outlines

signs = pytest.mark.parametrize("name", sorted(CATALOGUE.signs))


@signs
def test_a_sign_is_closed_figures_inside_its_box(name: str) -> None:
    sign = CATALOGUE.sign(name)
    figures = outline(sign)
    rings = 2 * len(sign.rings)
    assert len(figures) == len(sign.strokes) + len(sign.discs) + len(sign.curves) + rings > 0
    assert sign_box(sign) == bounds(point for figure in figures for point in figure.points)
    for figure in figures:
        if figure.curved:
            assert len(figure.points) % 3 == 1
            assert figure.points[0] == figure.points[-1]


@signs
def test_a_mirrored_sign_is_the_sign_turned_over(name: str) -> None:
    sign = CATALOGUE.sign(name)
    box, turned = sign_box(sign), sign_box(sign, mirrored=True)
    assert (turned.left, turned.right) == (-box.right, -box.left)
    assert (turned.bottom, turned.top) == (box.bottom, box.top)


@signs
def test_no_part_of_a_sign_is_finer_than_print_allows(name: str) -> None:
    """0.09 mm on the smallest stave, whose spaces are 1.75 mm."""
    sign = CATALOGUE.sign(name)
    lines = (*sign.strokes, *sign.discs, *sign.rings, *sign.curves)
    assert min(line[-1] for line in lines) * 7 / 4 >= 0.09


@signs
def test_a_sign_is_small_and_sits_round_its_own_centre(name: str) -> None:
    box = sign_box(CATALOGUE.sign(name))
    assert max(box.width, box.height) <= 0.95
    if name not in ("hook", "tail", "touch", "touch at the calf", "wrapped"):
        assert box.left == pytest.approx(-box.right, abs=0.005)
        assert box.bottom == pytest.approx(-box.top, abs=0.005)


def test_a_disc_is_round_to_a_thousandth_of_its_size() -> None:
    """Points along its cubics are as far from the centre as its radius."""
    (figure,) = outline(CATALOGUE.sign("behind"))
    for index in range(0, len(figure.points) - 1, 3):
        cubic = figure.points[index : index + 4]
        for t in (step / 10 for step in range(11)):
            shares = ((1 - t) ** 3, 3 * t * (1 - t) ** 2, 3 * t * t * (1 - t), t**3)
            x = sum(share * point.x for share, point in zip(shares, cubic, strict=True))
            y = sum(share * point.y for share, point in zip(shares, cubic, strict=True))
            assert x * x + y * y == pytest.approx(0.175**2, rel=0.001)


def test_the_hole_of_a_ring_runs_against_its_rim() -> None:
    """So that a reader who fills by winding, as SVG does unless told otherwise, leaves it open."""
    rim, hole = outline(CATALOGUE.sign("straight again"))
    assert area(rim) * area(hole) < 0
    assert abs(area(hole)) < abs(area(rim))


def area(figure: Figure) -> float:
    """Of the polygon through the points, with the sign of its sense."""
    around = zip(figure.points, (*figure.points[1:], figure.points[0]), strict=True)
    return sum(a.x * b.y - b.x * a.y for a, b in around) / 2
