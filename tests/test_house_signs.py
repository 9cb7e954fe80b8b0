"""A house's signs: larger, heavier, drawn anew; what is engraved so reads back as written."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path
from random import Random

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from typer.testing import CliRunner

from stavebound.book.layouts import Asked
from stavebound.build.loading import load_project
from stavebound.build.manuscripts import manuscript_of
from stavebound.build.starting import start_book
from stavebound.build.values import House
from stavebound.check.books import check_style
from stavebound.cli import app
from stavebound.engrave.outline import sign_box
from stavebound.engrave.parts import Setting
from stavebound.readback.claims import ReadingKey
from stavebound.readback.read import read_svg
from stavebound.readback.values import Fault
from stavebound.score.model import Score
from stavebound.source.rules import NAMESPACE
from tests.support.any_styles import any_signs
from tests.support.made import usable
from tests.support.readers import EVERY_SIGN, KEY, frames_with, proved, score_with
from tests.support.staves import CATALOGUE, FACES, MEASURE, SETTING, engraved, style_of, styled
from tests.support.strategies import scores

RUNNER = CliRunner()
NAMES = sorted(CATALOGUE.signs)
# Signs may be too high for the room between two lines; they are read all the same.
TOO_HIGH = "E407"

# Drawings of a house's own, of every kind of piece, and unlike all others.
REDRAWN = {
    "half bend": '<stroke from="-0.26 0" to="0.26 0" width="0.10"/>'
    '<disc at="0 0.14" diameter="0.14"/>',
    "straight again": '<ring at="0 0" diameter="0.44" width="0.06"/>'
    '<disc at="0 0" diameter="0.12"/>',
    "hook": '<curve from="0.10 0.22" controls="0.34 0.10 0.34 -0.10" to="0.10 -0.22"'
    ' width="0.07"/><stroke from="0.16 -0.30" to="0.30 -0.30" width="0.07"/>',
    "tail": '<stroke from="0 0" to="0 -0.36" width="0.06"/>'
    '<stroke from="-0.09 -0.36" to="0.09 -0.36" width="0.06"/>',
    "turn 1": '<curve from="-0.12 0.26" controls="0.02 0.10 -0.22 -0.10" to="-0.12 -0.26"'
    ' width="0.08"/><stroke from="-0.06 0.04" to="0.18 0.12" width="0.08"/>',
    "palm aside": '<stroke from="-0.12 -0.18" to="-0.12 0.18" width="0.06"/>'
    '<ring at="0.05 0.05" diameter="0.18" width="0.05"/>',
    "across": '<stroke from="-0.2 -0.2" to="0.2 0.2" width="0.05"/>'
    '<stroke from="-0.2 -0.05" to="0.05 0.2" width="0.05"/>',
}


def redrawn(name: str, attributes: str = "") -> str:
    return f'<sign of="{name}" {attributes}>{REDRAWN[name]}</sign>'


def houses() -> st.SearchStrategy[str]:
    """Styles that make signs larger or smaller, thinner or heavier, in the usual range."""
    return st.integers(0, 10**6).map(lambda seed: any_signs(Random(seed), CATALOGUE))


def codes_of(inside: str) -> set[str]:
    style = style_of(f'<style xmlns="{NAMESPACE}">{inside}</style>')
    return {fault.code for fault in check_style(style, CATALOGUE)}


# ---------------------------------------------------------------- what is drawn


def test_size_scales_a_drawing_round_its_centre_and_weight_its_lines() -> None:
    signs = styled('<sign of="half bend" size="1.1" weight="1.2"/>').catalogue.signs
    usual, own = CATALOGUE.signs["half bend"], signs["half bend"]
    for one, other in zip(usual.strokes, own.strokes, strict=True):
        *places, width = other
        assert places == pytest.approx([1.1 * place for place in one[:4]])
        assert width == pytest.approx(1.1 * 1.2 * one[4])
    assert {name for name in NAMES if signs[name] != CATALOGUE.signs[name]} == {"half bend"}


def test_weight_leaves_discs_and_the_outer_size_of_rings_alone() -> None:
    signs = styled('<signs weight="1.3"/>').catalogue.signs
    assert signs["behind"] == CATALOGUE.signs["behind"]
    (ring,), (usual,) = signs["straight again"].rings, CATALOGUE.signs["straight again"].rings
    assert ring == pytest.approx((*usual[:3], 1.3 * usual[3]))


def test_what_is_said_of_a_sign_goes_before_what_is_said_of_all() -> None:
    signs = styled('<signs size="1.1"/><sign of="front" size="0.9"/>').catalogue.signs
    for name, size in (("front", 0.9), ("behind", 1.1)):
        width = sign_box(CATALOGUE.signs[name]).width
        assert sign_box(signs[name]).width == pytest.approx(size * width)


def test_a_drawing_stands_in_place_of_the_packaged_one() -> None:
    sign = styled(redrawn("hook")).catalogue.signs["hook"]
    assert sign.curves == ((0.1, 0.22, 0.34, 0.1, 0.34, -0.1, 0.1, -0.22, 0.07),)
    assert sign.strokes == ((0.16, -0.3, 0.3, -0.3, 0.07),)
    assert sign.meaning == CATALOGUE.signs["hook"].meaning
    assert (sign.description, sign.source) == ("drawn by the house", "the house style")


def test_the_digest_tells_one_house_from_another() -> None:
    insides = ("", '<sign of="hook" size="1.1"/>', '<sign of="hook" size="1.2"/>', redrawn("hook"))
    digests = {styled(inside).catalogue.digest for inside in insides}
    assert len(digests) == len(insides)
    assert styled('<stave height="8"/>').catalogue.digest == CATALOGUE.digest
    assert styled('<signs size="1"/>').catalogue.digest == CATALOGUE.digest


# ---------------------------------------------------------------- read back


def is_sound(inside: str) -> bool:
    return codes_of(inside) <= {TOO_HIGH}


@given(scores(), houses().filter(is_sound))
@settings(max_examples=15)
def test_random_scores_in_random_houses_read_back_as_written(score: Score, inside: str) -> None:
    assert proved(score, setting=styled(inside)) == ()


@given(houses())
@settings(max_examples=10)
def test_every_sign_reads_back_in_random_houses(inside: str) -> None:
    """Ten of those of which `python -m tests.storm.houses` tries hundreds."""
    assert codes_of(inside) <= {"E406", TOO_HIGH}
    usable(codes_of(inside) - {TOO_HIGH})
    assert proved(EVERY_SIGN, setting=styled(inside)) == ()


@pytest.mark.parametrize("name", REDRAWN)
def test_a_sign_drawn_anew_is_read(name: str) -> None:
    for attributes in ("", 'size="1.1" weight="0.9"'):
        inside = redrawn(name, attributes)
        assert codes_of(inside) == set()
        assert proved(EVERY_SIGN, setting=styled(inside)) == ()


# Every position of the feet with a dot of weight, and with marks that stand off their edge.
WEIGHTED = score_with(
    [
        f'<feet in="{row.name}" {front} weight="{side}" turned="{turned}" on="{on}"/>'
        for row in CATALOGUE.feet.position
        for front in ("" if row.right else 'front="right"',)
        for side, turned in (("left", "parallel"), ("right", "in"))
        for on in ("whole foot", "half point")
    ]
)


@pytest.mark.parametrize("size", ["0.86", "0.9", "1", "1.2"])
@pytest.mark.parametrize("weight", ["0.8", "1.3"])
def test_feet_with_a_dot_of_weight_have_their_marks_at_the_same_edge(
    size: str, weight: str
) -> None:
    """The edge is that of the feet's own signs, however far the dot reaches."""
    inside = f'<signs size="{size}" weight="{weight}"/>'
    assert proved(WEIGHTED, setting=styled(inside)) == ()


def test_all_signs_of_a_house_together_are_read() -> None:
    inside = '<signs size="1.05" weight="1.1"/>' + "".join(redrawn(name) for name in REDRAWN)
    assert codes_of(inside) == set()
    assert proved(EVERY_SIGN, setting=styled(inside)) == ()


# ---------------------------------------------------------------- what differs from the style


def with_drawing_of(setting: Setting, name: str, other: Setting) -> Setting:
    """The setting, but with the drawing that the sign has in another."""
    signs = {**setting.catalogue.signs, name: other.catalogue.signs[name]}
    return replace(setting, catalogue=replace(setting.catalogue, signs=signs))


@pytest.mark.parametrize("name", NAMES)
def test_a_drawing_of_another_size_than_the_style_says_fails(name: str) -> None:
    said = styled(f'<sign of="{name}" size="1.15"/>')
    assert proved(frames_with(name), setting=said) == ()
    assert proved(frames_with(name), setting=with_drawing_of(said, name, SETTING))
    assert proved(frames_with(name), setting=with_drawing_of(SETTING, name, said))


@pytest.mark.parametrize("name", [name for name in NAMES if not CATALOGUE.signs[name].discs])
def test_a_drawing_of_another_weight_than_the_style_says_fails(name: str) -> None:
    said = styled(f'<sign of="{name}" weight="1.3"/>')
    assert proved(frames_with(name), setting=said) == ()
    assert proved(frames_with(name), setting=with_drawing_of(said, name, SETTING))


@pytest.mark.parametrize("name", REDRAWN)
def test_another_drawing_than_the_style_says_fails(name: str) -> None:
    said = styled(redrawn(name))
    assert proved(frames_with(name), setting=with_drawing_of(said, name, SETTING))
    larger = styled(redrawn(name, 'size="1.1"'))
    assert proved(frames_with(name), setting=with_drawing_of(said, name, larger))


# ---------------------------------------------------------------- files


@pytest.fixture
def style(tmp_path: Path) -> Path:
    file = tmp_path / "house.xml"
    inside = '<signs weight="1.1"/>' + redrawn("half bend")
    file.write_text(f'<style xmlns="{NAMESPACE}">{inside}</style>', encoding="utf-8")
    return file


def test_a_line_is_read_back_by_the_style_in_which_it_was_engraved(
    style: Path, tmp_path: Path
) -> None:
    score = tmp_path / "one.xml"
    score.write_text(
        f'<score xmlns="{NAMESPACE}" title="One" school="english">'
        '<start><feet in="first"/><arms in="bras bas"/></start><phrase counts="4">'
        '<frame at="1"><knees bend="half"/></frame></phrase></score>',
        encoding="utf-8",
    )
    drawing = str(tmp_path / "one-01.svg")
    arguments = ["engrave", str(score), "--out", str(tmp_path), "--style", str(style)]
    assert RUNNER.invoke(app, arguments).exit_code == 0
    assert RUNNER.invoke(app, ["readback", drawing]).exit_code == 1
    read = RUNNER.invoke(app, ["readback", drawing, "--style", str(style)])
    assert read.exit_code == 0
    assert '<knee side="right" bend="half"' in read.stdout


def test_a_faulty_style_stops_engraving_and_reading(style: Path, tmp_path: Path) -> None:
    style.write_text(f'<style xmlns="{NAMESPACE}"><sign of="hok" size="1.1"/></style>', "utf-8")
    score = tmp_path / "one.xml"
    score.write_text(f'<score xmlns="{NAMESPACE}" title="One"/>', encoding="utf-8")
    for arguments in (["engrave", str(score), "--out", str(tmp_path)], ["readback", str(score)]):
        result = RUNNER.invoke(app, [*arguments, "--style", str(style)])
        assert result.exit_code == 1
        assert "error[B510]" in result.stderr
        assert "Did you mean “hook”?" in result.stderr


def test_a_book_is_engraved_in_its_house_s_signs(tmp_path: Path) -> None:
    start_book(tmp_path / "book")
    path, style = tmp_path / "book" / "book.xml", tmp_path / "book" / "style.xml"
    text = style.read_text(encoding="utf-8")
    style.write_text(text.replace("</style>", redrawn("half bend") + "</style>"), encoding="utf-8")
    house = House(CATALOGUE, FACES)
    project = load_project(path, str(path))
    outcome = manuscript_of(project, Asked(), house)
    assert outcome.diagnostics == ()
    assert outcome.value is not None
    lines = [line.svg for _, piece in outcome.value.pieces for line in piece.lines]
    usual, own = (
        [fault for svg in lines for fault in faults_read(svg, key)]
        for key in (KEY, outcome.value.key)
    )
    assert usual
    assert own == []


def faults_read(svg: str, key: ReadingKey) -> tuple[Fault, ...]:
    reading = read_svg(svg, "line.svg", key, FACES).value
    assert reading is not None
    return reading.faults


def test_styles_that_are_sound_by_themselves_are_checked_together(tmp_path: Path) -> None:
    """The house thins a sign, and the book lowers the stave."""
    start_book(tmp_path / "book")
    path, style = tmp_path / "book" / "book.xml", tmp_path / "book" / "style.xml"
    style.write_text(
        f'<style xmlns="{NAMESPACE}"><stave height="12"/>\n'
        '<sign of="palm up" weight="0.6"/></style>'
    )
    text = path.read_text(encoding="utf-8")
    house = House(CATALOGUE, FACES)
    for own, codes in (("", []), ('<style><stave height="7"/></style>', ["E405"])):
        path.write_text(text.replace("<chapter", f"{own}<chapter", 1), encoding="utf-8")
        project = load_project(path, str(path))
        faults = manuscript_of(project, Asked(), house).diagnostics
        assert [fault.code for fault in faults] == codes
        assert all(fault.span and fault.span.path.endswith("style.xml") for fault in faults)


def test_larger_signs_stand_as_clear_of_each_other(tmp_path: Path) -> None:
    """The room that is kept is measured from the drawings that are used."""
    larger = styled('<signs size="1.15"/>')
    score = frames_with("palm up")
    box = engraved(score, MEASURE, larger).systems[0].staves[0].signs[0].box
    assert box.width == pytest.approx(
        1.15 * engraved(score).systems[0].staves[0].signs[0].box.width
    )
