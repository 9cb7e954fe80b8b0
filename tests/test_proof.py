"""What is proved is what is printed: one text of every line, from the proof to the page."""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import replace
from pathlib import Path

import pytest

from stavebound.book.editions import body_sheets
from stavebound.book.layouts import Asked
from stavebound.book.values import Manuscript
from stavebound.build.engraving import engrave_file
from stavebound.build.loading import load_project
from stavebound.build.manuscripts import manuscript_of
from stavebound.build.on_paper import score_on_paper
from stavebound.build.starting import start_book
from stavebound.engrave.engraving import Engraved
from stavebound.proof.lines import DrawnLine, drawn_lines, prove_lines
from stavebound.proof.outlines import without_outlines
from stavebound.source.rules import NAMESPACE
from tests.support.readers import KEY, SOME_SIGNS
from tests.support.sources import score_of
from tests.support.staves import (
    HOUSE,
    MEASURE,
    PAPERS,
    SETTING,
    engraved,
    printed_of,
    setting_of,
    small_score,
)

# Every figure of these says something that nothing else says; a tail lower down does not.
SIGNS = SOME_SIGNS.replace('place="knee"', 'raised="90"')
SCORE = small_score(SIGNS)
PRINTED = printed_of(SCORE)


@pytest.fixture(scope="module")
def page() -> Engraved:
    return engraved(SCORE, MEASURE)


@pytest.fixture(scope="module")
def lines(page: Engraved) -> tuple[DrawnLine, ...]:
    return drawn_lines(page, SCORE.title, SETTING)


@pytest.fixture(scope="module")
def manuscript(tmp_path_factory: pytest.TempPathFactory) -> Manuscript:
    folder = tmp_path_factory.mktemp("book")
    start_book(folder / "book")
    project = load_project(folder / "book" / "book.xml", "book.xml")
    made = manuscript_of(project, Asked(), HOUSE).value
    assert made is not None
    return made


def test_a_line_carries_the_title_with_which_it_is_proved(
    page: Engraved, lines: tuple[DrawnLine, ...]
) -> None:
    assert prove_lines(lines, page, PRINTED, SETTING, KEY) == ()
    titles = [re.findall("<title>(.*)</title>", line.svg) for line in lines]
    assert titles == [[f"Small, bars {line.bars[0]} to {line.bars[1]}"] for line in lines]


def test_the_images_of_a_sheet_are_the_proved_texts(manuscript: Manuscript) -> None:
    """In every edition that has staves; a piece's text is in no other form anywhere."""
    proved = {line.svg for _, piece in manuscript.pieces for line in piece.lines}
    assert proved
    setting = setting_of()
    for name in ("teacher", "cards"):
        own = replace(manuscript, edition=manuscript.layout.edition(name))
        sheets = [sheet for _, sheet in body_sheets(own, setting)]
        images = {key: svg for sheet in sheets for key, svg in sheet.images}
        staves = {svg for key, svg in images.items() if re.fullmatch(r"\d+-\d+", key)}
        assert staves == proved


def test_the_proof_sees_whatever_of_the_text_is_changed(
    page: Engraved, lines: tuple[DrawnLine, ...]
) -> None:
    """A figure or a word less, or a figure that is moved, in the text that would be painted."""
    (first, *rest) = lines
    for at, svg in enumerate(corrupted(first.svg)):
        wrong = (replace(first, svg=svg), *rest)
        assert prove_lines(wrong, page, PRINTED, SETTING, KEY), at


def corrupted(svg: str) -> Iterator[str]:
    last_path = [*re.finditer('<path d="([^"]*)"/>', svg)][-1]
    figures = last_path[1].split("Z")[:-1]
    for at in range(len(figures)):
        left = "".join(f"{figure}Z" for figure in (*figures[:at], *figures[at + 1 :]))
        yield svg.replace(last_path[1], left)
    for text in re.finditer(r"<text [^>]*>[^<]*</text>\n", svg):
        if "italic" not in text[0]:
            yield svg.replace(text[0], "")
    moved = re.sub(r"([\d.]+),", lambda found: f"{float(found[1]) + 1:.3f},", figures[0])
    yield svg.replace(figures[0], moved)


def test_files_of_lines_hold_the_proved_text(tmp_path: Path) -> None:
    source = tmp_path / "small.xml"
    text = f'<score xmlns="{NAMESPACE}" title="A &amp; b" school="english">{SIGNS}</score>'
    source.write_text(text, encoding="utf-8")
    report, _ = engrave_file(source, tmp_path, PAPERS["A5"], None, HOUSE)
    score = score_of(text)
    setting = SETTING.at_height(PAPERS["A5"].stave)
    printed = score_on_paper(score, None, PAPERS["A5"], setting, KEY).value
    assert printed is not None
    written = [path.read_text(encoding="utf-8") for path in report.written]
    assert list(map(without_outlines, written)) == [line.svg for line in printed.lines]
