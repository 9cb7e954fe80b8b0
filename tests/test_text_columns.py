"""Columns of text: the laws of where they end, over made-up texts, and on paper."""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Sequence
from itertools import accumulate, chain, pairwise

import pytest
from hypothesis import given
from hypothesis import strategies as st

from stavebound.book.common import page_css, spreads
from stavebound.book.side_by_side import NEVER, Portion, even, filled, height
from stavebound.press import Chapter, Pressed, press_chapters
from tests.support.small_book import small_book
from tests.support.staves import LAYOUTS

LINE = 13.0


@st.composite
def texts(draw: st.DrawFn, most: int = 24) -> tuple[Portion, ...]:
    """Portions of a few lines, some of which may not begin a column, or do so at a cost."""
    lines = draw(st.lists(st.integers(1, 4), min_size=1, max_size=most))
    costs = st.sampled_from((0.0, 0.0, 1.5 * LINE, NEVER))
    tops = accumulate((LINE * n for n in lines), initial=0.0)
    return tuple(
        Portion(top, top + LINE * n, draw(costs)) for top, n in zip(tops, lines, strict=False)
    )


def columns(text: Sequence[Portion], ends: Sequence[int]) -> list[Sequence[Portion]]:
    return [text[start:end] for start, end in pairwise((0, *ends))]


def highest(text: Sequence[Portion], *ends: int) -> float:
    return max(map(height, columns(text, ends)))


@given(texts())
def test_two_columns_are_as_low_as_they_can_be_for_what_it_costs(text: tuple[Portion, ...]) -> None:
    def cost(end: int) -> float:
        return highest(text, end, len(text)) + (text[end].cost if end < len(text) else 0.0)

    end, last = even(text, 2)
    assert last == len(text)
    assert end == len(text) or text[end].cost < NEVER
    assert cost(end) == pytest.approx(min(map(cost, range(1, len(text) + 1))))


@given(texts(most=60), st.integers(1, 3), st.integers(4, 12), st.integers(0, 4))
def test_pages_of_columns_are_full_but_for_the_last(
    text: tuple[Portion, ...], count: int, lines: int, less: int
) -> None:
    rooms = (LINE * (lines - less), *(LINE * lines for _ in text))
    start = 0
    pages = tuple(filled(text, count, rooms[0], rooms[1]))
    for page, room in zip(pages, rooms, strict=False):
        for end in page:
            assert height(text[start:end]) <= room or end == start + 1
            if page != pages[-1]:
                more = [at for at in range(end + 1, len(text)) if text[at].cost < NEVER]
                assert all(height(text[start:at]) > room for at in more)
            start = end
    assert start == len(text)


SETTING = spreads(small_book())


def laid_out(body: str) -> Pressed:
    html = f'<html lang="en"><title>x</title><body>{body}</body></html>'
    css = page_css(small_book())
    (part,) = press_chapters([Chapter("one", html, css=css, spreads=SETTING)], small_book().faces)
    return part


def paragraph(name: str, lines: int) -> str:
    return f'<p id="{name}">{"<br>".join(["words"] * lines)}</p>'


# What spans both columns; the press lays them out as one, half as wide.
SPANS = "column-span: all; margin-right: calc(-100% - 6mm)"
# Lines of paragraphs that stand left and right: whole, or parted where that saves two lines.
SIDE_BY_SIDE = (
    ((3, 4, 2), "a", "bc"),
    ((5, 2), "a", "b"),
    ((2, 2, 1), "a", "bc"),
    ((1, 1, 5), "ab", "c"),
    ((3, 5, 2), "ab", "c"),
    ((3,), "a", ""),
)


def test_groups_of_words_stand_side_by_side_under_what_spans_them() -> None:
    def card(at: int, lines: Sequence[int]) -> str:
        words = "".join(paragraph(f"{name}{at}", n) for name, n in zip("abc", lines, strict=False))
        facts = f'<p style="{SPANS}" id="facts{at}">{"facts " * 20}</p>'
        box = f'<div class="columns">{facts}<div>{words}</div></div>'
        return f'<section class="card"><h1 id="h{at}">1</h1>{box}{paragraph(f"d{at}", 1)}</section>'

    part = laid_out("".join(card(at, lines) for at, (lines, *_) in enumerate(SIDE_BY_SIDE)))
    place = {anchor.name: anchor for anchor in part.anchors}
    assert part.pages == len(SIDE_BY_SIDE)
    for at, (lines, left, right) in enumerate(SIDE_BY_SIDE):
        first = place[f"a{at}"]
        assert first.x == place[f"facts{at}"].x == min(place[f"{name}{at}"].x for name in left)
        assert all(place[f"{name}{at}"].x > first.x for name in right)
        if lines[0] < lines[-1] or right.startswith("b"):
            assert place[f"{right[0]}{at}"].y == pytest.approx(first.y)


def test_a_list_in_columns_goes_over_pages_in_its_order() -> None:
    entries = [f"e{at}" for at in range(190)]
    listed = "".join(f'<li id="{name}">entry</li>' for name in entries)
    box = f'<div class="index columns"><ul>{listed}</ul></div>'
    part = laid_out(f'<section class="listing"><h1 id="x">Index</h1>{box}</section>')
    places = {anchor.name: (anchor.page, anchor.x, -anchor.y) for anchor in part.anchors}
    found = [places[name] for name in entries]
    assert found == sorted(found)
    counts = Counter((page, x) for page, x, _ in found)
    *full, last = (
        [n for (page, _), n in counts.items() if page == number] for number in range(part.pages)
    )
    assert [len(page) for page in (*full, last)] == [2] * part.pages
    lines = small_book().paper.lines
    assert full[1:] == [[lines, lines]] * (part.pages - 2)
    assert full[0][0] == full[0][1] < lines
    assert 0 <= last[0] - last[1] <= 1


def test_no_style_sheet_has_text_laid_out_until_its_columns_are_even() -> None:
    """It takes the press many times as long."""
    for layout in LAYOUTS.values():
        for sheet in chain.from_iterable(folder.iterdir() for folder in layout.folders):
            if sheet.name.endswith(".css"):
                found = re.search(r"\bcolumn(s|-count|-width)\s*:", sheet.read_text("utf-8"))
                assert found is None, sheet.name
