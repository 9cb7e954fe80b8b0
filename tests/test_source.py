"""Reading keeps every place, and what the schema finds wrong is told with its remedy."""

import pickle
import re
from pathlib import Path

import pytest

from stavebound.codes import load_codes
from stavebound.diagnostics import Diagnostic, Span
from stavebound.source.decode import text_of
from stavebound.source.document import Element, SourceFile, Text
from stavebound.source.reading import parse_source
from stavebound.source.rules import NAMESPACE
from stavebound.source.schema import load_schema, schema_faults
from stavebound.source.validate import validate
from tests.support.schema_cases import CASES, expected, faults_in, found

SCHEMA = load_schema()
OPEN = f'<score xmlns="{NAMESPACE}" title="x">'
RNG = "http://relaxng.org/ns/structure/1.0"


def read(text: str) -> SourceFile:
    parsed = parse_source(text, "a.xml")
    assert parsed.value is not None, parsed.diagnostics
    return parsed.value


def faults(data: bytes) -> tuple[Diagnostic, ...]:
    """All that is said of a file of these bytes."""
    text = text_of(data, "a.xml")
    if text.value is None:
        return text.diagnostics
    parsed = parse_source(text.value, "a.xml")
    return schema_faults(parsed.value, SCHEMA) if parsed.value else parsed.diagnostics


def under(source: SourceFile, span: Span) -> str:
    """What stands under the caret of a span."""
    return source.text.split("\n")[span.line - 1][span.column - 1 :][: span.length]


# ---------------------------------------------------------------- places


TRICKY = f"""<?xml version="1.0" encoding="UTF-8"?>
<!-- 𝄞 a comment < with > signs & "quotes" -->
<?note a <processing> instruction?>
{OPEN}
\t<aim>  𝄞𝄞 é <term
   entry = 'é&gt;"'>
   plié</term><emphasis/> &amp; <![CDATA[ <arms> ]]>end</aim>
  <phrase   counts="8"\tid='a>b'><frame at="1"/><!-- - --> tail</phrase>
</score>
"""


def test_every_name_value_and_text_stands_where_the_tree_says() -> None:
    source = read(TRICKY)
    elements = list(source.root.walk())
    names = [element.name for element in elements]
    assert names == ["score", "aim", "term", "emphasis", "phrase", "frame"]
    for element in elements:
        assert under(source, element.span) == element.name
        for attribute in element.attributes:
            assert under(source, attribute.name_span) == attribute.name
    phrase = elements[4]
    assert [under(source, one.span) for one in phrase.attributes] == ["8", "a>b"]
    assert phrase.span == Span("a.xml", 8, 4, len("phrase"))
    entry = elements[2].get("entry")
    assert entry is not None
    assert (entry.value, under(source, entry.span)) == ('é>"', 'é&gt;"')
    texts = [child for one in elements for child in one.children if isinstance(child, Text)]
    shown = [under(source, text.span) for text in texts if text.value.strip()]
    assert shown == ["𝄞𝄞 é", "&amp;", "plié", "tail"]


def test_places_are_the_same_with_any_line_ends_and_byte_order_mark() -> None:
    plain = read(TRICKY).root
    for ends in ("\r\n", "\r"):
        data = b"\xef\xbb\xbf" + TRICKY.replace("\n", ends).encode()
        text = text_of(data, "a.xml").value
        assert text == TRICKY
        assert read(text).root == plain
        assert [one.span for one in read(text).root.walk()] == [one.span for one in plain.walk()]


@pytest.mark.parametrize("ends", [b"\n", b"\r\n", b"\r"])
def test_lines_are_counted_by_their_ends(ends: bytes) -> None:
    lines = [OPEN.encode(), b'  <phrase counts="1">', '\té𝄞 <frame at="1"/>'.encode()]
    (fault,) = faults(ends.join([*lines, b"</phrase></score>"]))
    assert (fault.code, fault.span) == ("S108", Span("a.xml", 3, 2, 2))


def test_white_space_in_values_is_collapsed_and_kept_as_written() -> None:
    attribute = read(f'<score xmlns="{NAMESPACE}" title=" a&#10; b\n"/>').root.get("title")
    assert attribute is not None
    assert (attribute.value, attribute.written) == ("a b", " a\n b ")


def test_places_count_for_nothing_when_trees_are_compared() -> None:
    assert read(f"{OPEN}<aim>x</aim></score>").root == read(f"{OPEN}<aim >x</aim ></score>").root


def test_a_tree_goes_to_another_process_and_back() -> None:
    source = read(TRICKY)
    assert pickle.loads(pickle.dumps(source)) == source


# ---------------------------------------------------------------- codes


EXAMPLES = {
    code: row.example
    for code, row in load_codes().items()
    if code[0] in "XS" and row.example.startswith("<")
}


@pytest.mark.parametrize("code", EXAMPLES)
def test_the_example_of_a_code_shows_it_and_nothing_else(code: str) -> None:
    assert [fault.code for fault in faults(EXAMPLES[code].encode())] == [code]


# ---------------------------------------------------------------- cases


@pytest.mark.parametrize("path", CASES, ids=lambda path: path.stem)
def test_case(path: Path) -> None:
    wanted = expected(path)
    assert found(path) == wanted
    assert path.name.startswith("good") == (not wanted)


@pytest.mark.parametrize("path", CASES, ids=lambda path: path.stem)
def test_case_says_what_it_shows(path: Path) -> None:
    assert re.search(r"\A<\?xml .*\?>\n<!-- [A-Z][^\n]*\. -->\n", path.read_text("utf-8"))


@pytest.mark.parametrize("path", CASES, ids=lambda path: path.stem)
def test_every_fault_says_how_to_mend_it(path: Path) -> None:
    for fault in faults_in(path):
        assert fault.hints, fault
        assert all(re.match(r"[^a-z]", hint) for hint in fault.hints), fault.hints


HINTS = {
    '<aim/><phrase counts="1"><fram at="1"/></phrase>': "Did you mean “frame”?",
    '<knees bend="half"/>': "It belongs in <start> or <frame>.",
    '<barre hand="left" counts="1"/>': "counts is an attribute of <upbeat>, <phrase> or <define>.",
    '<barre hand="lefft"/>': "Did you mean “left”?",
    '<barre hand="up"/>': "Expected one of: right, left, working, supporting.",
    '<music metre="3:4"/>': "Expected a metre, such as 3/4 or 6/8.",
    "<barre/>": 'Write hand="…", with one of: right, left, working, supporting.',
    "<aim/><aim/>": "Keep one of them.",
    '<phrase counts="1"><frame at="1">words</frame></phrase>': (
        'A step\'s name is an attribute of the frame, step="…"; what is heard or seen is its <cue>.'
    ),
    '<phrase counts="1"><frame at="1"/></phrase><repeat>words</repeat>': (
        "Delete it, or move it elsewhere."
    ),
}


@pytest.mark.parametrize("inside", HINTS)
def test_hints_name_what_would_do(inside: str) -> None:
    hints = [hint for fault in faults(f"{OPEN}{inside}</score>".encode()) for hint in fault.hints]
    assert HINTS[inside] in hints


def test_a_second_element_points_at_the_first() -> None:
    (fault,) = validate(
        read(f'{OPEN}<aim/>\n <aim/><phrase counts="1"><frame at="1"/></phrase></score>').root,
        SCHEMA,
    )
    assert fault.span == Span("a.xml", 2, 3, 3)
    assert [span.line for span, _ in fault.related] == [1]


def test_tags_that_do_not_match_are_both_named() -> None:
    (fault,) = faults(f"{OPEN}\n  <aim>\n <note>x</aim></score>".encode())
    assert fault.span == Span("a.xml", 3, 9, len("</aim>"))
    assert fault.related[0][0] == Span("a.xml", 3, 2, len("<note"))


def test_elements_can_be_asked_for_their_parts() -> None:
    root = read(f"{OPEN} <aim/> x </score>").root
    assert [type(child) for child in root.children] == [Text, Element, Text]
    assert [child.name for child in root.elements] == ["aim"]
    assert root.get("title") is root.attributes[0]
    assert root.get("nothing") is None
