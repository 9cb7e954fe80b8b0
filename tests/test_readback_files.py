"""Drawings as files: what cannot be read is refused, and the command prints what can be."""

from __future__ import annotations

import re
from pathlib import Path

import pytest
from typer.testing import CliRunner

from stavebound.cli import app
from stavebound.readback.read import read_svg
from stavebound.source.rules import NAMESPACE
from stavebound.svg.staves import draw_staves
from tests.support.readers import KEY, SOME_SIGNS
from tests.support.staves import (
    FACES,
    engraved,
    small_score,
)

RUNNER = CliRunner()
BOOK = Path(__file__).parents[1] / "books" / "syllabus" / "book.xml"


# ---------------------------------------------------------------- drawings that cannot be read


@pytest.fixture(scope="module")
def svg() -> str:
    (system,) = engraved(small_score(SOME_SIGNS), 300.0).systems
    return draw_staves(system, FACES, "A line")


def codes_in(text: str) -> set[str]:
    outcome = read_svg(text, "line.svg", KEY, FACES)
    if outcome.value is None:
        (fault,) = outcome.diagnostics
        assert fault.span is not None
        assert fault.span.path == "line.svg"
        return {fault.code}
    kinds = {"shape": "R103", "unread": "R104", "text": "R105", "twofold": "R106"}
    return {kinds[fault.kind] for fault in outcome.value.faults}


@pytest.mark.parametrize(
    ("before", "after"),
    [
        ("<title>", "<g/><title>"),
        ("<path ", '<path fill="red" '),
        ("</svg>", "words</svg>"),
        ("</svg>", "</svg"),
        ('xmlns="http://www.w3.org/2000/svg"', ""),
        ("mm", "cm"),
        ('viewBox="0 0 ', 'viewBox="1 0 '),
        ("<svg ", "<!DOCTYPE svg><svg "),
        ("Z", "z"),
        ("L", "L1e3,"),
        ("L", "l"),
        ("M", "Mnan,1L"),
        (' x="', ' x="1 '),
        (' y="', ' y="1-'),
        (' font-size="', ' font-size="inf" rotate="'),
        ("<title>", "<title><title/>"),
    ],
)
def test_what_is_not_in_the_grammar_is_refused(svg: str, before: str, after: str) -> None:
    assert before in svg
    assert codes_in(svg.replace(before, after, 1)) == {"R101"}


def test_a_line_too_few_is_no_stave(svg: str) -> None:
    assert codes_in(re.sub(r'(<path d=")M[^Z]*Z', r"\1", svg, count=1)) == {"R102"}
    empty = '<svg xmlns="http://www.w3.org/2000/svg" width="9mm" height="9mm" viewBox="0 0 9 9"/>'
    assert codes_in(empty) == {"R102"}


def test_ink_that_is_no_sign_is_told(svg: str) -> None:
    assert codes_in(svg.replace('"/>\n<text', 'M9,9L9,10L12,10L12,9Z"/>\n<text', 1)) >= {"R103"}
    assert "R103" in codes_in(svg.replace('"/>\n<text', 'M9,9L9,10L12,11Z"/>\n<text', 1))


def test_texts_out_of_place_are_told(svg: str) -> None:
    assert ">123456789101112<" in svg
    assert codes_in(svg.replace(">123456789101112<", ">x23456789101112<")) >= {"R105"}
    assert codes_in(svg.replace(">123456789101112<", ">\u266923456789101112<")) >= {"R105"}
    stray = '<text x="20" y="14" font-family="Crimson Text, serif" font-size="3">word</text></svg>'
    assert codes_in(svg.replace("</svg>", stray)) == {"R105"}


def test_signs_that_are_no_position_are_told(svg: str) -> None:
    """A count that is not there leaves its signs to its neighbours."""
    short = re.sub(r'<text x="([^" ]+ )[^"]*" (y="[^"]*" [^>]*)>123456789101112<', _one_count, svg)
    assert codes_in(short) >= {"R104"}


def _one_count(match: re.Match[str]) -> str:
    return f'<text x="{match[1].strip()}" {match[2]}>1<'


# ---------------------------------------------------------------- the command


def test_the_command_prints_what_the_ink_says(tmp_path: Path) -> None:
    score = tmp_path / "one.xml"
    start = '<start><feet in="fifth" front="left"/><arms in="bras bas"/></start>'
    frame = '<frame at="1" step="tendu"><foot side="right" to="front" place="pointed"/></frame>'
    score.write_text(
        f'<score xmlns="{NAMESPACE}" title="One" school="english">'
        f'{start}<phrase counts="4">{frame}</phrase></score>'
    )
    assert RUNNER.invoke(app, ["engrave", str(score), "--out", str(tmp_path)]).exit_code == 0
    result = RUNNER.invoke(app, ["readback", str(tmp_path / "one-01.svg")])
    assert result.exit_code == 0
    for line in (
        '<feet in="fifth" front="left" on="whole foot"/>',
        '<hand side="right" height="waist-0.40" out="0.04" depth="front"/>',
        '<frame at="1" step="tendu">',
        '<foot side="right" to="front" place="pointed"/>',
        '<bar at="1" counts="4"/>',
    ):
        assert line in result.stdout


def test_lines_are_read_in_their_order(tmp_path: Path) -> None:
    """A line that comes too early or twice would give another dance; some of them are a score."""
    paths = []
    for number, system in enumerate(engraved(small_score(SOME_SIGNS), 42.0).systems, 1):
        paths.append(tmp_path / f"line-{number}.svg")
        paths[-1].write_text(draw_staves(system, FACES, "A line"), encoding="utf-8")
    first, second, third, *_ = map(str, paths)

    def told(*files: str) -> list[str]:
        result = RUNNER.invoke(app, ["readback", *files])
        return re.findall(r"line-\d.svg:1:1: error\[(R\d+)\]", result.stderr)

    assert told(*map(str, paths)) == told(first) == told(third) == told(first, third) == []
    assert told(second, first) == told(first, first) == told(first, third, second) == ["R108"]


def test_what_a_style_shapes_is_read_with_that_style(tmp_path: Path) -> None:
    """Without it a few of its signs are told, and what is to be done."""
    score = tmp_path / "one.xml"
    arms = "".join(
        f'<frame at="{count}"><arms in="{name}"/></frame>'
        for count, name in enumerate(("first", "second"), 1)
    )
    score.write_text(
        f'<score xmlns="{NAMESPACE}" title="One" school="english"><start><feet in="fifth" '
        f'front="left"/><arms in="fifth"/></start><phrase counts="4">{arms}</phrase></score>'
    )
    style = tmp_path / "style.xml"
    style.write_text(f'<style xmlns="{NAMESPACE}"><signs size="1.05" weight="1.1"/></style>')
    styled, line = ["--style", str(style)], str(tmp_path / "one-01.svg")
    done = RUNNER.invoke(app, ["engrave", str(score), "--out", str(tmp_path), *styled])
    assert done.exit_code == 0
    assert RUNNER.invoke(app, ["readback", line, *styled]).exit_code == 0
    result = RUNNER.invoke(app, ["readback", line])
    assert result.exit_code == 1
    assert result.stderr.count("error[R103]") == 3
    assert "is read with it: --style FILE." in result.stderr
    assert "more of this kind." in result.stderr


def test_the_command_says_what_it_cannot_read(tmp_path: Path) -> None:
    drawing = tmp_path / "other.svg"
    drawing.write_text('<svg xmlns="http://www.w3.org/2000/svg">\n<circle r="1"/></svg>')
    result = RUNNER.invoke(app, ["readback", str(drawing), str(tmp_path / "none.svg")])
    assert result.exit_code == 1
    assert "other.svg:1:1: error[R101]: the size is not given" in result.stderr.replace("\n", "")
    assert "error[X101]" in result.stderr
    assert result.stdout == ""


def test_a_count_longer_than_its_bar_is_told_in_a_remark(tmp_path: Path) -> None:
    """Nothing in the ink says how many bars it has."""
    score = tmp_path / "long.xml"
    score.write_text(
        f"""<score xmlns="{NAMESPACE}" id="long" title="Long counts" school="english">
<music metre="3/4" bars-per-count="12" tempo="20">Music.</music>
<start><feet in="first"/><arms in="bras bas"/></start>
<phrase counts="2"><frame at="1"><knees bend="half"/></frame></phrase>
</score>"""
    )
    out = tmp_path / "out"
    assert RUNNER.invoke(app, ["engrave", str(score), "--out", str(out)]).exit_code == 0
    result = RUNNER.invoke(app, ["readback", *map(str, sorted(out.iterdir()))])
    assert '<music metre="3/4" tempo="20"/>' in result.stdout
    assert "bars-per-count is not in the ink" in result.stdout


def test_a_text_moved_inwards_stands_in_its_frame_where_no_other_can_have_it(
    tmp_path: Path,
) -> None:
    score = tmp_path / "slow.xml"
    score.write_text(
        f"""<score xmlns="{NAMESPACE}" id="slow" title="Slower" school="english">
<music metre="2/2" counts-per-bar="2" tempo="100">Music.</music>
<start><feet in="first"/><arms in="bras bas"/></start>
<phrase counts="4"><frame at="1"><arms in="first"/></frame><frame at="4"><arms in="bras bas"/>
<tempo counts="20">slow</tempo></frame></phrase>
</score>"""
    )
    out = tmp_path / "out"
    assert RUNNER.invoke(app, ["engrave", str(score), "--out", str(out)]).exit_code == 0
    result = RUNNER.invoke(app, ["readback", *map(str, sorted(out.iterdir()))])
    assert '<tempo counts="20">slow</tempo>' in result.stdout
    assert "near an edge" not in result.stdout
