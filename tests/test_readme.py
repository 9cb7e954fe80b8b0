"""What the README says can be run: its sources are sound, its pictures theirs, its words true."""

from __future__ import annotations

import re
from pathlib import Path

import pytest
from typer.testing import CliRunner

from stavebound.book.layouts import edition_names
from stavebound.build.checking import check_files
from stavebound.build.engraving import engrave_file
from stavebound.build.values import open_house
from stavebound.cli import app
from stavebound.render import render_text
from stavebound.source.rules import NAMESPACE
from tests.support.references import orphans, reference
from tests.support.sources import whole
from tests.support.staves import PAPERS, SYLLABUS

ROOT = Path(__file__).parents[1]
README = (ROOT / "README.md").read_text(encoding="utf-8")
SOURCES = re.findall(r"```xml\n(.*?)```", README, re.DOTALL)
PICTURES = [ROOT / path for path in re.findall(r"!\[.*?\]\((.*?)\)", README)]


@pytest.mark.parametrize("index", range(len(SOURCES)))
def test_each_source_is_sound_and_its_picture_is_its_own(
    index: int, tmp_path: Path, update_references: bool
) -> None:
    score = tmp_path / "score.xml"
    score.write_text(whole(SOURCES[index]), encoding="utf-8")
    report, _ = engrave_file(score, tmp_path, PAPERS["A5"], None, open_house())
    assert not report.diagnostics
    (picture,) = report.written
    reference(PICTURES[index], picture.read_text(encoding="utf-8"), update_references)


def test_the_house_style_shown_is_sound(tmp_path: Path) -> None:
    (drawn,) = re.findall(r"^    <sign .*?</sign>", README, re.DOTALL | re.MULTILINE)
    told = re.findall(r"`(<signs? [^`]*/>)`", README)
    assert len(told) == 2
    style = tmp_path / "style.xml"
    inside = "".join((*told, drawn))
    style.write_text(f'<style xmlns="{NAMESPACE}">{inside}</style>', encoding="utf-8")
    assert check_files([style], open_house()).diagnostics == ()


def test_each_picture_has_a_source() -> None:
    assert len(PICTURES) == len(SOURCES)
    assert not orphans(ROOT / "books" / "guide", "*", PICTURES)


def test_each_command_of_the_program_is_in_the_table_and_no_other() -> None:
    told = set(re.findall(r"^\| `stavebound (\w+)", README, re.MULTILINE))
    functions = (command.callback for command in app.registered_commands)
    assert told == {function.__name__ for function in functions if function}


def rows() -> dict[str, str]:
    """What the README's table says of each command."""
    return dict(re.findall(r"^\| `stavebound (\w+)(.*) \|$", README, re.MULTILINE))


@pytest.mark.parametrize("command", sorted(rows()))
def test_the_table_has_the_options_of_each_command_and_no_other(command: str) -> None:
    told = set(re.findall(r"--\w+", rows()[command]))
    (formats,) = re.findall(r"^.*take `--format json`", README, re.MULTILINE)
    if f"`{command}`" in formats:
        told.add("--format")
    help_text = CliRunner().invoke(app, [command, "--help"]).stdout
    options = set(re.findall(r"^  (--\w+)", help_text, re.MULTILINE))
    assert told == options - {"--help"}


def test_the_table_has_the_papers_and_the_editions() -> None:
    for paper in PAPERS:
        assert f"`{paper}`" in rows()["build"] or f"`--paper {paper}`" in rows()["build"]
    (editions,) = re.findall(r"^\*\*Editions\.\*\*.*$", README, re.MULTILINE)
    for name in edition_names((SYLLABUS,)):
        assert f"`{name}`" in editions


def test_the_message_shown_is_the_one_that_is_given(tmp_path: Path) -> None:
    (shown,) = re.findall(r"```text\n(.*?)```", README, re.DOTALL)
    score = tmp_path / "plies.xml"
    score.write_text(SOURCES[0].replace('in="second"', 'in="secnod"'), encoding="utf-8")
    report = check_files([score], open_house())
    told = render_text(report.diagnostics, report.texts).replace(str(score), "plies.xml")
    assert told == shown.rstrip()
