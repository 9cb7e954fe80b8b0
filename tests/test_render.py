"""Diagnostics as they are shown: the caret under the fault, and nothing harmful let through."""

import json
import re
import unicodedata

import pytest

from stavebound.diagnostics import Diagnostic, Severity, Span
from stavebound.render import LONGEST, WIDEST, render_json, render_text

LINE = '    <frame at="3"><knees bend="haf"/></frame>'
TEXT = f"<score>\n  <phrase>\n{LINE}\n</phrase></score>"
FAULT = Diagnostic(
    "S106",
    "bend cannot be “haf”",
    Span("scores/a.xml", 3, 32, 3),
    ("Did you mean “half”?", "Expected one of: none, half, full."),
)


def shown(line: str, column: int, length: int = 1) -> tuple[str, str]:
    """A line as shown, without its number, and the line of the caret under it."""
    diagnostic = Diagnostic("X000", "said", Span("a.xml", 1, column, length))
    _, source, caret = render_text([diagnostic], {"a.xml": line}).split("\n")
    return source.removeprefix("      1 | "), caret.removeprefix("        | ")


def marked(line: str, column: int, length: int = 1) -> str:
    """What stands over the caret, where every character is as wide as any other."""
    source, caret = shown(line, column, length)
    start = len(caret) - len(caret.lstrip())
    return source[start : len(caret)]


def test_a_diagnostic_shows_place_code_line_caret_and_hints() -> None:
    assert render_text([FAULT], {"scores/a.xml": TEXT}) == "\n".join(
        [
            "scores/a.xml:3:32: error[S106]: bend cannot be “haf”",
            f"      3 | {LINE}",
            f"        | {' ' * 31}^^^",
            "          Did you mean “half”?",
            "          Expected one of: none, half, full.",
        ]
    )


def test_related_places_are_shown_with_their_lines() -> None:
    related = (
        (Span("scores/a.xml", 2, 3, 7), "the phrase is here"),
        (Span("b", 9, 1), "and there"),
    )
    fault = Diagnostic("S110", "said", FAULT.span, (), related, Severity.WARNING)
    lines = render_text([fault], {"scores/a.xml": TEXT}).split("\n")
    assert lines[0] == "scores/a.xml:3:32: warning[S110]: said"
    assert lines[3:] == [
        "          scores/a.xml:2:3: the phrase is here",
        "      2 |   <phrase>",
        "        |   ^^^^^^^",
        "          b:9:1: and there",
    ]


def test_a_diagnostic_without_place_or_text_is_shown_all_the_same() -> None:
    assert render_text([Diagnostic("B601", "said", None, ("Do.",))], {}) == (
        "error[B601]: said\n          Do."
    )
    assert render_text([FAULT], {}).split("\n")[1] == "          Did you mean “half”?"
    beyond = Diagnostic("X101", "said", Span("a.xml", 7, 1))
    assert render_text([beyond], {"a.xml": "one line"}) == "a.xml:7:1: error[X101]: said"


def test_diagnostics_stand_in_the_order_of_files_lines_and_columns() -> None:
    places = [("b", 1, 1), ("a", 10, 1), ("a", 9, 5), ("a", 9, 4)]
    found = [Diagnostic("X000", "said", Span(*place)) for place in places]
    text = render_text([*found, Diagnostic("X000", "first")], {})
    assert [line.split(" ")[0] for line in text.split("\n")] == [
        "error[X000]:", "a:9:4:", "a:9:5:", "a:10:1:", "b:1:1:",
    ]  # fmt: skip


def test_the_first_hundred_are_shown_and_the_rest_counted() -> None:
    found = [Diagnostic("X000", f"number {line}", Span("a", line, 1)) for line in range(1, 251)]
    lines = render_text(found, {}).split("\n")
    assert len(lines) == 101
    assert lines[99].endswith("number 100")
    assert lines[100] == "… and 150 more"
    assert "more" not in render_text(found[:100], {})
    assert render_text(found, {}, limit=3).endswith("… and 247 more")


@pytest.mark.parametrize("column", [1, 20, 41, 42, 60, 100, 101, 5_000, 9_980, 9_999, 10_000])
def test_long_lines_are_clipped_around_the_fault(column: int) -> None:
    line = "".join(chr(0x4000 + number % 5_000) for number in range(10_000))
    narrow = "".join(chr(0x100 + number % 80) for number in range(10_000))
    source, _ = shown(narrow, column)
    assert len(source) <= WIDEST + 2
    assert marked(narrow, column) == narrow[column - 1]
    assert source.startswith("…") == (column > 41)
    assert line[column - 1] in shown(line, column)[0]


def test_a_caret_ends_with_what_is_shown_and_is_never_without_length() -> None:
    assert marked("x" * 50 + "<" + "y" * 500, 51, 501) == "<" + "y" * 59
    assert shown("<note>", 7) == ("<note>", "      ^")
    assert shown("<note>", 2, 0) == ("<note>", " ^")


def test_a_caret_stands_right_after_tabs_wide_and_combining_characters() -> None:
    assert marked('\t<a\tb="x"/>', 5) == "b"
    assert marked('\t<a\tb="x"/>', 8) == "x"
    assert marked("\t<a/>", 1) == "    "
    source, caret = shown("漢字<b/>", 4)
    assert (source, caret) == ("漢字<b/>", "     ^")
    assert shown("e\u0301<b/>", 4)[1] == "  ^"
    assert shown("漢字", 1, 2)[1] == "^^^^"


HARMFUL = ["\x1b[31m", "\x9b31m", "\x00", "\x07", "\x7f", "\u202e", "\u2066", "\u2028", "\u200f"]


@pytest.mark.parametrize("harm", HARMFUL, ids=ascii)
def test_nothing_harmful_of_a_source_reaches_the_terminal(harm: str) -> None:
    span = Span(f"a{harm}.xml", 1, 3, 3)
    fault = Diagnostic("X000", f"m{harm}", span, (f"h{harm}",), ((span, f"r{harm}"),))
    text = render_text([fault], {span.path: f"<a{harm}/>"})
    assert not [char for char in text if unicodedata.category(char) in ("Cc", "Cf", "Zl", "Zp")
                and char != "\n"]  # fmt: skip
    assert len(text.split("\n")) == 7
    assert render_json([fault]).isascii()
    assert not [char for char in render_json([fault]) if ord(char) < 32 and char != "\n"]
    assert "\x7f" not in render_json([fault])


def test_messages_are_kept_to_one_line_of_some_length() -> None:
    text = render_text([Diagnostic("X000", "one\ntwo " + "x" * 9_999)], {})
    assert "\n" not in text
    assert len(text) < LONGEST + 20


def test_colours_are_added_where_they_are_wanted_and_change_nothing_else() -> None:
    plain = render_text([FAULT], {"scores/a.xml": TEXT})
    coloured = render_text([FAULT], {"scores/a.xml": TEXT}, colour=True)
    assert "\x1b[1;31merror[S106]\x1b[0m" in coloured
    assert re.sub(r"\x1b\[[0-9;]*m", "", coloured) == plain


def test_json_has_one_stable_shape() -> None:
    related = ((Span("a.xml", 1, 2, 3), "here"),)
    warning = Diagnostic("T301", "é", None, (), related, Severity.WARNING)
    assert json.loads(render_json([FAULT, warning])) == [
        {
            "code": "T301", "severity": "warning", "message": "é",
            "file": None, "line": None, "column": None, "length": None, "hints": [],
            "related": [{"file": "a.xml", "line": 1, "column": 2, "length": 3, "message": "here"}],
        },
        {
            "code": "S106", "severity": "error", "message": "bend cannot be “haf”",
            "file": "scores/a.xml", "line": 3, "column": 32, "length": 3,
            "hints": ["Did you mean “half”?", "Expected one of: none, half, full."],
            "related": [],
        },
    ]  # fmt: skip
    assert render_json([]) == "[]"
