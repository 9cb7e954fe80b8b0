"""Chapters bound: numbers, folios, links, outline and what the file says of itself."""

import dataclasses
import io
import itertools
import re
from collections.abc import Iterator
from datetime import datetime

import pikepdf
import pytest
from hypothesis import given
from hypothesis import strategies as st

from stavebound.press import (
    Bookmark,
    Destination,
    Folios,
    Leaf,
    Pressed,
    PressError,
    anchor_pages,
    bind,
    leaves,
    margin_chapters,
    number_pages,
    press_chapters,
    printed_numbers,
)
from stavebound.press.numbering import roman
from stavebound.press.strips import cut
from tests.support.press_samples import (
    A5,
    BOOK,
    FACES,
    MARGINS,
    METADATA,
    SHIFT,
    page_texts,
    press_book,
    read,
    strips,
)

POINTS = 72 / 25.4


@pytest.fixture(scope="module")
def parts() -> tuple[Pressed, ...]:
    return press_chapters(BOOK, FACES)


@pytest.fixture(scope="module")
def bound() -> bytes:
    return press_book(1)[1]


@pytest.fixture
def book(bound: bytes) -> Iterator[pikepdf.Pdf]:
    with pikepdf.open(io.BytesIO(bound)) as opened:
        yield opened


def made(key: str, pages: int, folios: Folios, *anchors: str) -> Pressed:
    places = tuple(Destination(name, pages - 1, 0, 0) for name in anchors)
    return Pressed(key, b"", pages, places, folios=folios)


def test_roman_numerals() -> None:
    assert [roman(number) for number in (1, 4, 9, 14, 40, 90, 400, 1999)] == [
        "i", "iv", "ix", "xiv", "xl", "xc", "cd", "mcmxcix",
    ]  # fmt: skip


@st.composite
def parts_of_a_book(draw: st.DrawFn) -> list[Pressed]:
    """Up to eight chapters of up to nine pages, on some of which openings begin."""
    chapters = []
    for _ in range(draw(st.integers(0, 8))):
        chapter = made("part", draw(st.integers(1, 9)), draw(st.sampled_from(list(Folios))))
        starts = draw(st.sets(st.integers(0, chapter.pages - 1)))
        chapters.append(dataclasses.replace(chapter, openings=tuple(sorted(starts))))
    return chapters


@given(parts_of_a_book())
def test_chapters_open_on_the_right_and_numbers_run_on(parts: list[Pressed]) -> None:
    pages = number_pages(parts)
    for index, page in enumerate(pages):
        if page.page == 0 and page.part is not None:
            assert index % 2 == 0
        if page.folios is Folios.ARABIC:
            assert page.number % 2 == (index + 1) % 2
    for kind in (Folios.ROMAN, Folios.ARABIC):
        numbers = [page.number for page in pages if page.folios is kind]
        assert numbers == list(range(1, len(numbers) + 1))
    placed = [(page.part, page.page) for page in pages if page.part is not None]
    assert placed == [(at, page) for at, part in enumerate(parts) for page in range(part.pages)]
    assert all(page.part is not None for page in pages[-1:])


@given(parts_of_a_book())
def test_openings_of_two_pages_face_each_other(parts: list[Pressed]) -> None:
    pages = number_pages(parts)
    bound = {(page.part, page.page): index for index, page in enumerate(pages)}
    for at, part in enumerate(parts):
        starts = [page for page in part.openings if page > 0]
        for start, end in itertools.pairwise((*starts, part.pages)):
            if end - start == 2:
                assert bound[at, start] % 2 == 1
    empty = [index for index, page in enumerate(pages) if page.part is None]
    assert all(after - before > 1 for before, after in itertools.pairwise(empty))


def test_printed_numbers_follow_the_order_of_the_parts() -> None:
    cover = made("cover", 1, Folios.NONE, "cover")
    front = made("front", 3, Folios.ROMAN, "imprint")
    one, two = made("one", 1, Folios.ARABIC, "one"), made("two", 2, Folios.ARABIC, "two")
    assert printed_numbers([cover, front, one, two]) == {"imprint": "iii", "one": "1", "two": "4"}
    assert printed_numbers([one, two]) == {"one": "1", "two": "4"}
    assert anchor_pages([cover, front, one, two])["two"] == 9


def test_an_id_used_by_two_chapters_is_refused() -> None:
    one, two = made("one", 1, Folios.ARABIC, "same"), made("two", 1, Folios.ARABIC, "same")
    with pytest.raises(PressError, match="chapter two: the id same"):
        printed_numbers([one, two])


def test_labels_and_folios_agree(bound: bytes) -> None:
    with read(bound) as document:
        labels = [document.get_page_label(index) for index in range(len(document))]
    assert labels == ["i", "ii", "iii", "iv", "1", "2", "3", "4", "5"]
    last_words = [(text.split() or [""])[-1] for text in page_texts(bound)]
    assert last_words == ["Title", "Imprint", "iii", "", "1", "2", "3", "", "5"]


def test_margins_are_artifacts_and_pages_are_of_one_size(book: pikepdf.Pdf) -> None:
    boxes = {tuple(map(str, page.mediabox)) for page in book.pages}
    assert len(boxes) == 1
    painted = [pikepdf.parse_content_stream(page) for page in book.pages]
    operators = [[str(instruction.operator) for instruction in page] for page in painted]
    stamped = ["BDC" in page for page in operators]
    assert stamped == [False, False, True, False, True, True, True, False, True]
    begin = operators[2].index("BDC")
    assert operators[2][0] == "q"
    assert operators[2][begin - 1 : begin + 3] == ["Q", "BDC", "q", "cm"]
    assert operators[2][-4:] == ["TJ", "ET", "Q", "EMC"]
    assert str(painted[2][begin].operands[0]) == "/Artifact"


def test_left_hand_pages_and_their_links_are_moved_over(
    parts: tuple[Pressed, ...], bound: bytes
) -> None:
    """The word "Imprint" is on a left page; "Title" before it is not. Both began at one place."""
    with read(bound) as document:
        lefts = [document[index].get_textpage().get_charbox(0)[0] for index in (0, 1)]
    with read(parts[0].pdf) as document:
        laid = [document[index].get_textpage().get_charbox(0)[0] for index in (0, 1)]
    assert lefts == pytest.approx([laid[0], laid[1] + SHIFT], abs=0.01)
    with pikepdf.open(io.BytesIO(bound)) as book:
        names = pikepdf.NameTree(book.Root.Names.Dests)
        assert float(names["imprint"][2]) - float(names["title"][2]) == pytest.approx(SHIFT)


def test_running_heads_help_to_find() -> None:
    """The chapter on the left, on the right what goes on from the page before."""
    marks = (
        Bookmark(1, "At the barre", 0, 500), Bookmark(2, "1  Pliés", 1, 500),
        Bookmark(2, "2  Tendus", 3, 500), Bookmark(2, "3  Frappés", 6, 500),
    )  # fmt: skip
    chapter = Pressed("one", b"", 7, bookmarks=marks, openings=(1, 3, 6), blind=(4,))
    assert leaves([made("front", 1, Folios.NONE), chapter]) == (
        Leaf(), Leaf(),
        Leaf("1", ""), Leaf("2", "At the barre"), Leaf("3", "1 Pliés"), Leaf("4", "At the barre"),
        Leaf(), Leaf("6", "At the barre"), Leaf("7", "At the barre"),
    )  # fmt: skip


def test_running_heads_of_lists_tell_from_where_to_where() -> None:
    words = [("adage", 0), ("barre", 1), ("coupé", 1), ("fondu", 2)]
    marks = (Bookmark(1, "Glossary", 0, 500), *(Bookmark(6, word, at, 400) for word, at in words))
    heads = [leaf.head for leaf in leaves([Pressed("one", b"", 4, bookmarks=marks)])]
    assert heads == ["", "barre – coupé", "fondu", "Glossary"]


def test_links_lead_to_the_pages_they_name(book: pikepdf.Pdf) -> None:
    names = pikepdf.NameTree(book.Root.Names.Dests)
    places = {name: book.pages.index(pikepdf.Page(goal[0])) for name, goal in names.items()}
    assert places == {
        "title": 0, "imprint": 1, "how": 2, "plies": 4, "a": 4, "côté": 5, "tendus": 8,
    }  # fmt: skip
    links = [link for page in book.pages for link in page.get("/Annots", [])]
    assert [str(link.Dest) for link in links if "/Dest" in link] == ["plies", "côté", "côté"]
    assert [str(link.A.URI) for link in links if "/A" in link] == ["https://example.org/"]


def test_a_link_that_no_chapter_answers_is_refused(parts: tuple[Pressed, ...]) -> None:
    with pytest.raises(PressError, match="no chapter has: côté, plies"):
        bind(parts[:1], strips(parts[:1]), METADATA)


def test_margins_must_fit_the_pages(parts: tuple[Pressed, ...]) -> None:
    few = margin_chapters(leaves(parts)[1:], MARGINS, "en", A5)
    large = margin_chapters(leaves(parts), MARGINS, "en", (210, 297))
    few_layer, large_layer = press_chapters(few, FACES), press_chapters(large, FACES)
    with pytest.raises(PressError, match="9 pages to stamp, but 8 pages of margins"):
        bind(parts, few_layer, METADATA)
    with pytest.raises(PressError, match="another size"):
        bind(parts, large_layer, METADATA)


def test_margins_hold_words_alone(parts: tuple[Pressed, ...]) -> None:
    ruled = strips(parts, css=f"{MARGINS} .head {{ border-bottom: 1pt solid #000 }}")
    with pytest.raises(PressError, match="what is no word"):
        bind(parts, ruled, METADATA)


def test_margins_are_laid_out_as_one_however_many_pages_there_are() -> None:
    parts = [Pressed("one", b"", 600)]
    laid_out = press_chapters(margin_chapters(leaves(parts), MARGINS, "en", A5), FACES)
    assert [strip.pages for strip in laid_out] == [1, 1, 1]
    with pikepdf.new() as book:
        margins = tuple(cut(book, laid_out, (A5[0] * POINTS, A5[1] * POINTS)))
        shown = [page.stream.split(b"[")[1] for page in margins]
    assert len(margins) == 600
    assert len(set(shown)) == 600


def test_the_outline_is_nested_and_points_to_pages(bound: bytes) -> None:
    with read(bound) as document:
        outline = [
            (entry.level, entry.get_title(), entry.get_dest().get_index())
            for entry in document.get_toc()
        ]
    assert outline == [
        (0, "How to read", 2), (0, "Pliés", 4), (1, "A", 4), (1, "B", 5), (0, "Tendus", 8),
    ]  # fmt: skip


def test_metadata_is_written_twice_alike(book: pikepdf.Pdf) -> None:
    with book.open_metadata(set_pikepdf_as_editor=False) as xmp:
        assert xmp["dc:title"] == METADATA.title
        assert xmp["dc:creator"] == [METADATA.author]
        assert xmp["dc:description"] == METADATA.subject
        assert xmp["dc:language"] == {"en"}
        assert xmp["xmp:CreateDate"] == xmp["xmp:ModifyDate"] == "2026-01-02T03:04:05+00:00"
        assert xmp["xmp:CreatorTool"] == str(book.docinfo.Creator) == "stavebound"
        assert xmp["pdf:Producer"] == str(book.docinfo.Producer)
    assert re.fullmatch(r"weasyprint [\d.]+, pikepdf [\d.]+", str(book.docinfo.Producer))
    assert str(book.docinfo.Title) == METADATA.title
    assert str(book.docinfo.CreationDate).startswith("D:20260102030405")
    assert str(book.Root.Lang) == "en"


def test_what_is_not_known_is_left_out(parts: tuple[Pressed, ...]) -> None:
    bound = bind(parts, strips(parts), dataclasses.replace(METADATA, author="", subject=""))
    with pikepdf.open(io.BytesIO(bound)) as opened:
        assert set(opened.docinfo) == {
            "/Title", "/Creator", "/Producer", "/CreationDate", "/ModDate",
        }  # fmt: skip


def test_a_date_without_a_zone_is_refused(parts: tuple[Pressed, ...]) -> None:
    naive = dataclasses.replace(METADATA, created=datetime(2026, 1, 2))
    with pytest.raises(PressError, match="no time zone"):
        bind(parts, strips(parts), naive)


def test_subsets_that_differ_have_names_that_differ(book: pikepdf.Pdf) -> None:
    files: dict[str, bytes] = {}
    for thing in book.objects:
        if isinstance(thing, pikepdf.Dictionary) and thing.get("/Type") == "/FontDescriptor":
            content = thing.FontFile2.read_bytes()
            assert files.setdefault(str(thing.FontName), content) == content
    assert len(files) > len({name.partition("+")[2] for name in files})
