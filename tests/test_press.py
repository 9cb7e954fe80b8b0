"""One chapter through the press: its places, its faces, and nothing passed in silence."""

import ctypes
import dataclasses
import multiprocessing
import os
import pickle
import re
from html import escape

import pypdfium2
import pytest

from stavebound.book.words import Meanings, html_of
from stavebound.press import Folios, Pressed, PressError, libraries, press_chapters, versions
from stavebound.score.model import Run
from tests.support.press_samples import (
    BOOK,
    CSS,
    FACES,
    PLIES,
    TENDUS,
    chapter,
    embedded,
    page_texts,
    read,
)


@pytest.fixture(scope="module")
def parts() -> tuple[Pressed, ...]:
    return press_chapters(BOOK, FACES)


def test_a_pressed_chapter_tells_pages_places_and_openings(parts: tuple[Pressed, ...]) -> None:
    front, plies, tendus = parts
    assert (front.pages, plies.pages, tendus.pages) == (3, 3, 1)
    assert (front.openings, plies.openings) == ((), (1,))
    assert (front.folios, front.blind) == (Folios.ROMAN, (0, 1))
    pages = {anchor.name: anchor.page for part in parts for anchor in part.anchors}
    assert pages == {
        "title": 0, "imprint": 1, "how": 2, "plies": 0, "a": 0, "côté": 1, "tendus": 0,
    }  # fmt: skip
    assert [(mark.level, mark.label, mark.page) for mark in plies.bookmarks] == [
        (1, "Pliés", 0), (2, "A", 0), (2, "B", 1),
    ]  # fmt: skip
    assert pickle.loads(pickle.dumps(parts)) == parts


def test_places_are_points_from_the_lower_left_corner(parts: tuple[Pressed, ...]) -> None:
    """The title begins in the corner of the type area: 15 mm from the left, 18 mm from the top."""
    (title,) = (anchor for anchor in parts[0].anchors if anchor.name == "title")
    millimetre = 72 / 25.4
    assert title.x == pytest.approx(15 * millimetre, abs=0.01)
    assert title.y == pytest.approx((210 - 18) * millimetre - 10, abs=0.01), "an em of margin"


LINE = (
    Run(
        "text", "The last study is only for those whose teacher has judged that they are ready for "
    ),
    Run("emphasis", "point"),
    Run("text", "; all others dance it on "),
    Run("emphasis", "half point"),
    Run("text", "."),
)


WIDTHS = tuple(95 + step / 4 for step in range(100))


def lines_of(words: str) -> list[str]:
    """The lines of justified paragraphs, each a little wider than the one before."""
    css = (
        CSS
        + """p { text-align: justify; hyphens: auto; hyphenate-limit-chars: 6 3 3 }
        em { font-style: normal }"""
    )
    body = "".join(f'<p style="width: {width}mm">{words}</p>' for width in WIDTHS)
    (part,) = press_chapters([chapter("one", body, css=css)], FACES)
    return [line.strip() for text in page_texts(part.pdf) for line in text.splitlines()]


def test_lines_before_a_marked_word_break_as_in_plain_text() -> None:
    """However nearly one fills the measure, it is not broken after its first word."""
    plain = "".join(run.text for run in LINE)
    marked = html_of(LINE, Meanings({}, {}, "here"))
    assert lines_of(marked) == lines_of(plain)
    assert "The" not in lines_of(plain)


COMPLAINTS = {
    "unknown property": ('<p style="colour: red">x</p>', "colour: red"),
    "unknown selector": ("<style>p::nonsense { color: red }</style>x", "selector"),
    "a stave of another chapter": ('<img src="stave:other">', "stave:other is asked for"),
    "an address": ('<img src="http://127.0.0.1:9/x.png">', "http://127.0.0.1:9/x.png is asked"),
    "a file": ('<img src="file:///etc/hostname">', "file:///etc/hostname is asked for"),
    "a relative file": ('<img src="x.png">', "x.png"),
    "a base": ('<base href="file:///etc/"><img src="hostname">', "hostname"),
    "a style sheet": ('<link rel="stylesheet" href="file:///x.css">', "file:///x.css is asked for"),
    "an import": ("<style>@import url(http://127.0.0.1:9/x.css);</style>", "127.0.0.1:9/x.css"),
    "an attachment": ('<link rel="attachment" href="file:///etc/hostname">', "hostname"),
    "a font of the machine": (
        '<style>@font-face { font-family: O; src: local("DejaVu Sans") }</style>', "'O'",
    ),
    "a link to nowhere": ('<a href="#nowhere">x</a>', "nowhere"),
    "no glyph": ("<p>a ♪ b</p>", "U+266A"),
    "one id twice": ('<p id="same">x</p><p id="same">y</p>', "same"),
}  # fmt: skip


def test_an_opening_that_is_not_there_is_refused() -> None:
    with pytest.raises(PressError, match="chapter faulty: no element has the id nowhere"):
        press_chapters([chapter("faulty", "x", openings=("nowhere",))], FACES)


@pytest.mark.parametrize("case", COMPLAINTS)
def test_nothing_is_passed_in_silence(case: str) -> None:
    body, words = COMPLAINTS[case]
    with pytest.raises(PressError, match=re.escape(words)) as caught:
        press_chapters([chapter("faulty", body)], FACES)
    assert "chapter faulty: " in str(caught.value)


def test_css_of_the_chapter_is_checked_too() -> None:
    with pytest.raises(PressError, match="nonsense"):
        press_chapters([chapter("faulty", "x", css="p { nonsense: 1 }")], FACES)


def test_a_worker_hands_its_complaint_over() -> None:
    chapters = [PLIES, chapter("faulty", '<a href="#nowhere">x</a>')]
    with pytest.raises(PressError, match=r"chapter faulty: .*nowhere"):
        press_chapters(chapters, FACES, jobs=2)
    assert multiprocessing.active_children() == []


def test_the_press_leaves_the_machines_fonts_as_they_were() -> None:
    before = dict(os.environ)
    press_chapters([TENDUS], FACES)
    assert dict(os.environ) == before


def test_text_of_staves_is_set_in_the_embedded_faces() -> None:
    body = '<img src="stave:plain" alt="x"><p style="font-family: Other, monospace">mono</p>'
    (pressed,) = press_chapters([chapter("plain", body)], FACES)
    assert embedded(pressed.pdf) == {"Crimson-Text-Italic", "Crimson-Text"}
    assert "AVAo" in page_texts(pressed.pdf)[0]


TEXTS = ("Handgelenk", "AVATAR fi", "1 & a 2", "narrow\u202fand\u2009thin", "soft\u00adhyphen")


@pytest.mark.parametrize("text", TEXTS)
@pytest.mark.parametrize(("style", "weight"), [("normal", 400), ("italic", 600)])
def test_text_runs_as_wide_as_measured(text: str, style: str, weight: int) -> None:
    css = f"{CSS} p {{ font: {style} {weight} 20pt 'Crimson Text'; white-space: nowrap }}"
    unkerned = "font-kerning: none; font-variant-ligatures: none"
    body = f'<p style="{unkerned}"><span id="start"></span>{escape(text)}<span id="end"></span></p>'
    (pressed,) = press_chapters([chapter("line", body, css=css)], FACES)
    places = {anchor.name: anchor.x for anchor in pressed.anchors}
    measured = FACES.width(text, 20, style, weight)
    assert places["end"] - places["start"] == pytest.approx(measured, abs=0.05)


def test_text_of_staves_runs_as_wide_as_measured() -> None:
    """Letter by letter, without kerning: AV would be drawn together otherwise."""
    (pressed,) = press_chapters([chapter("plain", '<img src="stave:plain" alt="x">')], FACES)
    with read(pressed.pdf) as document:
        text = document[0].get_textpage()
        at = text.get_text_range().index("AVAo")
        first, last = (_origin(text, at + index) for index in (0, 3))
    # The stave is 80 units wide and fills the measure of 118 mm.
    unit = 118 * 72 / 25.4 / 80
    assert last - first == pytest.approx(FACES.width("AVA", 3 * unit, "italic"), abs=0.05)


def _origin(text: pypdfium2.PdfTextPage, index: int) -> float:
    x, y = ctypes.c_double(), ctypes.c_double()
    assert pypdfium2.raw.FPDFText_GetCharOrigin(text, index, x, y)
    return x.value


def test_versions_name_all_that_shapes_the_bytes() -> None:
    found = {library.name: library.version for library in versions()}
    assert set(found) == {
        "pango", "pangoft2", "harfbuzz", "harfbuzz-subset",
        "weasyprint", "pydyf", "pikepdf", "fonttools",
    }  # fmt: skip
    assert all(re.fullmatch(r"\d+(\.\d+)+", version) for version in found.values())


def test_a_missing_library_is_named_with_its_package(monkeypatch: pytest.MonkeyPatch) -> None:
    rows = [
        dataclasses.replace(row, files=("no-such-library",)) if "subset" in row.name else row
        for row in libraries.SHARED
    ]
    monkeypatch.setattr(libraries, "SHARED", rows)
    with pytest.raises(PressError, match=r"lacks harfbuzz-subset.* install libharfbuzz-subset0$"):
        libraries.shared_libraries.__wrapped__()


@pytest.mark.parametrize("width", [120, 121, 121.5, 122, 122.5, 123])
def test_a_line_is_filled_before_a_marked_word(width: float) -> None:
    """Where the space before a mark is what does not fit, a line of hyphenated text used to
    be broken after its first words."""
    words = (
        Run(
            "text",
            "Finish: On the closing chord the arm, its palm already turned down on 8, sinks to ",
        ),
        Run("foreign", "bras bas", "fr"),
        Run("text", ", and the eyes follow it."),
    )
    body = f"<p>{html_of(words, Meanings({}, {}, 'here'))}</p>"
    css = f"""{CSS} @page {{ size: A4 }}
    p {{ width: {width}mm; font: 11pt 'Crimson Text'; hyphens: auto }}"""
    (pressed,) = press_chapters([chapter("line", body, css=css)], FACES)
    first, *_ = page_texts(pressed.pdf)[0].splitlines()
    assert first.strip().endswith(("sinks", "sinks to"))
