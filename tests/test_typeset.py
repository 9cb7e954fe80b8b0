"""Words in print have true apostrophes, quotation marks, dashes and ellipses."""

from __future__ import annotations

from collections import defaultdict
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from stavebound.book.editions import body_sheets, front_sheets, reference_sheets
from stavebound.book.layouts import Asked
from stavebound.book.values import Manuscript
from stavebound.build.loading import load_project
from stavebound.build.manuscripts import manuscript_of
from stavebound.score.model import Run, plain
from stavebound.score.typeset import typeset, typeset_text
from stavebound.wording.labels import labels, languages, quotes_of
from tests.support.pages import tree_of
from tests.support.paths import write
from tests.support.sources import MUSIC, START, whole
from tests.support.staves import HOUSE
from tests.support.words import table_texts

ENGLISH, FRENCH = quotes_of("en"), quotes_of("fr")
EXAMPLES = {
    "the dancer's right": "the dancer’s right",
    "tour en l'air": "tour en l’air",
    "the dancers' own": "the dancers’ own",
    "a 'dry' sound": "a ‘dry’ sound",
    "'tis late": "’tis late",
    "of the '90s": "of the ’90s",
    'say "and"': "say “and”",
    '("and")': "(“and”)",
    "\"It's 'one',\" she says.": "“It’s ‘one’,” she says.",
    "and then...": "and then…",
    "one -- two": "one – two",
    "one - two": "one – two",
    "one---two": "one—two",
    "counts 3-4": "counts 3–4",
    "2026-11-02": "2026-11-02",
    "demi-plié": "demi-plié",
    "“there” already’s – so…": "“there” already’s – so…",
}


@pytest.mark.parametrize(("typed", "printed"), EXAMPLES.items())
def test_typed_marks_are_printed_as_true_ones(typed: str, printed: str) -> None:
    assert typeset_text(typed, ENGLISH) == printed


def test_quotation_marks_are_those_of_the_language() -> None:
    assert typeset_text('dire "et", "a"', FRENCH) == "dire «\u00a0et\u00a0», «\u00a0a\u00a0»"


def test_a_mark_closes_what_was_opened_in_another_run() -> None:
    words = (
        Run("text", 'He says "'),
        Run("emphasis", "one"),
        Run("text", '", and the '),
        Run("side", "", "left"),
        Run("text", "'s turn"),
    )
    assert plain(typeset(words, ENGLISH)) == "He says “one”, and the left’s turn"


@given(st.text(alphabet="ab1 ’“”'\".-–…("))
def test_what_is_set_is_set_again_alike(text: str) -> None:
    once = typeset_text(text, ENGLISH)
    assert typeset_text(once, ENGLISH) == once
    assert not set("'\"") & set(once)


@pytest.mark.parametrize("language", languages())
def test_packaged_words_are_written_as_they_are_printed(language: str) -> None:
    quotes = quotes_of(language)
    texts = {*labels(language).values(), *table_texts(language)}
    assert {text for text in texts if typeset_text(text, quotes) != text} == set()


BOOK = """<book xmlns="urn:stavebound:1" title="L'air" subtitle='un "livre"' author="N. d'Or"
 date="2026-03-02" {attributes}>
 <imprint><text>It's -- 'all' -- "new"...</text></imprint>
 <preface><text>A <term>tour en l'air</term>.</text></preface>
 <chapter id="c" title="The dancer's"><text>Say "and".</text><exercise score="s.xml"/></chapter>
 <glossary><entry term="tour en l'air" said="l'AIR">It's a "turn".</entry></glossary>
</book>"""
SCORE = whole(
    f"""{MUSIC}{START}<aim>It's "so".</aim><variant title="The other's">1-2</variant>
    <phrase counts="4"><frame at="1" step="coup d'aile"><knees bend="half"/><cue>It's "on".</cue>
    </frame></phrase>"""
)


def book_of(folder: Path, attributes: str) -> Manuscript:
    book = write(folder / "book.xml", BOOK.format(attributes=attributes))
    write(folder / "s.xml", SCORE)
    made = manuscript_of(load_project(book, str(book)), Asked(), HOUSE)
    assert made.value, made.diagnostics
    return made.value


@pytest.mark.parametrize(
    ("attributes", "said"), [("", "“on”"), ("language='fr'", "«\u00a0on\u00a0»")]
)
def test_no_word_of_a_book_reaches_print_as_it_was_typed(
    tmp_path: Path, attributes: str, said: str
) -> None:
    book = book_of(tmp_path, attributes)
    numbers = defaultdict[str, str](lambda: "1")
    sheets = [
        *front_sheets(book, book.setting)(numbers),
        *(sheet for _, sheet in body_sheets(book, book.setting)),
        *reference_sheets(book, book.setting, numbers),
    ]
    pages = "".join(tree_of(sheet.html).text for sheet in sheets).replace("\u00a0", " ")
    staves = "".join(line.svg for _, piece in book.pieces for line in piece.lines)
    assert f">It’s {said}.<" in staves
    assert ">coup d’aile<" in staves
    for words in (
        "L’air",
        "N. d’Or",
        "The dancer’s",
        "The other’s",
        "1–2",
        "l’AIR",
        "It’s – ‘all’ – ",
    ):
        assert words in pages
    assert [mark for mark in ("'", '"', "...", "--") if mark in pages] == []
