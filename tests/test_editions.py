"""The four editions of a book: what each holds and leaves out, numbered alike."""

from __future__ import annotations

import re
from pathlib import Path

import pypdfium2
import pytest
from typer.testing import CliRunner

from stavebound.book.layouts import Asked
from stavebound.build.books import build_book
from stavebound.build.loading import load_project
from stavebound.build.values import House, open_house
from stavebound.cli import app
from stavebound.plan.book import BookPlan
from stavebound.score.model import Prose, Score
from tests.support.staves import SYLLABUS

PAPERS = {"examiner": "Letter"}
DEMO = Path(__file__).parents[1] / "books" / "syllabus" / "book.xml"


@pytest.fixture(scope="module")
def house() -> House:
    return open_house()


@pytest.fixture(scope="module")
def plan() -> BookPlan:
    plan = load_project(DEMO, DEMO.name).plan
    assert plan is not None
    return plan


@pytest.fixture(scope="module")
def scores() -> tuple[Score, ...]:
    return tuple(score for _, score in load_project(DEMO, DEMO.name).scores)


@pytest.fixture(scope="module")
def editions(house: House, tmp_path_factory: pytest.TempPathFactory) -> dict[str, list[str]]:
    """The text of each page of each edition but the teacher's, white space folded. The
    examiner's is on the paper on which no other test has the demonstration book."""
    folder = tmp_path_factory.mktemp("editions")
    _, *others = SYLLABUS.editions
    return {one.name: _pages(folder / f"{one.name}.pdf", one.name, house) for one in others}


def _pages(out: Path, name: str, house: House) -> list[str]:
    report = build_book(DEMO, out, Asked(name, PAPERS.get(name)), 1, house, lambda what: None)
    assert not report.diagnostics
    with pypdfium2.PdfDocument(out) as document:
        return [_read(page.get_textpage().get_text_bounded()) for page in document]


def _read(text: str) -> str:
    """The words of a page, those that were parted at the end of a line put together."""
    return " ".join(text.split()).replace("\N{HYPHEN} ", "")


def _words(prose: Prose) -> str:
    """The first words of a text, up to where its marks begin."""
    return " ".join(prose.words[0].text.split()[:4]) if prose.words else ""


def _titled(number: int, score: Score) -> str:
    return f"{number} {score.title}"


def test_a_card_is_a_page_with_its_exercise_whole_and_no_faults(
    editions: dict[str, list[str]], scores: tuple[Score, ...], plan: BookPlan
) -> None:
    """Its head names the book."""
    pages = editions["cards"]
    for number, score in enumerate(scores, 1):
        begins = f"{_titled(number, score)} {score.level or ''}"
        (card,) = [text for text in pages if text.startswith(begins)]
        assert card.endswith(f"{plan.title} {number}")
        assert card.count(f" {score.level} ") <= 1
        assert "top of head" in card or "waist" in card
        for prose in (*score.texts("finish"), *score.texts("quality")):
            assert _words(prose) in card
    everything = " ".join(pages)
    assert "COMMON FAULTS" not in everything
    assert "Signs used in this book" in everything
    cards = [text for text in pages if re.match(r"\d+ \S", text)]
    assert len(cards) == len(scores)


def test_the_music_list_has_every_exercise_in_order(
    editions: dict[str, list[str]], scores: tuple[Score, ...]
) -> None:
    text = " ".join(editions["music"])
    at = 0
    for number, score in enumerate(scores, 1):
        assert score.music is not None
        facts = rf"{score.music.metre} [a-z ]+\s=\s{score.music.tempo}"
        row = rf"{number} {re.escape(score.title)} {facts}"
        found = re.compile(row).search(text, at)
        assert found, row
        at = found.end()
    assert "QUALITIES" not in text


def test_the_examiner_has_times_and_qualities_and_room_to_write(
    editions: dict[str, list[str]], scores: tuple[Score, ...]
) -> None:
    text = " ".join(editions["examiner"])
    places = [text.index(_titled(number, score)) for number, score in enumerate(scores, 1)]
    assert places == sorted(places)
    for score in scores:
        for prose in (*score.texts("times"), *score.texts("quality")):
            assert _words(prose) in text
    assert text.count("MARKS") == len(scores)
    assert re.search(r"CANDIDATE DATE EXAMINER TOTAL", text)
    assert "COMMON FAULTS" not in text
    assert "top of head" not in text


def test_an_edition_has_a_file_of_its_own_beside_the_book(tmp_path: Path) -> None:
    runner = CliRunner()
    runner.invoke(app, ["new", str(tmp_path / "b")])
    for edition in ("teacher", "music"):
        result = runner.invoke(
            app, ["build", str(tmp_path / "b" / "book.xml"), "--edition", edition]
        )
        assert result.exit_code == 0
    assert (tmp_path / "b" / "book.pdf").is_file()
    assert (tmp_path / "b" / "book-music.pdf").is_file()


def test_an_edition_that_is_not_there_is_wrong_use(tmp_path: Path) -> None:
    result = CliRunner().invoke(app, ["build", str(tmp_path / "b.xml"), "--edition", "pianist"])
    assert result.exit_code == 2
    assert "teacher" in result.output
