"""Layouts are data: a second one needs no Python, and a wrong name in one is told with those
that there are."""

from __future__ import annotations

from datetime import date
from decimal import Decimal
from pathlib import Path

import pypdfium2
import pytest
import typer

from stavebound.book.descriptions import LayoutError, load_layouts
from stavebound.book.editions import BACK, BODY, REFERRING
from stavebound.book.front import FRONT
from stavebound.book.layouts import Asked, Layouts, edition_names, laid_out, paper_names
from stavebound.build.books import build_book, layouts_for
from stavebound.build.loading import load_project
from stavebound.build.manuscripts import manuscript_of
from stavebound.build.setting import in_type
from stavebound.build.starting import start_book
from stavebound.build.values import House
from stavebound.engrave.style import resolve_style
from stavebound.options import WRONG_USE, of_layout
from stavebound.plan.book import BookPlan, StyleSheet, TypeSetting
from tests.support.staves import CATALOGUE, FACES, LAYOUTS, SYLLABUS

SLIP = Path(__file__).parent / "layouts"
DESCRIPTION = (SLIP / "slip" / "layout.toml").read_text(encoding="utf-8")
SMALL = 'paper = "A5"\n'
POINTS = 72 / 25.4


@pytest.fixture
def house() -> House:
    return House(CATALOGUE, FACES, layouts=load_layouts((SLIP,)))


@pytest.fixture
def book(tmp_path: Path) -> Path:
    """The starter book in the slip's layout."""
    start_book(tmp_path / "book")
    path = tmp_path / "book" / "book.xml"
    text = path.read_text(encoding="utf-8").replace('paper="A5"', 'layout="slip"')
    path.write_text(text, encoding="utf-8")
    return path


def test_another_layout_prints_a_book_on_one_page(book: Path, house: House) -> None:
    """On a paper of its own, with its own order of texts."""
    out = book.with_name("slip.pdf")
    report = build_book(book, out, Asked(), 1, house, lambda what: None)
    assert report.diagnostics == ()
    with pypdfium2.PdfDocument(out) as document:
        (page,) = document
        size, text = page.get_size(), page.get_textpage().get_text_bounded()
        assert document.get_metadata_value("Title") == "My first book: Cards for pupils"
    assert size == pytest.approx((160 * POINTS, 240 * POINTS), abs=0.01)
    order = ["Contents", "Demi-pliés in first", "To bend", "Common faults", "demi-plié"]
    assert [text.index(words) for words in order] == sorted(map(text.index, order))
    assert "A calm waltz" not in text


def test_a_book_s_layout_is_read_from_its_file_and_any_will_do_where_it_cannot_be(
    book: Path, house: House
) -> None:
    assert layouts_for(book, house) == (house.layouts["slip"],)
    book.write_text(book.read_text(encoding="utf-8").replace("slip", "slipp"), encoding="utf-8")
    every = [layout.name for layout in layouts_for(book, house)]
    assert every == [layout.name for layout in house.layouts.values() if layout.editions]
    assert layouts_for(book.with_name("nowhere.xml"), house) == layouts_for(book, house)


@pytest.mark.parametrize(
    ("edition", "paper", "told"),
    [
        ("teacher", None, "no edition teacher in the layout slip. Editions: wall, small."),
        (None, "Letter", "no paper Letter in the layout slip. Papers: slip, A5."),
    ],
)
def test_what_a_layout_has_not_is_told_with_what_it_has(
    edition: str | None,
    paper: str | None,
    told: str,
    house: House,
    capsys: pytest.CaptureFixture[str],
) -> None:
    of_layout(house.layouts["slip"], "small", "A5")
    with pytest.raises(typer.Exit) as left:
        of_layout(house.layouts["slip"], edition, paper)
    assert left.value.exit_code == WRONG_USE
    assert capsys.readouterr().err == f"There is {told}\n"


@pytest.mark.parametrize(
    ("distance", "code"), [('"least step sise" = 13', "B506"), ('"least step size" = 40', "B517")]
)
def test_a_distance_of_an_edition_is_held_to_its_bounds_at_the_description(
    distance: str, code: str, book: Path, tmp_path: Path
) -> None:
    text = DESCRIPTION.replace(SMALL, f"{SMALL}distances.A5 = {{ {distance} }}\n")
    house = House(CATALOGUE, FACES, layouts=read(tmp_path, text))
    book.write_text(book.read_text(encoding="utf-8").replace("slip", "odd"), encoding="utf-8")
    made = manuscript_of(load_project(book, book.name), Asked("small"), house)
    (fault,) = made.diagnostics
    assert fault.code == code
    assert fault.span
    assert Path(fault.span.path) == tmp_path / "odd" / "layout.toml"


def test_an_edition_has_margins_and_type_of_its_own_on_a_paper(tmp_path: Path) -> None:
    """The type of a house is larger there in the same proportion."""
    own = "loose = true\non.A5 = { type_size = 12.9, leading = 16, inside = 10, lines = 30 }\n"
    layout = read(tmp_path, DESCRIPTION.replace(SMALL, SMALL + own))["odd"]
    plan = BookPlan("A book", date=date(2026, 1, 1), chapters=(), layout="odd")
    paper = laid_out(plan, Asked("small"), {"odd": layout})[0].paper
    assert (paper.type_size, paper.leading, paper.inside, paper.lines) == (12.9, 16, 10, 30)
    assert paper.shift == 0
    style = resolve_style(CATALOGUE, (StyleSheet(type=TypeSetting(size=Decimal(10))),))
    assert in_type(paper, style).type_size == pytest.approx(10 * 12.9 / 10.75)


def test_the_usual_layout_comes_first_and_others_are_added(house: House) -> None:
    assert next(iter(LAYOUTS)) == "syllabus"
    assert list(house.layouts) == [*LAYOUTS, "slip"]
    assert {"teacher", "cards", "music", "examiner"} <= {*edition_names(LAYOUTS.values())}
    papers = paper_names(LAYOUTS.values())
    assert len({*papers}) == len(papers)
    assert paper_names(house.layouts.values()) == (*papers, "slip")


def test_every_maker_is_used() -> None:
    for place, makers in (("front", FRONT), ("body", {**BODY, **REFERRING}), ("back", BACK)):
        used = {section.make for row in SYLLABUS.editions for section in getattr(row, place)}
        assert used == set(makers)


def read(folder: Path, text: str) -> Layouts:
    (folder / "odd").mkdir()
    for file in ("page.css", "wall.html"):
        (folder / "odd" / file).write_bytes((SLIP / "slip" / file).read_bytes())
    (folder / "odd" / "layout.toml").write_text(text, encoding="utf-8")
    return load_layouts((folder,))


@pytest.mark.parametrize(
    ("old", "new", "told"),
    [
        ('"exercises"', '"exercise"', "section wall: there is no maker exercise. Did you mean"),
        ('body = ["wall"]', 'body = ["wal"]', "edition wall, body: there is no section wal."),
        ('body = ["wall"]', 'front = ["wall"]\nbody = ["wall"]', "wall stands there twice"),
        ("wall.html", "wal.html", "section wall: there is no file wal.html. Did you mean wall"),
        ('"contents"', '"content"', "section wall: there is no label content. Did you mean cont"),
        ('"cards"', '"card"', "edition wall: there is no label card. Did you mean cards?"),
        (
            '"slip", "A5"',
            '"slip", "A7"',
            "papers: there is no paper A7. Known: A5, A4, Letter, slip.",
        ),
        ('paper = "A5"', 'paper = "A4"', "edition small: there is no paper A4."),
        ('"aim", "fault"', '"aims", "fault"', "section wall: there is no text aims. Did you mean"),
        ('aim = "words"', 'aim = "word"', "form aim: there is no form word. Did you mean words?"),
        ('aim = "words"', 'aims = "words"', "form: there is no text aims. Did you mean aim?"),
        ('"aim", "fault"', '"lead", "fault"', "section wall: lead as run: there is no label lead"),
        ('name = "small"', 'name = "wall"', "edition: wall stands there twice"),
        ("lines = 50", "line = 50", "paper.0.lines\n"),
        ('body = ["wall"]', "", "edition.0.body\n"),
        ("papers = [", "papers [", "Expected '=' after a key"),
        (SMALL, f"{SMALL}on.A7.lines = 9\n", "edition small, on: there is no paper A7."),
        (SMALL, f"{SMALL}on.A5.type_size = 14\n", "lines 13 pt apart are too close for type of 14"),
        (SMALL, f"{SMALL}on.A5.type_size = 40\n", "edition.1.on.A5.type_size\n"),
        (SMALL, f"{SMALL}on.A5.lines = 90\n", "the type area is larger than the paper"),
        (SMALL, f"{SMALL}costs.pages = 1\n", "small, costs: there is no cost pages. Did you mean"),
    ],
)
def test_a_wrong_name_is_told_with_the_file_and_what_there_is(
    old: str, new: str, told: str, tmp_path: Path
) -> None:
    assert old in DESCRIPTION
    with pytest.raises(LayoutError) as caught:
        read(tmp_path, DESCRIPTION.replace(old, new, 1))
    message = str(caught.value)
    assert message.startswith(f"{tmp_path / 'odd' / 'layout.toml'}: ")
    assert told in message


def test_what_begins_with_bare_pages_comes_first(tmp_path: Path) -> None:
    front = 'front = ["cautions", "title"]\nbody = ["wall"]'
    sections = "".join(
        f'[[section]]\nname = "{name}"\ntemplate = "wall.html"\n\n'
        for name in ("title", "cautions")
    )
    text = DESCRIPTION.replace('body = ["wall"]', front, 1)
    (tmp_path / "odd").mkdir()
    (tmp_path / "odd" / "front.html").write_text("", encoding="utf-8")
    (tmp_path / "odd").rename(tmp_path / "common")
    with pytest.raises(LayoutError, match="edition wall, front: title has to come first"):
        read(tmp_path, text.replace("[[edition]]", f"{sections}[[edition]]", 1))
