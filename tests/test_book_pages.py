"""Pages of a book as HTML: references, anchors, headings, languages, and safe words."""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping
from dataclasses import replace
from datetime import date
from functools import cache
from itertools import chain, pairwise

import pypdfium2
import pytest
from hypothesis import given
from hypothesis import strategies as st
from jinja2 import TemplateError, UndefinedError
from markupsafe import Markup
from weasyprint.layout import preferred
from weasyprint.text.line_break import split_first_line

from stavebound.book.chapters import chapter_sheets
from stavebound.book.common import line_anchor, margins_css, page_css, spreads
from stavebound.book.editions import (
    Ranked,
    body_sheets,
    front_sheets,
    reference_sheets,
    referring_sheets,
)
from stavebound.book.glossary import glossary_sheet
from stavebound.book.papers import Paper
from stavebound.book.references import page_ranges, terms_marked, with_main
from stavebound.book.templates import render
from stavebound.book.values import Manuscript, Sheet
from stavebound.book.words import Meanings, breakable, ended, html_of, slug, term_anchor, whole
from stavebound.plan.book import BookPlan, GlossaryEntry
from stavebound.press import Chapter, press_chapters
from stavebound.score.model import Run
from stavebound.score.words import fold_name
from stavebound.wording.labels import labels
from tests.support.manuscripts import SECTIONS, manuscript, one_chapter
from tests.support.pages import HEADINGS, Tag, anchors_of, headings_of, images_of, links_of, tree_of
from tests.support.press_samples import page_texts
from tests.support.small_book import BOOK, NAMED, SCORE, small_book
from tests.support.staves import PAPERS, SETTING, SYLLABUS
from tests.support.strategies import PRINTED

PLIE = GlossaryEntry("demi-plié", (Run("text", "Half bend."),), "fr", "duh-mee plee-AY")
BARRE = GlossaryEntry("barre", (Run("text", "A rail."),))
READING = Meanings({fold_name(entry.term): entry for entry in (PLIE, BARRE)}, labels("en"), "here")


class Everywhere(dict[str, str]):
    """Every anchor on page 7, for sheets whose numbers do not matter."""

    def __missing__(self, anchor: str) -> str:
        return "7"


def rank(ranked: Ranked) -> tuple[int, int]:
    return ranked[0]


def bodies_of(book: Manuscript, numbers: Mapping[str, str]) -> Iterator[Ranked]:
    return chain(body_sheets(book, SETTING), referring_sheets(book, SETTING)(numbers))


def sheets_of(book: Manuscript) -> tuple[Sheet, ...]:
    numbers = Everywhere()
    return (
        *front_sheets(book, SETTING)(numbers),
        *(sheet for _, sheet in sorted(bodies_of(book, numbers), key=rank)),
        *reference_sheets(book, SETTING, numbers),
    )


@cache
def sheets_in(edition: str) -> tuple[Sheet, ...]:
    return sheets_of(replace(small_book(), edition=SYLLABUS.edition(edition)))


every_edition = pytest.mark.parametrize("edition", [one.name for one in SYLLABUS.editions])


def front_of(numbers: Mapping[str, str], book: Manuscript | None = None) -> Sheet:
    (front,) = front_sheets(book or small_book(), SETTING)(numbers)
    return front


def glossary_of(book: Manuscript, numbers: Mapping[str, str]) -> Sheet:
    (sheet,) = glossary_sheet(SECTIONS["glossary"], book, SETTING, numbers)
    return sheet


# ---------------------------------------------------------------- page references


def numbered(*pages: str, entry: GlossaryEntry = PLIE) -> dict[str, str]:
    """An anchor of the entry on each of these pages, in this order."""
    start = term_anchor(entry.term)
    return {f"{start}here.{index}.1": page for index, page in enumerate(pages, 1)}


@pytest.mark.parametrize(
    ("pages", "printed"),
    [
        ((), []),
        (("4",), ["4"]),
        (("4", "4", "4"), ["4"]),
        (("4", "6"), ["4", "6"]),
        (("4", "5"), ["4–5"]),
        (("9", "10", "11", "13"), ["9–11", "13"]),
        (("13", "3", "12", "4"), ["3–4", "12–13"]),
        (("v", "1", "2"), ["v", "1–2"]),
        (("2", "i", "1"), ["i", "1–2"]),
        (("iv", "v"), ["iv", "v"]),
    ],
)
def test_pages_are_in_order_without_repeats_and_neighbours_joined(
    pages: tuple[str, ...], printed: list[str]
) -> None:
    """Roman ones first and never joined."""
    assert [page.printed for page in page_ranges(numbered(*pages), numbered(*pages))] == printed


def test_a_reference_leads_to_the_first_place_on_its_first_page() -> None:
    numbers = numbered("6", "5", "5", "9")
    found = page_ranges(numbers, numbers)
    assert [page[:2] for page in found] == [
        ("5–6", "term.demi-pli_e9_.here.2.1"),
        ("9", "term.demi-pli_e9_.here.4.1"),
    ]


def test_a_word_is_not_found_where_a_longer_one_stands() -> None:
    longer = numbered("3", entry=GlossaryEntry("barre au sol", ()))
    anchors = longer | {"entry.barre": "8", "line.1.0": "2"} | numbered("5", entry=BARRE)
    assert terms_marked(anchors)[term_anchor(BARRE.term)] == ["term.barre.here.1.1"]


def test_main_pages_are_told_apart_and_no_page_twice() -> None:
    numbers = numbered("4", "5", "6", "8", "v")
    anchors = list(numbers)
    found = with_main(anchors, anchors[1:2], numbers)
    assert [(page.printed, page.main) for page in found] == [
        ("v", False),
        ("4", False),
        ("5", True),
        ("6", False),
        ("8", False),
    ]


@given(st.lists(st.integers(1, 40).map(str), max_size=12))
def test_the_printed_ranges_name_the_pages_and_no_others(pages: list[str]) -> None:
    named: list[int] = []
    for page in page_ranges(numbered(*pages), numbered(*pages)):
        first, _, last = page.printed.partition("–")
        named += range(int(first), int(last or first) + 1)
    assert named == sorted({int(page) for page in pages})


# ---------------------------------------------------------------- words


def spaced(text: str) -> str:
    """With ordinary spaces where words are tied."""
    return text.replace("\u00a0", " ")


def test_words_are_safe_in_html() -> None:
    words = (Run("text", "<b>&"), Run("emphasis", "<i>"), Run("foreign", "<u>", "fr"))
    html = html_of(words, READING)
    assert html == '&lt;b&gt;&amp;<em>&lt;i&gt;</em><i lang="fr">&lt;u&gt;</i>'


@given(st.text(PRINTED, max_size=40), st.sampled_from(["text", "emphasis", "foreign", "term"]))
def test_any_text_reads_back_from_its_html(text: str, kind: str) -> None:
    html = html_of((Run(kind, text, "fr" if kind == "foreign" else None),), READING)
    assert tree_of(str(html)).text == text


@given(st.text(PRINTED, max_size=60), st.sampled_from(["text", "emphasis", "foreign", "term"]))
def test_in_a_cell_long_words_are_in_pieces_and_nothing_else_changes(text: str, kind: str) -> None:
    run = Run(kind, f"&{text} {text}{text}<", "fr" if kind == "foreign" else None)
    html = html_of((Run("text", "Calm & "), run), READING)
    tree = tree_of(str(breakable(html)))
    assert tree.text == tree_of(str(html)).text
    pieces = [piece.text for piece in tree.all("span") if "class" in piece.attributes]
    assert all(len(piece) <= 16 for piece in pieces)
    rest = re.sub('<span class="long">.*?</span>', " ", str(breakable(html)))
    assert all(len(word) <= 16 for word in tree_of(rest).text.split())


@pytest.mark.parametrize(
    ("html", "tied"),
    [
        ("It is left at once.", "It is left at\u00a0once."),
        ("It is here that they are practised.", "It is here that they are practised."),
        ("The leg is extended now.", "The leg is extended\u00a0now."),
        ("It has disadvantages now.", "It has disadvantages now."),
        ("sinks to <i>bras bas</i>.", "sinks to <i>bras\u00a0bas</i>."),
        ('A <a href="x y">bend</a><span> </span><em>now</em>', None),
        ("Bend the knees on 5.", "Bend the knees on\u00a05."),
        (
            "A <i>demi-plié</i> at once.",
            'A <i><span class="whole">demi-plié</span></i> at\u00a0once.',
        ),
        ("It is never-to-be-misunderstood-again.", "It is never-to-be-misunderstood-again."),
        ("Once.", "Once."),
    ],
)
def test_the_last_two_words_of_a_paragraph_are_tied_where_the_last_is_short(
    html: str, tied: str | None
) -> None:
    wanted = tied or html.replace("<span> </span>", "<span>\u00a0</span>")
    assert ended(Markup(html)) == wanted


@given(st.text(PRINTED, max_size=60), st.sampled_from(["text", "emphasis", "foreign", "term"]))
def test_tied_words_are_the_same_words(text: str, kind: str) -> None:
    html = html_of((Run("text", "A "), Run(kind, text), Run("text", " bend & stop.")), READING)
    assert tree_of(str(ended(html))).text.split() == tree_of(str(html)).text.split()


def test_the_space_before_a_mark_stands_by_itself_and_a_fixed_one_does_not() -> None:
    runs = (Run("text", "for\n  "), Run("emphasis", "one"), Run("text", " «\u202f"))
    html = html_of((*runs, Run("foreign", "pas", "fr"), Run("text", " end ")), READING)
    assert html == ('for<span> </span><em>one</em> «\u202f<i lang="fr">pas</i> end ')


def test_a_term_links_to_its_entry_and_can_be_found_again() -> None:
    html = str(html_of((Run("term", "Demi-Plié"), Run("term", "pliés", "demi-plié")), READING))
    first, second = tree_of(html).all("a")
    assert first.text == "Demi-Plié"
    assert first.attributes["href"] == second.attributes["href"] == "stavebound:entry.demi-pli_e9_"
    assert first.attributes["id"].startswith("term.demi-pli_e9_.here.")
    assert not list(first.all("i"))
    (french,) = first.all("span")
    assert french.attributes == {"lang": "fr"}


def test_a_term_without_an_entry_is_plain_and_a_side_is_named() -> None:
    words = (Run("term", "pas de chat"), Run("text", ", "), Run("side", "", "left"))
    assert str(html_of(words, READING)) == "pas de chat, left"


@pytest.mark.parametrize(
    ("text", "made"),
    [
        ("demi-plié", "demi-pli_e9_"),
        ("pas de chat", "pas_20_de_20_chat"),
        ("scores/a.xml", "scores_2f_a_2e_xml"),
    ],
)
def test_a_slug_has_letters_figures_and_hyphens(text: str, made: str) -> None:
    assert slug(text) == made


def test_words_that_are_nearly_alike_have_anchors_of_their_own() -> None:
    alike = ("pas de chat", "pas-de-chat", "pas_de_chat", "pas_20_de", "a/b.xml", "a-b.xml")
    assert len({slug(text) for text in alike}) == len(alike)


# ---------------------------------------------------------------- templates


def test_a_value_that_a_template_lacks_is_an_error() -> None:
    with pytest.raises(UndefinedError):
        render(SYLLABUS.folders, "glossary.html", anchor="glossary")


def test_a_template_that_is_not_there_is_an_error() -> None:
    with pytest.raises(TemplateError):
        render(SYLLABUS.folders, "nowhere.html")


@pytest.mark.parametrize("paper", PAPERS.values(), ids=lambda paper: paper.name)
def test_the_style_sheet_is_of_its_paper(paper: Paper) -> None:
    book = replace(small_book(), paper=paper)
    assert f"{paper.width}mm {paper.height}mm" in page_css(book)
    assert f"right: {paper.outside}mm" in margins_css(book)
    for css in (page_css(book), margins_css(book)):
        assert "{{" not in css
        assert css.count("{") == css.count("}")
    assert paper.measure == paper.width - paper.inside - paper.outside
    assert paper.music + paper.gap + paper.column == pytest.approx(paper.measure)
    assert 110 < paper.music < 125
    assert paper.inside > paper.outside
    assert paper.depth * 72 / 25.4 == pytest.approx(paper.lines * paper.leading)
    assert paper.top + paper.depth + paper.bottom == pytest.approx(paper.height)


def test_a_paragraph_longer_than_a_page_goes_on_line_by_line() -> None:
    book = small_book()
    body = f'<section class="exercise"><h2>1</h2><p>{"word " * 1200}</p></section>'
    html = f'<html lang="en"><title>x</title><body>{body}</body></html>'
    chapter = Chapter("long", html, css=page_css(book), spreads=spreads(book))
    (part,) = press_chapters([chapter], book.faces)
    with pypdfium2.PdfDocument(part.pdf) as document:
        texts = [page.get_textpage().get_text_range() for page in document]
    assert len(texts) > 1
    assert sum(text.count("word") for text in texts) == 1200


@pytest.mark.parametrize("paper", ["A5", "A4"])
def test_a_list_longer_than_a_card_goes_on_on_the_next(paper: str) -> None:
    """In two columns too, where the paper is so large."""
    book = replace(small_book(), paper=PAPERS[paper])
    entries, words = 45, 72
    listed = "".join(f"<li>{'word ' * words}</li>" for _ in range(entries))
    shown = f'<div class="prose"><div class="group listed"><ul>{listed}</ul></div></div>'
    card = f'<section class="card">{shown}</section>'
    html = f'<html lang="en"><title>x</title><body>{card}</body></html>'
    chapter = Chapter("cards", html, css=page_css(book), spreads=spreads(book))
    (part,) = press_chapters([chapter], book.faces)
    texts = page_texts(part.pdf)
    assert len(texts) > 1
    assert sum(text.count("word") for text in texts) == entries * words


@pytest.mark.parametrize("kind", ["p", "ul"])
def test_no_line_stands_alone_on_a_page(kind: str) -> None:
    """A paragraph, or an entry of a list, of four lines, on whatever line it begins."""
    book = small_book()
    words = f"{'line ' * 50}<br>{'line ' * 10}"
    block = f"<p>{words}</p>" if kind == "p" else f'<ul class="listed"><li>{words}</li></ul>'
    parted = set()
    for before in range(book.paper.lines - 6, book.paper.lines + 2):
        body = f'<div style="height: {before * book.paper.leading}pt"></div>{block}'
        html = f'<html lang="en"><title>x</title><body class="prose">{body}</body></html>'
        (pressed,) = press_chapters([Chapter("one", html, css=page_css(book))], SETTING.faces)
        lines = tuple(len(text.splitlines()) for text in page_texts(pressed.pdf))
        assert 1 not in lines, (before, lines)
        parted.add(lines)
    assert len(parted) > 2


def test_neither_compounds_nor_words_of_the_trade_are_broken_nor_short_endings_parted() -> None:
    """In justified columns of all widths, whatever the dictionary of the language would do."""
    book = small_book()
    trade = '<a class="term" href="#x"><span lang="fr">changement</span></a>'
    words = whole(Markup("counted folded rounded demi-plié movement " * 3 + trade))
    for width in range(24, 60, 3):
        body = f'<p id="x" style="width: {width}mm">{words}</p>'
        html = f'<html lang="en-GB"><title>x</title><body>{body}</body></html>'
        (pressed,) = press_chapters([Chapter("one", html, css=page_css(book))], SETTING.faces)
        (text,) = page_texts(pressed.pdf)
        found = set(re.findall(r"[\w-]+", text))
        assert found <= {"counted", "folded", "rounded", "demi-plié", "movement", "changement"} | {
            "move",
            "ment",
        }, (width, text)


def test_no_foreign_word_of_the_glossary_is_broken_and_no_page_begins_a_line() -> None:
    """On lines of all widths, whichever word stands where one ends."""
    words = (Run("text", "The placing of it. From "), Run("foreign", "épaule", "fr"))
    entry = GlossaryEntry("épaulement", (*words, Run("text", ", shoulder.")), "fr")
    book = manuscript(BOOK, dict.fromkeys(("one.xml", "two.xml", "three.xml"), SCORE), NAMED)
    book = replace(book, plan=replace(book.plan, glossary=(entry,)))
    html = glossary_of(book, numbered("33", entry=entry)).html
    start, end = html.index('<p class="entry"'), html.index("</section>")
    entries = "".join(
        html[start:end].replace('id="', f'style="width: {width}mm" id="{width}')
        for width in range(24, 70)
    )
    part = Chapter("one", html[:start] + entries + html[end:], css=page_css(book))
    (made,) = press_chapters([part], SETTING.faces)
    lines = [line.strip() for text in page_texts(made.pdf) for line in text.splitlines()]
    assert sum("épaule, " in f"{line} " for line in lines) == 46
    assert not [line for line in lines if line.startswith("33")]


@pytest.mark.parametrize("words", ["word " * 60, "x" * 300])
def test_a_cell_of_a_table_costs_no_more_than_its_words(
    words: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Each way of breaking it is tried on all that follows: by letters that takes minutes."""
    tried = 0

    def counted(*args: object, **more: object) -> object:
        nonlocal tried
        tried += 1
        return split_first_line(*args, **more)

    monkeypatch.setattr(preferred, "split_first_line", counted)
    book = small_book()
    cell = (
        f'<tr class="character"><td>{breakable(html_of((Run("text", words),), READING))}</td></tr>'
    )
    html = f'<html lang="en"><title>x</title><body><table>{cell}</table></body></html>'
    (pressed,) = press_chapters([Chapter("one", html, css=page_css(book))], SETTING.faces)
    (text,) = page_texts(pressed.pdf)
    assert "".join(text.split()) == "".join(words.split())
    for_each = 60 if " " in words else 300
    assert 0 < tried < 1.5 * for_each


# ---------------------------------------------------------------- sheets


@every_edition
def test_tags_nest_and_headings_go_down_a_step_at_a_time(
    edition: str, subtests: pytest.Subtests
) -> None:
    for sheet in sheets_in(edition):
        with subtests.test(sheet.key):
            levels = headings_of(sheet.html)
            assert levels[0] == 1
            assert all(after <= before + 1 for before, after in pairwise(levels))
            for heading in tree_of(sheet.html).all(*HEADINGS):
                assert heading.text.strip()


@every_edition
def test_a_sheet_says_its_language_and_its_titles(edition: str, subtests: pytest.Subtests) -> None:
    for sheet in sheets_in(edition):
        with subtests.test(sheet.key):
            (html,) = (tag for tag in tree_of(sheet.html).children if not isinstance(tag, str))
            assert html.attributes["lang"] == "en-GB"
            (title,), (body,) = html.all("title"), html.all("body")
            assert title.text == "A small book"
            assert body.text.strip()


@every_edition
def test_every_image_is_there_and_has_words_that_stand_for_it(
    edition: str, subtests: pytest.Subtests
) -> None:
    for sheet in sheets_in(edition):
        with subtests.test(sheet.key):
            for image in tree_of(sheet.html).all("img"):
                assert image.attributes["alt"].strip()
                assert image.attributes["src"].startswith("stave:")
            named = [name.replace("%20", " ") for name in images_of(sheet.html)]
            drawn = [name for name, _ in sheet.images]
            assert set(named) == set(drawn)
            assert len(set(drawn)) == len(drawn)


@every_edition
def test_every_link_has_an_anchor_and_no_anchor_stands_twice(edition: str) -> None:
    anchors = [anchor for sheet in sheets_in(edition) for anchor in anchors_of(sheet.html)]
    links = [link for sheet in sheets_in(edition) for link in links_of(sheet.html)]
    assert len(set(anchors)) == len(anchors)
    assert {link for link in links if not link.startswith("term.")} <= set(anchors)


def test_the_contents_the_key_and_the_glossary_are_linked_to() -> None:
    links = [link for sheet in sheets_in("teacher") for link in links_of(sheet.html)]
    assert {"chapter-1", "chapter-2", "exercise-3", "reading", "glossary"} <= set(links)


def test_french_is_marked_wherever_it_stands() -> None:
    """Terms in running text, entries of the glossary, and foreign words."""
    found = {
        mark.text
        for sheet in sheets_in("teacher")
        for mark in tree_of(sheet.html).all("i", "span")
        if mark.attributes.get("lang") == "fr"
    }
    assert found == {"demi-plié", "pliés", "plier", "élevé"}


def test_the_title_page_has_the_plan_s_own_words() -> None:
    (half, title, imprint, *_) = tree_of(sheets_in("teacher")[0].html).all("section")
    assert half.text.strip() == "A small book"
    assert [part.text for part in title.all("h1", "p")] == [
        "T. Wrenfold",
        "A small book",
        "Three <slow> exercises",
        "The Hill Press2026",
    ]
    (colophon,) = (
        part for part in imprint.all("div") if part.attributes.get("class") == "colophon"
    )
    facts = [part.text for part in colophon.all("p")]
    words = [spaced(part.text) for part in imprint.all("p") if part.text not in facts]
    assert words == ["Made of A & B.", "Free to copy."]


def test_the_title_page_has_a_line_of_the_score_that_the_book_names() -> None:
    (_, title, *_) = tree_of(sheets_in("teacher")[0].html).all("section")
    (image,) = title.all("img")
    name = image.attributes["src"].removeprefix("stave:")
    (piece,) = (piece for path, piece in small_book().pieces if path == "three.xml")
    assert dict(sheets_in("teacher")[0].images)[name] == piece.lines[0].svg


def test_cautions_are_the_usual_ones_and_the_book_s_own() -> None:
    sections = tree_of(sheets_in("teacher")[0].html).all("section")
    (cautions,) = (tag for tag in sections if "cautions" in tag.attributes["class"])
    texts = [spaced(part.text) for part in cautions.all("p")]
    usual = {row.about: row for row in SETTING.catalogue.cautions.caution}
    assert texts == [
        *(row.text for row in usual.values() if row.always),
        "Small ones first.",
    ]


def test_contents_list_every_part_with_its_number() -> None:
    numbers = {"reading": "1", "chapter-1": "3", "exercise-1": "3", "exercise-2": "5"}
    numbers |= {"chapter-2": "9", "exercise-3": "9", "music": "11", "glossary": "13"}
    numbers |= {"index": "15", "leaf": "17", "cautions": "v", "preface": "viii"}
    sheet = front_of(numbers)
    rows = [
        (link.attributes["href"].removeprefix("stavebound:"), link.text)
        for link in tree_of(sheet.html).all("a")
        if link.attributes.get("class") != "term"
    ]
    assert [anchor for anchor, _ in rows] == [
        *("cautions", "preface", "reading", "chapter-1", "exercise-1", "exercise-2"),
        *("chapter-2", "exercise-3", "music", "glossary", "index", "leaf"),
    ]
    for anchor, text in rows:
        assert text.endswith(numbers[anchor])
    assert "At the <barre>" in rows[3][1]


def test_contents_without_a_number_are_an_error() -> None:
    with pytest.raises(UndefinedError):
        front_of({"reading": "1"})


def test_an_exercise_has_its_parts_in_order() -> None:
    exercise, *_ = tree_of(sheets_in("teacher")[2].html).all("section")
    text = spaced(exercise.text)
    parts = [
        "introduction of four counts · left hand on the barre",
        "An even demi-plié.", "One count to a bar. A broad & slow waltz",
        "left hand on it", "Feet in first; arms in bras bas.",
        "Slow <and> even.", "Heels up; from plier.", "Faster", "In half the time.",
        "Springs are danced on a sprung floor", "T. Wrenfold, 2026",
    ]  # fmt: skip
    places = [text.index(part) for part in parts]
    assert places == sorted(places)
    (qualities, faults) = exercise.all("ul")
    assert [len(list(group.all("li"))) for group in (qualities, faults)] == [2, 1]


@pytest.mark.parametrize("asked", [True, False])
def test_a_score_tells_how_far_it_has_come_where_the_book_asks(asked: bool) -> None:
    book = manuscript(
        one_chapter("one.xml"), {"one.xml": SCORE}, f'score-status="{"yes" if asked else "no"}"'
    )
    pieces = tuple(
        (path, replace(piece, score=replace(piece.score, status="checked", date=date(2026, 5, 4))))
        for path, piece in book.pieces
    )
    (sheet,) = chapter_sheets(SECTIONS["chapters"], replace(book, pieces=pieces), SETTING)
    assert ("Score Checked, 4 May 2026." in spaced(tree_of(sheet.html).text)) is asked


def test_a_chapter_tells_what_it_is_the_first_to_write() -> None:
    """The third score writes what the first has, and a foot at the knee besides."""
    frame = '<frame at="1"><foot side="right" to="side" place="knee"/></frame>'
    more = SCORE.replace("</phrase>", frame.replace('at="1"', 'at="2"') + "</phrase>")
    book = manuscript(BOOK, {"one.xml": SCORE, "two.xml": SCORE, "three.xml": more})
    first, second = (
        next(
            " ".join(tag.text.split())
            for tag in tree_of(sheet.html).all("p")
            if tag.attributes.get("class") == "met"
        )
        for sheet in chapter_sheets(SECTIONS["chapters"], book, SETTING)
    )
    assert "Knees and elbows: knee half" in first
    assert "knee" in second
    assert "Knees and elbows" not in second


def test_every_line_of_music_is_a_figure_and_its_words_name_its_bars() -> None:
    book = small_book()
    sheets = chapter_sheets(SECTIONS["chapters"], book, SETTING)
    for sheet, numbers in zip(sheets, ((1, 2), (3,)), strict=True):
        pieces = [piece for _, piece in book.pieces if piece.number in numbers]
        wanted = [
            f"Stave, bars {line.bars[0]}–{line.bars[1]}" for piece in pieces for line in piece.lines
        ]
        figures = list(tree_of(sheet.html).all("figure"))
        assert [figure.attributes["alt"] for tag in figures for figure in tag.all("img")] == wanted


def test_the_glossary_is_in_order_whatever_the_accents_and_tells_pages() -> None:
    numbers = {"term.demi-pli_e9_.one_2e_xml.6.1": "5", "term.demi-pli_e9_.front.2.1": "v"}
    sheet = glossary_of(small_book(), numbers)
    assert [spaced(entry.text) for entry in entries_in(sheet)] == [
        "barre A rail & a friend.",
        "demi-plié (duh-mee plee-AY) Half bend. v, 5",
        "élevé (ay-luh-VAY) A rise. See demi-plié.",
        "Fondu Melted.",
    ]


def entries_in(sheet: Sheet) -> list[Tag]:
    paragraphs = tree_of(sheet.html).all("p")
    return [tag for tag in paragraphs if tag.attributes.get("class") == "entry"]


def test_a_stressed_syllable_is_set_in_small_capitals_and_copied_in_capitals() -> None:
    spans = tree_of(glossary_of(small_book(), {}).html).all("span")
    assert [tag.text for tag in spans if tag.attributes.get("class") == "stressed"] == ["AY", "VAY"]


@pytest.mark.parametrize(
    ("pages", "said"), [(("5",), "5"), (("5", "6"), "5–6"), (("2", "5", "9"), "2, 5,\u00a09")]
)
def test_pages_stand_in_figures_after_an_entry(pages: tuple[str, ...], said: str) -> None:
    sheet = glossary_of(small_book(), numbered(*pages))
    entries = [tag for tag in tree_of(sheet.html).all("p") if said[0] in tag.text]
    assert [tag.text.endswith(f".\u00a0{said}") for tag in entries] == [True]


def test_a_step_under_the_stave_is_a_use_of_its_entry() -> None:
    book = small_book()
    sheets = chapter_sheets(SECTIONS["chapters"], book, SETTING)
    anchors = {anchor for sheet in sheets for anchor in anchors_of(sheet.html)}
    lines = [
        (line_anchor(piece.number, index), set(line.steps))
        for _, piece in book.pieces
        for index, line in enumerate(piece.lines)
    ]
    assert {anchor for anchor, _ in lines} <= anchors
    numbers = {anchor: str(3 * at) for at, (anchor, _) in enumerate(lines, 1)}
    glossary = tree_of(glossary_of(book, numbers).html)
    found = {link.attributes["href"].removeprefix("stavebound:") for link in glossary.all("a")}
    terms = {entry.term.casefold() for entry in book.plan.glossary}
    wanted = {anchor for anchor, words in lines if words & terms}
    assert wanted
    assert found & set(numbers) == wanted


def test_a_book_needs_no_glossary_no_preface_and_no_imprint() -> None:
    book = manuscript(one_chapter("one.xml"), {"one.xml": SCORE})
    assert isinstance(book.plan, BookPlan)
    assert book.plan.date == date(2026, 3, 2)
    sheet = front_of(Everywhere(), book)
    assert "glossary" not in links_of(sheet.html)
    assert not any(
        "preface" in tag.attributes.get("class", "") for tag in tree_of(sheet.html).all()
    )
    (chapter,) = chapter_sheets(SECTIONS["chapters"], book, SETTING)
    assert links_of(chapter.html) == ["exercise-1"]
