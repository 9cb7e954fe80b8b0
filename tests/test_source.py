"""Reading keeps every place; the schema's tables and its grammar are of one mind."""

import pickle
import re
from collections.abc import Iterator
from dataclasses import replace
from pathlib import Path

import pytest
from lxml import etree

import stavebound.source
from stavebound.codes import load_codes
from stavebound.diagnostics import Diagnostic, Span
from stavebound.source.decode import text_of
from stavebound.source.document import Element, SourceFile, Text
from stavebound.source.grammar import GrammarError, read_grammar
from stavebound.source.reading import parse_source, read_source
from stavebound.source.rules import NAMESPACE
from stavebound.source.schema import grammar_faults, load_schema, schema_faults, schema_text
from stavebound.source.validate import validate
from stavebound.suggest import nearest, suggest
from tests.schema_cases import CASES, expected, faults_in, found

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


RAISED = {
    code
    for file in Path(stavebound.source.__file__).parent.glob("*.py")
    for code in re.findall(r'"([XS][1-9][0-9]{2})"', file.read_text(encoding="utf-8"))
}
EXAMPLES = {
    code: row.example
    for code, row in load_codes().items()
    if code[0] in "XS" and row.example.startswith("<")
}


def test_the_registry_has_all_codes_of_reading_and_schema_and_no_others() -> None:
    assert {code for code in load_codes() if code[0] in "XS"} == RAISED


@pytest.mark.parametrize("code", EXAMPLES)
def test_the_example_of_a_code_shows_it_and_nothing_else(code: str) -> None:
    assert [fault.code for fault in faults(EXAMPLES[code].encode())] == [code]


@pytest.mark.parametrize("row", load_codes().values(), ids=lambda row: row.code)
def test_codes_are_explained_in_sentences(row: object) -> None:
    for words in (getattr(row, name) for name in ("meaning", "why", "remedy")):
        assert re.fullmatch(r"[^a-z].*\.", words, re.DOTALL), words


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
    '<knees bend="half"/>': "It belongs into <start> or <frame>.",
    '<barre hand="left" counts="1"/>': "counts is an attribute of <upbeat>, <phrase> or <bar>.",
    '<barre hand="lefft"/>': "Did you mean “left”?",
    '<barre hand="up"/>': "Expected one of: right, left.",
    '<music metre="3:4"/>': "Expected a metre, such as 3/4 or 6/8.",
    "<barre/>": 'Write hand="…", with one of: right, left.',
    "<aim/><aim/>": "Keep one of them.",
    '<phrase counts="1"><frame at="1">words</frame></phrase>': "Put it into <cue>.",
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


# ---------------------------------------------------------------- tables and grammar


GOOD = [path for path in CASES if path.name.startswith("good")]


def test_every_element_attribute_and_value_is_described() -> None:
    """What an editor shows while somebody types comes from these descriptions."""
    bare = [
        (rule.name, attribute.name, word.value)
        for rule in SCHEMA.rules.values()
        for attribute in rule.attributes
        for word in attribute.datatype.words
        if not (rule.doc and attribute.doc and word.doc)
    ]
    bare += [(key, "", "") for key, rule in SCHEMA.rules.items() if not rule.doc]
    assert not bare


def test_the_good_cases_use_every_element_and_attribute_of_the_schema() -> None:
    used: set[tuple[str, str]] = set()
    for path in GOOD:
        source = read_source(path, path.name).value
        assert source is not None
        for element in source.root.walk():
            used.add((element.name, ""))
            used.update((element.name, attribute.name) for attribute in element.attributes)
    known = {(rule.name, "") for rule in SCHEMA.rules.values()}
    known |= {(rule.name, one.name) for rule in SCHEMA.rules.values() for one in rule.attributes}
    assert known == used


def changed(root: etree._Element) -> Iterator[None]:
    """The tree under the root with one thing changed at a time: every thing in every way."""
    for element in root.iter(etree.Element):
        for name, value in list(element.attrib.items()):
            for other in (None, "", "wrong", f" {value} ", f"{value}0", "\N{NO-BREAK SPACE}"):
                _set(element, name, other)
                yield
            element.set(name, value)
        element.set("unknown", "x")
        yield
        del element.attrib["unknown"]
        for text in ("text", " \n", "\N{NO-BREAK SPACE}"):
            before, element.text = element.text, text + (element.text or "")
            yield
            element.text = before
        for name in ("frame", "aim", "term", "unknown", "note"):
            child = etree.SubElement(element, f"{{{NAMESPACE}}}{name}", at="1")
            yield
            element.remove(child)
        for child in element.findall("*"):
            yield from _without(element, child)


def _set(element: etree._Element, name: str, value: str | None) -> None:
    if value is None:
        del element.attrib[name]
    else:
        element.set(name, value)


def _without(element: etree._Element, child: etree._Element) -> Iterator[None]:
    """The element without the child, and with the child twice."""
    at, tail = element.index(child), child.tail
    element.remove(child)
    yield
    element.insert(at, child)
    twin = etree.fromstring(etree.tostring(child, with_tail=False))
    element.insert(at, twin)
    yield
    element.remove(twin)
    child.tail = tail


@pytest.mark.parametrize("path", GOOD, ids=lambda path: path.stem)
def test_the_tables_refuse_exactly_what_the_grammar_refuses(path: Path) -> None:
    root = etree.fromstring(path.read_bytes())
    grammar = etree.RelaxNG(etree.fromstring(SCHEMA.grammar.encode()))
    assert grammar.validate(root)
    verdicts = set()
    for _ in changed(root):
        source = read(etree.tostring(root, encoding="unicode"))
        by_tables, by_grammar = not validate(source.root, SCHEMA), grammar.validate(root)
        assert by_tables == by_grammar, source.text
        verdicts.add(by_grammar)
    assert verdicts == {True, False}
    assert grammar.validate(root), "the changes were not undone"


def test_the_grammar_has_the_last_word() -> None:
    """Where the tables let something pass that the grammar refuses, it is refused all the same."""
    strict = SCHEMA.grammar.replace('<attribute name="level">', '<attribute name="grade">')
    assert strict != SCHEMA.grammar
    text = f'<score xmlns="{NAMESPACE}" title="x" level="3">\n<aim/>%s</score>'
    source = read(text % '<phrase counts="1"><frame at="1"/></phrase>')
    assert not schema_faults(source, SCHEMA)
    (fault,) = schema_faults(source, replace(SCHEMA, grammar=strict))
    assert (fault.code, fault.span) == ("S111", Span("a.xml", 1, 2, len("score")))
    assert fault.hints


def test_the_grammar_points_at_the_element_it_refuses() -> None:
    source = read(f'{OPEN}\n<aim/>\n<phrase counts="1">\n<frame at="1"/> <frame/></phrase></score>')
    (fault,) = grammar_faults(source, SCHEMA)
    assert fault.span == Span("a.xml", 4, 18, len("frame"))


def test_same_names_in_two_places_are_told_apart() -> None:
    schema = read_grammar(
        grammar_of(
            '<define name="a"><element name="a"><ref name="b"/></element></define>'
            '<define name="b"><element name="b"><ref name="inner"/></element></define>'
            '<define name="inner"><element name="a"><attribute name="x"/></element></define>'
        )
    )
    inside = f'<a xmlns="{NAMESPACE}"><b>%s</b></a>'
    assert not validate(read(inside % '<a x=""/>').root, schema)
    assert [fault.code for fault in validate(read(inside % "<a/>").root, schema)] == ["S105"]


def grammar_of(defines: str) -> str:
    return (
        f'<grammar xmlns="{RNG}" ns="{NAMESPACE}" datatypeLibrary='
        f'"http://www.w3.org/2001/XMLSchema-datatypes"><start><ref name="a"/></start>'
        f"{defines}</grammar>"
    )


BEYOND = {
    "an order": '<ref name="b"/><ref name="c"/>',
    "an order after text": '<text/><ref name="b"/>',
    "a list": '<attribute name="x"><list><data type="date"/></list></attribute>',
    "a range": '<attribute name="x"><data type="integer"><param name="minInclusive">1</param>'
    "</data></attribute>",
    "a typed value": '<attribute name="x"><value type="integer">1</value></attribute>',
    "attributes together": '<optional><attribute name="x"/><attribute name="y"/></optional>',
    "one of two attributes": '<choice><attribute name="x"/><attribute name="y"/></choice>',
    "children together": '<optional><interleave><ref name="b"/><ref name="c"/></interleave>'
    "</optional>",
    "repeated pairs": '<zeroOrMore><interleave><ref name="b"/><ref name="c"/></interleave>'
    "</zeroOrMore>",
    "text or a child": '<choice><text/><ref name="b"/></choice>',
    "text as a datatype": '<data type="date"/>',
    "an element without a definition": '<element name="d"><empty/></element>',
    "any name": "<attribute><anyName/></attribute>",
}


@pytest.mark.parametrize("content", BEYOND.values(), ids=BEYOND)
def test_a_grammar_beyond_the_tables_is_refused(content: str) -> None:
    rest = "".join(
        f'<define name="{name}"><element name="{name}"><empty/></element></define>' for name in "bc"
    )
    grammar = grammar_of(f'<define name="a"><element name="a">{content}</element></define>{rest}')
    with pytest.raises(GrammarError):
        read_grammar(grammar)


def test_choices_are_slots_of_several_names() -> None:
    """One of two children, and any number of two."""
    content = (
        '<interleave><choice><ref name="b"/><ref name="c"/></choice>'
        '<oneOrMore><choice><ref name="d"/><ref name="e"/></choice></oneOrMore></interleave>'
    )
    rest = "".join(
        f'<define name="{name}"><element name="{name}"><empty/></element></define>'
        for name in "bcde"
    )
    schema = read_grammar(
        grammar_of(f'<define name="a"><element name="a">{content}</element></define>{rest}')
    )

    def codes(inside: str) -> list[str]:
        source = read(f'<a xmlns="{NAMESPACE}">{inside}</a>')
        found_codes = [fault.code for fault in validate(source.root, schema)]
        assert bool(found_codes) == bool(grammar_faults(source, schema))
        return found_codes

    assert codes("<d/><b/><e/>") == []
    assert codes("<d/>") == ["S109"]
    assert codes("<b/>") == ["S109"]
    assert codes("<b/><d/><c/>") == ["S110"]


def test_both_forms_of_the_schema_are_packaged() -> None:
    assert schema_text("rng") == SCHEMA.grammar
    assert f'default namespace = "{NAMESPACE}"' in schema_text("rnc")


# ---------------------------------------------------------------- suggestions


def test_the_nearest_name_is_found_whatever_its_capitals() -> None:
    assert nearest("FRAM", ["phrase", "Frame", "foot"]) == "Frame"
    assert nearest("xylophone", ["phrase", "frame"]) is None
    assert nearest("x" * 5000, ["x"]) is None
    assert suggest("haf", ["half", "full"]) == "Did you mean “half”?"
    assert suggest("", ["half"]) is None


def test_elements_can_be_asked_for_their_parts() -> None:
    root = read(f"{OPEN} <aim/> x </score>").root
    assert [type(child) for child in root.children] == [Text, Element, Text]
    assert [child.name for child in root.elements] == ["aim"]
    assert root.get("title") is root.attributes[0]
    assert root.get("nothing") is None
