"""Nothing runs off a page: words of titles fit or are refused, other words are broken."""

import re
from collections.abc import Iterator
from dataclasses import replace
from pathlib import Path

import pypdfium2
import pytest

from stavebound.book.layouts import Asked
from stavebound.book.places import places
from stavebound.build.books import build_book
from stavebound.build.checking import check_files
from stavebound.build.values import open_house
from stavebound.check.measures import TextPlace, book_words_in_place, score_words_in_place
from stavebound.plan.book import BookPlan
from stavebound.press import Pressed, PressError, press_chapters
from stavebound.press.margins import leaves
from stavebound.press.values import Bookmark
from tests.support.press_samples import chapter
from tests.support.sources import root_of, score_of
from tests.support.staves import FACES, PAPERS, SYLLABUS

PAPER = PAPERS["A5"]
PLACES = places(SYLLABUS.places, PAPER)
POINTS = 72 / 25.4

BOOK = """<book xmlns="urn:stavebound:1" title="{a}" subtitle="{b}" author="{c}" edition="{d}"
  date="2026-01-01" school="english"><imprint><text>{long}</text></imprint>
  <preface><text>{long} <term>{g}</term> <term entry="{g}">{long}</term></text></preface>
  <rights>{long}</rights>
  <chapter title="{e} over and above all that there is to be said of a beginning at the
  barre, and more"><text>{long}</text><exercise score="score.xml"/></chapter>
  <glossary><entry term="{g}" said="{h}">{long}</entry></glossary></book>"""
SCORE = """<score xmlns="urn:stavebound:1" title="{f}" level="{i}" school="english">
  <music metre="3/4" counts-per-bar="1" tempo="54" introduction="4">{long}</music>
  <start><feet in="first"/><arms in="bras bas"/></start><aim>{long}</aim><times>{long}</times>
  <quality>{long}</quality><fault>{long}</fault><variant title="{long}">{long}</variant>
  <source by="{long}">{long}</source><note><emphasis>{long}</emphasis></note>
  <phrase counts="4"><frame at="1" step="{j}"><arms in="first"/></frame></phrase></score>"""

# The texts that are not broken, each by the letter that its word is made of here.
LABELS = {
    "a": "book.title",
    "b": "book.subtitle",
    "c": "book.author",
    "d": "book.edition",
    "e": "chapter.title",
    "f": "score.title",
    "g": "entry.term",
    "h": "entry.said",
    "i": "score.level",
    "j": "frame.step",
}
# How far the ink of a letter hangs over its width, in points.
HANG = 2.0
# No language parts it.
LONG = "x" * 400


def longest(letter: str, most: int = 400) -> int:
    """Of how many such letters a word fits wherever its text is printed."""
    own = [place for place in PLACES if LABELS[letter] in place.of]
    return min(most, *(int(place.room / place.width(letter, FACES) + 1e-9) for place in own))


def written(folder: Path, **more: int) -> tuple[Path, dict[str, str]]:
    """A book whose words are as wide as they may be, or so many letters wider."""
    # A name is of 80 letters at most.
    lengths = {letter: longest(letter, 80 if letter == "g" else 400) for letter in LABELS}
    words = {each: each * (length + more.get(each, 0)) for each, length in lengths.items()}
    (folder / "book.xml").write_text(BOOK.format(long=LONG, **words), encoding="utf-8")
    (folder / "score.xml").write_text(SCORE.format(long=LONG, **words), encoding="utf-8")
    return folder / "book.xml", words


def glyphs(path: Path) -> Iterator[tuple[int, str, tuple[float, float, float, float]]]:
    """The page, letter and box of every letter, in points from the page's lower left corner."""
    with pypdfium2.PdfDocument(path) as document:
        for index in range(len(document)):
            page = document[index]
            text = page.get_textpage()
            for at in range(text.count_chars()):
                yield index, text.get_text_range(at, 1), text.get_charbox(at)
            text.close()
            page.close()


def test_the_widest_words_that_pass_are_printed_whole_and_inside_the_type_area(
    tmp_path: Path,
) -> None:
    """The one test that presses a whole book for it: the table of places is held against what
    the style sheets make of such words."""
    path, words = written(tmp_path)
    out = tmp_path / "book.pdf"
    build_book(path, out, Asked(paper="A5"), 1, open_house(), lambda _: None)
    shown: dict[int, str] = {}
    for page, letter, (left, bottom, right, top) in glyphs(out):
        inside, outside = PAPER.inside * POINTS, PAPER.outside * POINTS
        edge, other = (outside, inside) if page % 2 else (inside, outside)
        if letter.strip():
            assert edge - HANG < left <= right < PAPER.width * POINTS - other + HANG, letter
            assert 0 < bottom <= top < PAPER.height * POINTS
        shown[page] = shown.get(page, "") + letter
    runs = [run[0] for text in shown.values() for run in re.finditer(r"([a-j])\1{3,}", text)]
    assert set(runs) == set(words.values())
    assert sum("x" * 20 in text for text in shown.values()) > 5


@pytest.mark.parametrize("letter", [letter for letter in LABELS if longest(letter) < 80])
def test_a_letter_more_is_refused_at_its_text(letter: str, tmp_path: Path) -> None:
    path, words = written(tmp_path, **{letter: 1})
    score = score_of((tmp_path / "score.xml").read_text("utf-8"), "score.xml")
    plan = root_of(path.read_text("utf-8"), "book.xml")
    assert isinstance(plan, BookPlan)
    faults = (
        *book_words_in_place(plan, PLACES, FACES),
        *score_words_in_place(score, PLACES, FACES),
    )
    (fault,), many = faults, len(words[letter])
    assert (fault.code, fault.hints[0][:24]) == (
        "E411",
        f"Some {many - 1} of its {many} letters"[:24],
    )
    assert fault.span
    lines = (tmp_path / fault.span.path).read_text("utf-8").splitlines()
    assert lines[fault.span.line - 1][fault.span.column - 1 :].startswith(words[letter])


@pytest.mark.parametrize("paper", PAPERS)
def test_there_is_room_in_every_place(paper: str) -> None:
    for place in places(SYLLABUS.places, PAPERS[paper]):
        assert place.width("Pirouettes", FACES) < place.room, place


def test_type_that_leaves_a_place_no_room_is_refused() -> None:
    """Twenty points on the smallest paper: the columns of the list are wider than the page."""
    large = replace(PAPER, type_size=20.0, leading=24.0)
    score = score_of(SCORE.format(long="Words", **dict.fromkeys("fij", "Up")), "score.xml")
    (fault,) = score_words_in_place(score, places(SYLLABUS.places, large), FACES)
    assert fault.code == "E411"
    assert fault.message.endswith("in the list of the music: it is 8 mm wide and has 0 mm")
    assert fault.hints == ("Choose smaller type or a wider paper.",)


def test_a_score_alone_is_held_against_its_places_too(tmp_path: Path) -> None:
    file = tmp_path / "score.xml"
    file.write_text(SCORE.format(long="Words", **dict.fromkeys("ij", "Words"), f="f" * 300))
    report = check_files([file], open_house())
    assert [fault.code for fault in report.diagnostics] == ["E411"]


def test_a_cue_that_no_page_can_hold_is_refused(tmp_path: Path) -> None:
    cue = f"<cue>{'a word ' * 900}</cue><arms"
    file = tmp_path / "score.xml"
    text = SCORE.format(long="Words", **dict.fromkeys("fij", "Up"))
    file.write_text(text.replace("<arms", cue).replace(cue, "<arms", 1), encoding="utf-8")
    report = check_files([file], open_house())
    assert [fault.code for fault in report.diagnostics] == ["E414"]


def test_an_imprint_longer_than_its_page_is_refused(tmp_path: Path) -> None:
    path, _ = written(tmp_path)
    long = path.read_text("utf-8").replace(LONG, "a word " * 800, 1)
    plan = root_of(long)
    assert isinstance(plan, BookPlan)
    assert [fault.code for fault in book_words_in_place(plan, PLACES, FACES)] == ["E413"]


def test_running_heads_too_long_for_their_line_lose_their_last_words() -> None:
    head = TextPlace(("head",), "", 100.0, 9.0)
    marks = (
        Bookmark(1, "A title that is much too long for the head of its page", 0, 500),
        Bookmark(6, "A word that is much too long for its half", 2, 400),
        Bookmark(6, "Another word that is longer than that", 2, 300),
    )

    def fits(text: str, share: float) -> bool:
        return head.width(text, FACES) <= share * head.room

    found = [leaf.head for leaf in leaves([Pressed("one", b"", 3, bookmarks=marks)], fits)]
    assert found == ["", "A title that is much too …", "A word … – Another …"]


@pytest.mark.parametrize("where", ["left: 130mm", "left: -30mm", "top: 215mm", "top: -30mm"])
def test_the_press_refuses_what_stands_outside_of_a_page(where: str) -> None:
    body = f'<p style="position: absolute; white-space: nowrap; {where}">out of the page</p>'
    with pytest.raises(
        PressError, match=r"chapter one: 'out of the page' stands outside of page 1"
    ):
        press_chapters([chapter("one", body)], FACES)
