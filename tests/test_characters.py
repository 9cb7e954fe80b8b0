"""What a text is made of: what cannot be seen, or heaps up, is refused with its place."""

import pytest

from stavebound.check.characters import overloaded, says_something, unprintable
from stavebound.check.type import check_book_type, check_score_type
from stavebound.plan.book import BookPlan
from stavebound.score.words import composed
from tests.support.sources import root_of, score_of, whole
from tests.support.staves import FACES

UNSEEN = {
    "a direction turned over": "\u202e",
    "a joiner": "\u200d",
    "a mark of the order of bytes": "\ufeff",
    "a character of one's own": "\uf890",
    "what is no character": "\U000e1fff",
    "an end of a line": "\u2028",
    "a control character": "\u0085",
}


@pytest.mark.parametrize("char", UNSEEN.values(), ids=UNSEEN)
def test_what_cannot_be_seen_is_refused_by_its_code_point(char: str) -> None:
    text = whole(f'<frame at="1" step="pli{char}é"><cue>Du{char}p</cue></frame>')
    score = score_of(text)
    faults = check_score_type(score, FACES)
    assert [fault.code for fault in faults] == ["E409", "E409"]
    assert all(f"U+{ord(char):04X}" in fault.message for fault in faults)
    assert [fault.span.column for fault in faults if fault.span] == [
        text.index(words) + 1 for words in (f"pli{char}", f"Du{char}")
    ]


def test_a_place_to_break_a_word_is_for_prose_and_not_for_names() -> None:
    broken = "mi\u00adlieu"
    text = whole(
        f'<frame at="1" step="{broken}"><knees bend="half"/><cue>{broken}</cue></frame>'
    ).replace("</score>", f"<quality>Au {broken}.</quality></score>")
    faults = check_score_type(score_of(text), FACES)
    assert ["U+00AD SOFT HYPHEN" in fault.message for fault in faults] == [True, True]


@pytest.mark.parametrize(
    "text",
    ["plié", "pli\u00e9s", "mi\u00adlieu", "a\u200bb\u2060c", "\u00ab\u00a0demi\u202f»", "ế"],
)
def test_letters_spaces_and_places_to_break_are_printed(text: str) -> None:
    assert unprintable(text) == ()
    assert overloaded(text) is None
    assert says_something(text)


def test_an_accent_is_composed_with_its_letter() -> None:
    score = score_of(whole('<frame at="1" step="plie\u0301"><cue>releve\u0301</cue></frame>'))
    (frame,) = score.phrases[0].frames
    assert [text.text for text in frame.texts] == ["plié", "relevé"]
    assert check_score_type(score, FACES) == ()


@pytest.mark.parametrize(
    ("text", "heap"),
    [
        ("pli" + "e" + "\u0301" * 60, "é" + "\u0301" * 59),
        ("x\u0301\u0302\u0303", "x\u0301\u0302\u0303"),
        ("x\u0301\u0302", None),
        ("\u0301plie", "\u0301"),
        ("demi \u0301", "\u0301"),
    ],
)
def test_more_than_two_accents_and_accents_on_nothing_are_found(
    text: str, heap: str | None
) -> None:
    assert overloaded(composed(text)) == heap


def test_every_text_of_a_book_is_looked_at() -> None:
    heap = "e" + "\u0301" * 60
    plan = root_of(
        f'<book xmlns="urn:stavebound:1" title="{heap}" subtitle="{heap}" author="{heap}" '
        f'edition="{heap}" date="2026-01-01"><imprint><text>{heap}</text></imprint>'
        f"<preface><text><emphasis>{heap}</emphasis></text></preface><rights>{heap}</rights>"
        f'<chapter title="{heap}"><text>{heap}</text><exercise score="s.xml"/></chapter>'
        f'<glossary><entry term="{heap}" said="{heap}">{heap}</entry></glossary></book>'
    )
    assert isinstance(plan, BookPlan)
    faults = check_book_type(plan, FACES)
    assert [fault.code for fault in faults] == ["E410"] * 12


@pytest.mark.parametrize("text", ["\u00a0\u00a0", "\u200b\u2060", "\u00ad", "– …", "", "\u0301"])
def test_spaces_points_and_what_cannot_be_seen_say_nothing(text: str) -> None:
    assert not says_something(text)
