"""The schema of the dialect: loaded once, and held against sources.

In: the packaged RELAX NG grammar, and sources. Out: tables, and all that is
wrong with a source. Always holds: the grammar has the last word, since XML
editors go by it; our own tables only say more clearly what is wrong.
"""

from __future__ import annotations

from functools import cache
from importlib.resources import files

from lxml import etree

from stavebound.diagnostics import Diagnostic, Span
from stavebound.source.document import Element, SourceFile
from stavebound.source.grammar import read_grammar
from stavebound.source.rules import Schema
from stavebound.source.validate import validate

_PACKAGED = files("stavebound") / "source"


@cache
def load_schema() -> Schema:
    """The packaged schema. GrammarError where the grammar goes beyond what the tables can say."""
    return read_grammar(schema_text("rng"))


def schema_text(form: str) -> str:
    """The packaged schema as text, in its compact form "rnc" or its XML form "rng"."""
    return (_PACKAGED / f"stavebound.{form}").read_text(encoding="utf-8")


def schema_faults(source: SourceFile, schema: Schema) -> tuple[Diagnostic, ...]:
    """All that the schema finds wrong: by our tables, else by the grammar itself."""
    return validate(source.root, schema) or grammar_faults(source, schema)


def grammar_faults(source: SourceFile, schema: Schema) -> tuple[Diagnostic, ...]:
    """What the grammar itself refuses, in the words of the library: one diagnostic, or none.

    An element's own words come from the tables; here only the verdict counts.
    """
    parser = etree.XMLParser(
        resolve_entities=False, no_network=True, load_dtd=False, huge_tree=False, recover=False
    )
    document = etree.fromstring(source.text.encode("utf-8"), parser)
    grammar = _compiled(schema.grammar)
    if grammar.validate(document):
        return ()
    error = grammar.error_log[0]
    message = "the RELAX NG schema refuses this"
    return (Diagnostic("S111", message, _place(source, error.line), (error.message.strip(),)),)


@cache
def _compiled(grammar: str) -> etree.RelaxNG:
    return etree.RelaxNG(etree.fromstring(grammar.encode("utf-8")))


def _place(source: SourceFile, line: int) -> Span:
    """The first element that the line, on which its tag ends, can belong to."""
    before = [element for element in source.root.walk() if element.span.line <= line]
    on_line: list[Element] = [element for element in before if element.span.line == line]
    return (on_line[0] if on_line else before[-1]).span
