"""The index and the order of words."""

from __future__ import annotations

import pytest

from stavebound.book.collation import collation_key
from stavebound.book.common import line_anchor
from stavebound.book.index import index_sheet
from tests.support.manuscripts import SECTIONS, manuscript, one_chapter
from tests.support.pages import tree_of
from tests.support.staves import SETTING

SCORE = """
<start><feet in="first"/></start>
<phrase counts="8">
  <frame at="1" step="élevé"><feet on="half point"/></frame>
  <frame at="2"><feet on="whole foot"/></frame>
  <frame at="3" step="Demi-plié"><knees bend="half"/></frame>
  <frame at="4" step="demi-plié"><knees bend="none"/></frame>
</phrase>
"""


# The example words of the Unicode Collation Algorithm (Unicode Technical Standard 10, 1.1
# and 1.3): accents count only where letters are equal, capitals only where accents are.
@pytest.mark.parametrize(
    "words",
    [
        ("role", "roles", "rule"),
        ("role", "rôle", "roles"),
        ("role", "Role", "rôle"),
        ("cote", "coté", "côte", "côté"),
        ("demi-plié", "développé", "élevé", "en croix"),
    ],
)
def test_words_stand_where_a_reader_looks_for_them(words: tuple[str, ...]) -> None:
    mixed = list(reversed(words))
    assert sorted(mixed, key=collation_key) == list(words)


def test_titles_and_steps_stand_in_one_order_with_their_pages() -> None:
    book = manuscript(
        one_chapter("one.xml")
        + "<glossary><entry term='élevé' language='fr'>Up.</entry></glossary>",
        {"one.xml": SCORE},
    )
    numbers = {
        "exercise-1": "4",
        line_anchor(1, 0): "4",
    }
    (sheet,) = index_sheet(SECTIONS["index"], book, SETTING, numbers)
    rows = [item.text for item in tree_of(sheet.html).all("li")]
    assert rows == ["An example 4", "Demi-plié 4", "élevé 4"]
