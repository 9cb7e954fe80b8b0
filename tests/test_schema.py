"""The schema's tables and its grammar are of one mind, and the grammar has the last word."""

from collections.abc import Collection, Iterator
from copy import deepcopy
from dataclasses import replace
from pathlib import Path

import pytest
from lxml import etree

from stavebound.diagnostics import Span
from stavebound.score.model import CentrePart
from stavebound.score.read import whole_names
from stavebound.source.document import SourceFile
from stavebound.source.grammar import GrammarError, read_grammar
from stavebound.source.reading import parse_source, read_source
from stavebound.source.rules import NAMESPACE, ElementRule
from stavebound.source.schema import grammar_faults, load_schema, schema_faults, schema_text
from stavebound.source.validate import validate
from tests.support.departures import OF_ELEMENTS, names_of
from tests.support.leans import leans_known_of
from tests.support.schema_cases import CASES

SCHEMA = load_schema()
# Attributes that stand on an element together while it is changed.
TOGETHER = 3
OPEN = f'<score xmlns="{NAMESPACE}" title="x">'
GOOD = [path for path in CASES if path.name.startswith("good")]
RNG = "http://relaxng.org/ns/structure/1.0"


def read(text: str) -> SourceFile:
    parsed = parse_source(text, "a.xml")
    assert parsed.value is not None, parsed.diagnostics
    return parsed.value


def test_every_element_attribute_and_value_is_described() -> None:
    """What an editor shows while somebody types comes from these descriptions."""
    rules = SCHEMA.rules.values()
    attributes = [(rule.name, one) for rule in rules for one in rule.attributes]
    bare = [key for key, rule in SCHEMA.rules.items() if not rule.doc]
    bare += [f"{name} {one.name}" for name, one in attributes if not one.doc]
    bare += [
        f"{name} {one.name} {word.value}"
        for name, one in attributes
        for word in one.datatype.words
        if not word.doc
    ]
    assert not bare


def test_the_good_cases_use_every_element_and_attribute_of_the_schema() -> None:
    """But for departures, leans and what is said of the whole dancer, which random scores have
    by the rows of their tables."""
    used: set[tuple[str, str]] = set()
    for path in GOOD:
        source = read_source(path, path.name).value
        assert source is not None
        for element in source.root.walk():
            used.add((element.name, ""))
            used.update((element.name, attribute.name) for attribute in element.attributes)
    known = {(rule.name, "") for rule in SCHEMA.rules.values()}
    known |= {(rule.name, one.name) for rule in SCHEMA.rules.values() for one in rule.attributes}
    departing = {(element, name) for element in OF_ELEMENTS for name in names_of(element)}
    leans = {(part, row.name) for part in CentrePart for row in leans_known_of(part)}
    whole = {(name, "") for name in whole_names()}
    whole |= {
        (name, one.name) for name in whole_names() for one in SCHEMA.named(name)[0].attributes
    }
    assert known - departing - leans - whole <= used <= known


def changed(element: etree._Element) -> Iterator[None]:
    """The element with one thing changed at a time: every thing in every way."""
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


def alone(root: etree._Element, element: etree._Element) -> Iterator[etree._Element]:
    """The element in trees of its own, where round it, and in its children, stands only what the
    tables want; in each with some of its attributes. For of what it refuses, the grammar tries
    all subsets of the attributes, on every element round it."""
    path = root.getroottree().getelementpath(element)
    loose = _loose(element)
    for first in range(0, max(len(loose), 1), TOGETHER):
        tree = deepcopy(root)
        (twin,) = etree.ETXPath(path)(tree) if path != "." else (tree,)
        _bare(tree, twin, {*twin, *twin.iterancestors()}, loose[first : first + TOGETHER])
        yield twin


def _loose(element: etree._Element) -> list[str]:
    """The attributes of an element that it need not have."""
    return [
        one.name
        for one in rule_of(element).attributes
        if not one.required and one.name in element.attrib
    ]


def rule_of(element: etree._Element) -> ElementRule:
    above = element.getparent()
    name = etree.QName(element).localname
    key = SCHEMA.roots[name] if above is None else rule_of(above).children[name]
    return SCHEMA.rules[key]


def _bare(
    element: etree._Element,
    twin: etree._Element,
    kept: set[etree._Element],
    attributes: Collection[str],
) -> None:
    """The element with those of its children that are kept, and the first that it wants; of
    what it need not have, the twin keeps these attributes."""
    for slot in rule_of(element).slots:
        names = {name for name, _ in slot.children}
        own = [child for child in element.findall("*") if etree.QName(child).localname in names]
        for at, child in enumerate(own):
            if child is twin or child in kept or at < slot.least:
                _bare(child, twin, kept, attributes)
            else:
                element.remove(child)
    for name in _loose(element):
        if element is not twin or name not in attributes:
            del element.attrib[name]


@pytest.mark.parametrize("path", GOOD, ids=lambda path: path.stem)
def test_the_tables_refuse_exactly_what_the_grammar_refuses(path: Path) -> None:
    root = etree.fromstring(path.read_bytes())
    grammar = etree.RelaxNG(etree.fromstring(SCHEMA.grammar.encode()))
    assert grammar.validate(root)
    verdicts = set()
    for element in root.iter(etree.Element):
        for twin in alone(root, element):
            tree = twin.getroottree()
            assert grammar.validate(tree)
            for _ in changed(twin):
                source = read(etree.tostring(tree, encoding="unicode"))
                by_tables, by_grammar = not validate(source.root, SCHEMA), grammar.validate(tree)
                assert by_tables == by_grammar, source.text
                verdicts.add(by_grammar)
            assert grammar.validate(tree), "the changes were not undone"
    assert verdicts == {True, False}


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
