"""Outlines of the words of a file: put on after the proof, taken off to the byte, held against
the text, and seen by neither press nor reader."""

from __future__ import annotations

import re
from pathlib import Path

import pytest
from typer.testing import CliRunner

from stavebound.build.reading import read_back
from stavebound.cli import app
from stavebound.press.values import PressError
from stavebound.proof.lines import drawn_lines
from stavebound.proof.outlines import outlines_hold, with_outlines, without_outlines
from stavebound.readback.read import read_svg
from tests.support.engraved_cases import CASES, page_of
from tests.support.press_samples import pressed
from tests.support.readers import KEY, SOME_SIGNS
from tests.support.staves import FACES, HOUSE, SETTING, engraved, small_score

RUNNER = CliRunner()
STRANGE_WORDS = "R107"
(LINE,) = drawn_lines(engraved(small_score(SOME_SIGNS), 300.0), "A & b", SETTING)
FILE = with_outlines(LINE.svg, FACES)


@pytest.mark.parametrize("case", CASES)
def test_what_is_put_on_is_taken_off_to_the_byte(case: str) -> None:
    for line in drawn_lines(page_of(case, True).result, '"A" & <b>', SETTING):
        file = with_outlines(line.svg, FACES)
        assert without_outlines(file) == line.svg
        assert without_outlines(line.svg) == line.svg
        assert outlines_hold(file, FACES)
        texts = re.findall("<text [^>]*>", file)
        assert len(texts) == line.svg.count("<text ")
        assert all(text.endswith(' fill-opacity="0">') for text in texts)


def test_neither_press_nor_reader_takes_outlines() -> None:
    assert LINE.svg != FILE
    with pytest.raises(PressError, match="not in the grammar"):
        pressed((("line", FILE),))
    assert [fault.code for fault in read_svg(FILE, "line.svg", KEY, FACES).diagnostics] == ["R101"]


def test_a_file_reads_as_its_text_alone_does(tmp_path: Path) -> None:
    said = []
    for name, text in (("file", FILE), ("proved", LINE.svg)):
        path = tmp_path / f"{name}.svg"
        path.write_text(text, encoding="utf-8")
        report, xml = read_back([path], None, HOUSE)
        assert report.diagnostics == ()
        said.append(xml)
    assert said[0] == said[1] is not None


@pytest.mark.parametrize(
    ("before", "after"),
    [
        (">123456789101112<", ">123456789101113<"),
        (' fill-opacity="0"', ""),
        (r'<path aria-hidden="true" d="M', r'<path aria-hidden="true" d="M1 1L2 1L2 2ZM'),
        (r'<path aria-hidden="true"[^\n]*\n', ""),
        ('font-family="Crimson Text, serif"', 'font-family="Spectral, serif"'),
        ('font-style="italic" font-size', "font-size"),
    ],
)
def test_outlines_that_are_not_those_of_the_text_are_told(
    before: str, after: str, tmp_path: Path
) -> None:
    """A word that was changed, or its outline; also where both are looked for and one is gone."""
    changed = re.sub(before, after, FILE, count=1)
    assert changed != FILE
    path = tmp_path / "line.svg"
    path.write_text(changed, encoding="utf-8")
    result = RUNNER.invoke(app, ["readback", str(path)])
    assert result.exit_code == 1
    assert f"error[{STRANGE_WORDS}]" in result.stderr
    assert result.stdout == ""
