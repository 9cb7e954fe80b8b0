"""Books from files: what is written, what is refused, and what is left when a build fails."""

from __future__ import annotations

import shutil
from pathlib import Path

import pypdfium2
import pytest

from stavebound.book.layouts import Asked
from stavebound.build import books
from stavebound.build.books import build_book
from stavebound.build.checking import check_files
from stavebound.build.loading import load_project
from stavebound.build.starting import start_book
from stavebound.build.values import House, Report, open_house
from stavebound.press.values import PressError
from tests.support.class_books import ClassBook

DEMO = Path(__file__).parents[1] / "books" / "syllabus" / "book.xml"


@pytest.fixture(scope="module")
def house() -> House:
    return open_house()


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    """A starter book in a folder with an awkward name."""
    target = tmp_path / "Pliés & co"
    start_book(target)
    return target


def silent(what: str) -> None:
    del what


def build(folder: Path, house: House, out: Path | None = None, jobs: int = 1) -> Report:
    target = out or folder / "book.pdf"
    return build_book(folder / "book.xml", target, Asked(), jobs, house, silent)


def replace(path: Path, old: str, new: str) -> None:
    text = path.read_text(encoding="utf-8")
    assert old in text
    path.write_text(text.replace(old, new), encoding="utf-8")


def page_texts(path: Path) -> list[str]:
    with pypdfium2.PdfDocument(path) as document:
        texts = []
        for index in range(len(document)):
            page = document[index]
            textpage = page.get_textpage()
            texts.append(textpage.get_text_bounded())
            textpage.close()
            page.close()
        return texts


def test_same_bytes_twice_whatever_the_number_of_processes(folder: Path, house: House) -> None:
    first, second = folder / "one.pdf", folder / "two.pdf"
    build(folder, house, first, jobs=1)
    build(folder, house, second, jobs=2)
    assert first.read_bytes() == second.read_bytes()


def test_a_build_leaves_the_book_and_nothing_else(folder: Path, house: House) -> None:
    before = {path.name for path in folder.iterdir()}
    report = build(folder, house)
    assert not report.diagnostics
    assert {path.name for path in folder.iterdir()} == before | {"book.pdf"}


def test_a_failed_build_sets_the_earlier_book_aside(folder: Path, house: House) -> None:
    build(folder, house)
    earlier = (folder / "book.pdf").read_bytes()
    replace(folder / "scores" / "plies.xml", 'in="second"', 'in="secnod"')
    report = build(folder, house)
    assert report.failed
    assert not (folder / "book.pdf").exists()
    assert (folder / "book.earlier-1.pdf").read_bytes() == earlier
    assert "book.earlier-1.pdf" in report.notes[0]


def test_a_second_failure_keeps_both_earlier_books(folder: Path, house: House) -> None:
    (folder / "book.earlier-1.pdf").write_bytes(b"%PDF-older")
    (folder / "book.pdf").write_bytes(b"%PDF-old")
    replace(folder / "book.xml", 'score="scores/plies.xml"', 'score="scores/plees.xml"')
    assert build(folder, house).failed
    assert (folder / "book.earlier-1.pdf").read_bytes() == b"%PDF-older"
    assert (folder / "book.earlier-2.pdf").read_bytes() == b"%PDF-old"


def test_a_failure_of_the_press_sets_the_earlier_book_aside(
    folder: Path, house: House, monkeypatch: pytest.MonkeyPatch
) -> None:
    def fails(*arguments: object) -> bytes:
        raise PressError("the press is broken")

    (folder / "book.pdf").write_bytes(b"%PDF-old")
    monkeypatch.setattr(books, "press_book", fails)
    with pytest.raises(PressError) as failure:
        build(folder, house)
    assert "book.earlier-1.pdf" in failure.value.__notes__[0]
    assert not (folder / "book.pdf").exists()


@pytest.mark.parametrize(
    ("written", "code", "told"),
    [
        ("scores/plees.xml", "B601", "scores/plies.xml"),
        ("../other.xml", "B602", "folder"),
        ("/etc/hostname", "B602", "folder"),
        ("style.xml", "B603", "<score>"),
    ],
)
def test_files_that_a_book_cannot_use(
    folder: Path, house: House, written: str, code: str, told: str
) -> None:
    replace(folder / "book.xml", 'score="scores/plies.xml"', f'score="{written}"')
    report = build(folder, house)
    found = [diagnostic for diagnostic in report.diagnostics if diagnostic.code == code]
    assert len(found) == 1
    assert found[0].span is not None
    line = report.texts[found[0].span.path].splitlines()[found[0].span.line - 1]
    assert line[found[0].span.column - 1 :].startswith(written)
    assert told in " ".join(found[0].hints)


def test_a_link_out_of_the_folder_is_refused(folder: Path, house: House, tmp_path: Path) -> None:
    shutil.move(folder / "scores" / "plies.xml", tmp_path / "outside.xml")
    (folder / "scores" / "plies.xml").symlink_to(tmp_path / "outside.xml")
    assert [found.code for found in build(folder, house).diagnostics][:1] == ["B602"]


def test_a_score_given_to_build_is_the_wrong_kind(folder: Path, house: House) -> None:
    score = folder / "scores" / "plies.xml"
    report = build_book(score, folder / "x.pdf", Asked(), 1, house, silent)
    assert [found.code for found in report.diagnostics] == ["B604"]


def test_a_character_that_no_face_has_is_found_before_layout(folder: Path, house: House) -> None:
    replace(folder / "scores" / "plies.xml", 'step="demi-plié"', 'step="plié ♩"')
    report = build(folder, house)
    assert {found.code for found in report.diagnostics} >= {"E403"}


def test_faults_of_the_book_do_not_hide_those_of_its_scores(folder: Path, house: House) -> None:
    replace(folder / "book.xml", 'entry term="demi-plié"', 'entry term="tendu"')
    replace(folder / "scores" / "plies.xml", 'in="second"', 'in="secnod"')
    found = {diagnostic.code for diagnostic in build(folder, house).diagnostics}
    assert {code[0] for code in found} == {"B", "T"}


def test_what_passes_check_builds(folder: Path, house: House) -> None:
    assert not check_files([folder / "book.xml"], house).failed
    assert not build(folder, house).failed


def test_its_contents_are_right_on_a4(book_on_a4: ClassBook) -> None:
    assert_contents_are_right(page_texts(book_on_a4.pdf))


def test_its_contents_are_right_on_a5(demonstration_book: Path) -> None:
    assert_contents_are_right(page_texts(demonstration_book))


def assert_contents_are_right(texts: list[str]) -> None:
    """Each exercise in the contents stands on the page whose folio the contents give."""
    plan = load_project(DEMO, DEMO.name).plan
    assert plan is not None
    first = next(at for at, text in enumerate(texts) if text.lstrip().startswith("Contents"))
    after = next(at for at, text in enumerate(texts) if text.lstrip().startswith("To the reader"))
    rows = [row.split() for text in texts[first:after] for row in text.splitlines() if row.strip()]
    exercises = [row for row in rows if row[0].isdecimal() and row[-1].isdecimal() and row[1:]]
    assert [row[0] for row in exercises] == [str(at + 1) for at in range(len(plan.exercises))]
    for number, *title, folio in exercises:
        heading = " ".join((number, *title))
        pages = [text for text in map(_folded, texts) if text.split()[-1:] == [folio]]
        assert sum(heading in text for text in pages) == 1, (number, folio)


def _folded(text: str) -> str:
    return " ".join(text.split())
