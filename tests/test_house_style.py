"""A house style laid over a book changes faces, signs, school and language, and no template."""

from __future__ import annotations

import re
from pathlib import Path

import pikepdf
import pypdfium2
import pytest

from stavebound.book.chapters import chapter_sheets
from stavebound.book.layouts import Asked
from stavebound.book.reading import in_key, reading_sheets
from stavebound.build.books import build_book
from stavebound.build.loading import load_project, load_style, with_style
from stavebound.build.manuscripts import manuscript_of
from stavebound.build.setting import in_type, outfit_of, setting_of
from stavebound.build.values import House, Report, open_house
from stavebound.source.rules import NAMESPACE
from tests.support.manuscripts import SECTIONS
from tests.support.pages import tree_of
from tests.support.staves import PAPERS

THREE_LARCHES = Path(__file__).parents[1] / "books" / "houses" / "three-larches.xml"

BOOK = """<book xmlns="{namespace}" title="A small book" date="2026-03-02" {attributes}>
  <style><stave height="9"/></style>
  <preface><text>Some words.</text></preface>
  <chapter title="One"><exercise score="score.xml"/></chapter>
</book>"""
SCORE = f"""<score xmlns="{NAMESPACE}" title="Ports de bras">
  <music metre="3/4" counts-per-bar="1" tempo="54">Calm.</music>
  <start><feet in="first"/><arms in="low rounded"/></start>
  <quality>Softly.</quality>
  <phrase counts="2"><frame at="1"><arms in="first"/></frame></phrase>
</score>"""


@pytest.fixture(scope="module")
def house() -> House:
    return open_house()


def written(folder: Path, attributes: str = "") -> Path:
    path = folder / "book.xml"
    path.write_text(BOOK.format(namespace=NAMESPACE, attributes=attributes), encoding="utf-8")
    (folder / "score.xml").write_text(SCORE, encoding="utf-8")
    return path


def style_file(folder: Path, inside: str, attributes: str = "") -> Path:
    path = folder / "house.xml"
    path.write_text(f'<style xmlns="{NAMESPACE}" {attributes}>{inside}</style>', encoding="utf-8")
    return path


def built(book: Path, house: House, style: Path | None = None) -> tuple[Report, Path]:
    out = book.with_suffix(".pdf")
    return build_book(book, out, Asked(), 1, house, lambda what: None, style), out


def text_of(path: Path) -> str:
    with pypdfium2.PdfDocument(path) as document:
        texts = []
        for page in document:
            textpage = page.get_textpage()
            texts.append(textpage.get_text_bounded())
            textpage.close()
            page.close()
        return "\n".join(texts)


def faces_in(path: Path) -> set[str]:
    with pikepdf.open(path) as pdf:
        fonts = (font for page in pdf.pages for font in page.resources.get("/Font", {}).values())
        return {str(font.BaseFont).partition("+")[2] for font in fonts}


def test_a_second_house_changes_a_book_without_a_template(tmp_path: Path, house: House) -> None:
    book = written(tmp_path)
    report, out = built(book, house)
    assert not report.diagnostics
    plain, plain_faces = text_of(out), faces_in(out)
    with pikepdf.open(out) as pdf:
        assert str(pdf.Root.Lang) == "en-GB"
    report, out = built(book, house, THREE_LARCHES)
    assert not report.diagnostics
    other = text_of(out)
    assert plain_faces == {"Crimson-Text", "Crimson-Text-Italic", "Crimson-Text-Semi-Bold"}
    assert faces_in(out) >= {"Crimson-Text", "Spectral", "Spectral-Italic"}
    assert all(name.startswith(("Crimson-Text", "Spectral")) for name in faces_in(out))
    for english, french in (
        ("Before you dance", "Avant de danser"),
        ("Contents", "Table des matières"),
        ("How to read the stave", "Lire la portée du mouvement"),
        ("top of head", "sommet de la tête"),
        ("two dashes", "deux tirets"),
        ("QUALITIES", "qualités"),
        ("One count to a bar", "Un compte par mesure"),
        ("Music", "musique"),
    ):
        assert english in plain
        assert french in other
        assert english not in other
    with pikepdf.open(out) as pdf:
        assert str(pdf.Root.Lang) == "fr-FR"


def test_a_books_own_school_and_language_of_text_stand_over_the_house(
    tmp_path: Path, house: House
) -> None:
    book = written(tmp_path, 'school="russian" language="en"')
    report, out = built(book, house, THREE_LARCHES)
    assert not report.diagnostics
    text = text_of(out)
    assert "départ Feet in first; arms in preparatory." in text
    assert "\u202f" not in text
    with pikepdf.open(out) as pdf:
        assert str(pdf.Root.Lang) == "en-GB"


def test_the_last_style_lies_uppermost(tmp_path: Path, house: House) -> None:
    style = style_file(tmp_path, '<stave height="12"/><type size="9"/>', 'labels="fr"')
    project = with_style(load_project(written(tmp_path), "book.xml"), load_style(style))
    outfit = outfit_of(project.sheets, house)
    setting = outfit.setting
    assert setting.style.stave_height == 12
    assert outfit.labels == "fr"
    assert outfit.school is None
    paper = in_type(PAPERS["A5"], setting.style)
    assert paper.type_size == 9
    assert paper.leading / paper.type_size == pytest.approx(
        PAPERS["A5"].leading / PAPERS["A5"].type_size
    )
    assert in_type(PAPERS["A5"], setting_of((), house).style) == PAPERS["A5"]


@pytest.mark.parametrize(
    ("asked", "own", "height"),
    [
        (Asked(), '', PAPERS["A5"].stave),
        (Asked(paper="A4"), '', PAPERS["A4"].stave),
        (Asked(edition="cards"), "", 14),
        (Asked(paper="A4"), '<stave height="8"/>', 8),
    ],
)  # fmt: skip
def test_a_stave_is_as_high_as_the_paper_says_unless_a_style_does(
    asked: Asked, own: str, height: float, tmp_path: Path, house: House
) -> None:
    path = written(tmp_path)
    path.write_text(path.read_text(encoding="utf-8").replace('<stave height="9"/>', own))
    edition = manuscript_of(load_project(path, "book.xml"), asked, house).value
    assert edition is not None
    assert edition.setting.style.stave_height == height
    assert in_key(edition.setting).style.stave_height >= height


def test_a_binding_margin_is_taken_from_the_lines_of_music(tmp_path: Path, house: House) -> None:
    style = load_style(style_file(tmp_path, '<page binding="20"/>'))
    project = with_style(load_project(written(tmp_path), "book.xml"), style)
    edition = manuscript_of(project, Asked(), house).value
    assert edition is not None
    usual = PAPERS["A5"]
    assert edition.paper.inside == usual.inside + 20
    assert edition.paper.outside == usual.outside
    assert edition.paper.music == usual.music - 20
    ((_, piece),) = edition.pieces
    widths = [float(re.search(r'width="([0-9.]+)mm"', line.svg)[1]) for line in piece.lines]  # type: ignore[index]
    assert max(widths) <= usual.music - 20 + 0.01


def test_a_text_face_named_alone_is_that_of_the_headings_too(tmp_path: Path, house: House) -> None:
    below = load_style(style_file(tmp_path, '<type text="Spectral" headings="Crimson Text"/>'))
    above = load_style(style_file(tmp_path, '<type text="Spectral"/>'))
    one = setting_of(below.sheets, house).faces
    assert [family.family for family in one.families] == ["Spectral", "Crimson Text"]
    both = setting_of((*below.sheets, *above.sheets), house).faces
    assert [family.family for family in both.families] == ["Spectral"]
    headings = load_style(style_file(tmp_path, '<type headings="Spectral"/>'))
    other = setting_of(headings.sheets, house).faces
    assert [family.family for family in other.families] == ["Crimson Text", "Spectral"]


def test_labels_in_another_language_than_the_text_are_marked(tmp_path: Path, house: House) -> None:

    style = load_style(style_file(tmp_path, "", 'labels="fr"'))
    project = with_style(load_project(written(tmp_path, 'language="en"'), "book.xml"), style)
    edition = manuscript_of(project, Asked(), house).value
    assert edition is not None
    setting = setting_of(project.sheets, house)
    (chapter,) = chapter_sheets(SECTIONS["chapters"], edition, setting)
    (html,) = tree_of(chapter.html).all("html")
    assert html.attributes["lang"] == "en-GB"
    marked = [tag.text for tag in html.all() if tag.attributes.get("lang") == "fr-FR"]
    assert "Qualités" in marked
    assert not any("Pieds en première" in text for text in marked)
    (reading,) = reading_sheets(SECTIONS["reading"], edition, setting)({})
    (html,) = tree_of(reading.html).all("html")
    assert html.attributes["lang"] == "fr-FR"


def test_faults_of_the_style_are_told_at_its_own_file_and_leave_no_book(
    tmp_path: Path, house: House
) -> None:
    style = style_file(tmp_path, '<type text="Spectrl"/>', 'labels="fx"')
    report, out = built(written(tmp_path), house, style)
    assert not out.exists()
    found = {fault.code: fault for fault in report.diagnostics}
    assert set(found) == {"B513", "B514"}
    for fault in found.values():
        assert fault.span is not None
        assert fault.span.path == str(style)
        assert fault.span.line == 1
    assert found["B513"].hints[0] == "Did you mean “Spectral”?"
    assert found["B514"].hints[-1] == "Expected en or fr."
    report, out = built(written(tmp_path), house, tmp_path / "score.xml")
    assert [fault.code for fault in report.diagnostics] == ["B604"]
    assert not out.exists()
