"""What is not well-formed is explained in plain words, at the place where it went wrong."""

import pytest

from stavebound.source.reading import parse_source
from stavebound.source.rules import NAMESPACE

# A note's content, or a whole file where it begins with "!"; then the code, the
# words under the caret, and what is said of them.
FAULTS = {
    "heads & arms": ("X203", "&", "this & begins no reference"),
    "heads &amp arms": ("X203", "&amp", "there is no semicolon after &amp"),
    "heads&nbsp;up": ("X203", "&nbsp;", "XML does not know &nbsp;"),
    "heads&foo;up": ("X203", "&foo;", "XML does not know &foo;"),
    "&#xD800;": ("X203", "&#xD800;", "&#xD800; names no character that XML allows"),
    '<term entry="a & b"/>': ("X203", "&", "this & begins no reference"),
    '<term entry="&nbsp;"/>': ("X203", "&nbsp;", "XML does not know &nbsp;"),
    "heels < toes": ("X204", "<", "this < begins no tag"),
    "heels <1 toes": ("X204", "<", "this < begins no tag"),
    "a ]]> b": ("X208", "]]>", "]]> cannot stand in text"),
    "<!-- a -- b -->": ("X208", "--", "two hyphens cannot stand inside a comment"),
    "<?xml version='1.0'?>": ("X208", "<", "the XML declaration is not at the beginning"),
    "<term entry=plié/>": ("X205", "plié", "the value of entry has no quotation marks"),
    "<term entry=/>": ("X205", "/", "the value of entry has no quotation marks"),
    "<term entry=“plié”/>": ("X205", "“", "the value of entry has curly quotation marks"),
    '<term entry=="plié"/>': ("X205", "=", "there is a second = after entry"),
    "<term entry/>": ("X205", "entry", "the attribute entry has no value"),
    '<term a="1"b="2"/>': ("X205", "b", "there is no space before b"),
    '<term a="1 b="2"/>': ("X205", '"', "the value of a is not closed"),
    '<term a="1>x</term><term b="2"/>': ("X205", '"', "the value of a is not closed"),
    '<term a="1" <term/>': ("X205", "<", "the tag <term is not closed before the next <"),
    '<term a="1" / >': ("X205", "/", "this / does not close the tag"),
    '<term a="1" "2"/>': ("X205", '"', '" cannot stand here in the tag <term'),
    "</ term>": ("X205", "</", "this closing tag is not well written"),
    '<term></term a="1">': ("X205", "</", "this closing tag is not well written"),
    '<term a="1" b="2" a="3"/>': ("X206", "a", "the attribute a stands twice in <term>"),
    "<term>": ("X201", "</note>", "</note> does not close <term>, which is open"),
    "<term></tern>": ("X201", "</tern>", "</tern> does not close <term>, which is open"),
    "</term>": ("X201", "</term>", "</term> does not close <note>, which is open"),
    "<s:term/>": ("X209", "s:term", "the prefix s: stands for no namespace"),
    '<term xml:lang="fr" s:a="1"/>': ("X209", "s:a", "the prefix s: stands for no namespace"),
    '<term xmlns:s=""/>': ("X209", "<", "a prefix is declared in a way that XML forbids"),
    "<!ELEMENT a ANY>": ("X301", "<!ELEMENT", "a DOCTYPE is not allowed, and no entities are"),
    "!<note>": ("X202", "", "the file ends while <note> is open"),
    "!<note>x<!-- y": ("X202", "<!--", "the file ends inside a comment"),
    "!<note>x<![CDATA[y": ("X202", "<![CDATA[", "the file ends inside a CDATA section"),
    "!<note>x<?y": ("X202", "<?", "the file ends inside a processing instruction"),
    "!<note>x<term ": ("X202", "<term", "the file ends inside the tag <term"),
    '!<note>x<term entry="y': (
        "X202", '"', 'the value of entry is not closed: there is no second "',
    ),
    "!<note/>x": ("X207", "x", "there is text outside the root element"),
    "!<note/><note/>": ("X207", "<note", "there is a second root element"),
    "!x<note/>": ("X207", "x", "there is text outside the root element"),
    "!\n<?xml version='1.0'?><note/>": (
        "X208", "<", "the XML declaration is not at the beginning",
    ),
    "!<?xml version=1.0?><note/>": ("X208", "1", "the XML declaration is not well written"),
    "!<a:b:c xmlns:a='u'/>": ("X208", ":", "this is not well-formed XML"),
    "!</note>": ("X201", "/", "a tag is closed before any is opened"),
}  # fmt: skip


@pytest.mark.parametrize("faulty", FAULTS)
@pytest.mark.parametrize("before", ["", "<!-- 𝄞 -->\n<?x y?> é ", "<term>𝄞</term>\n\t<term/>"])
def test_the_fault_is_named_at_its_place(faulty: str, before: str) -> None:
    whole = faulty.startswith("!")
    text = faulty[1:] if whole else f'<note xmlns="{NAMESPACE}">{before}{faulty}</note>'
    (fault,) = parse_source(text, "a.xml").diagnostics
    assert fault.span is not None
    line = text.split("\n")[fault.span.line - 1]
    under = line[fault.span.column - 1 :][: fault.span.length]
    assert (fault.code, under, fault.message) == FAULTS[faulty]
    assert fault.hints


def test_an_unclosed_file_says_what_would_close_it() -> None:
    text = f'<score xmlns="{NAMESPACE}">\n <phrase>\n  <frame at="1">\n\n'
    (fault,) = parse_source(text, "a.xml").diagnostics
    assert (fault.span and (fault.span.line, fault.span.column)) == (3, 17)
    assert fault.hints == ("Write </frame></phrase></score> where it ends.",)
    assert [(span.line, span.column) for span, _ in fault.related] == [(3, 3)]


def test_each_foreign_element_is_told_of_once() -> None:
    text = (
        f'<score xmlns="{NAMESPACE}"><x xmlns=""><y/><y/></x>\n'
        '<s:z xmlns:s="urn:other"><s:z/></s:z><aim/></score>'
    )
    faults = parse_source(text, "a.xml").diagnostics
    assert [fault.message for fault in faults] == [
        "<x> is in no namespace",
        "<s:z> is in the namespace “urn:other”",
    ]


def test_a_wrong_namespace_is_shown_where_it_is_declared() -> None:
    (fault,) = parse_source('<score\n xmlns="urn:stavebound:9"/>', "a.xml").diagnostics
    assert fault.code == "X401"
    assert fault.span is not None
    assert (fault.span.line, fault.span.column, fault.span.length) == (2, 9, 16)
