"""The schema of the dialect: loaded once, and held against sources.

In: the packaged RELAX NG grammar, and sources. Out: tables, and all that is
wrong with a source. Always holds: the grammar has the last word, since XML
editors go by it; our own tables only say more clearly what is wrong.
"""

from __future__ import annotations

import re
from functools import cache
from importlib.resources import files

from lxml import etree

from stavebound.diagnostics import Diagnostic, Span
from stavebound.source.document import Element, SourceFile
from stavebound.source.grammar import plain_grammar, read_grammar
from stavebound.source.rules import Schema
from stavebound.source.validate import validate

_PACKAGED = files("stavebound") / "source"


@cache
def load_schema() -> Schema:
    """The packaged schema. GrammarError where the grammar goes beyond what the tables can say."""
    return read_grammar(schema_text("rng"))


@cache
def load_plain_schema() -> Schema:
    """The packaged schema of the plain dialect, to which the shorthand unfolds."""
    return read_grammar(plain_grammar(schema_text("rng")))


def schema_text(form: str) -> str:
    """The packaged schema as text, in its compact form "rnc" or its XML form "rng"."""
    return (_PACKAGED / f"stavebound.{form}").read_text(encoding="utf-8")


def schema_faults(source: SourceFile, schema: Schema) -> tuple[Diagnostic, ...]:
    """All that the schema finds wrong: by our tables, else by the grammar itself."""
    return validate(source.root, schema) or grammar_faults(source, schema)


def grammar_faults(source: SourceFile, schema: Schema) -> tuple[Diagnostic, ...]:
    """What the grammar itself refuses, in the words of the library: one diagnostic, or none."""
    parser = etree.XMLParser(
        resolve_entities=False, no_network=True, load_dtd=False, huge_tree=False, recover=False
    )
    try:
        document = etree.fromstring(source.text.encode("utf-8"), parser)
    except etree.XMLSyntaxError as error:
        return (_refused(source.root.span, error.msg),)
    grammar = _compiled(schema.grammar)
    if grammar.validate(document):
        return ()
    errors = [error for error in grammar.error_log if error.path] or list(grammar.error_log)
    return (_refused(_at(source.root, errors[0].path or "").span, errors[0].message),)


def _refused(span: Span, words: str) -> Diagnostic:
    return Diagnostic("S111", "the RELAX NG schema refuses this", span, (words.strip(),))


@cache
def _compiled(grammar: str) -> etree.RelaxNG:
    return etree.RelaxNG(etree.fromstring(grammar.encode("utf-8")))


def _at(root: Element, path: str) -> Element:
    """The element at a path such as /*/*[3]/*, as far as the path can be followed."""
    element = root
    for step in path.split("/")[2:]:
        match = re.fullmatch(r"\*(?:\[([0-9]+)\])?", step)
        number = int(match[1] or 1) if match else 0
        if not 1 <= number <= len(element.elements):
            break
        element = element.elements[number - 1]
    return element
