"""A tree held against the tables of the schema: all faults, each with a remedy.

In: the root of a source and the schema. Out: diagnostics in the order of the
file. Always holds: no diagnostic exactly where the RELAX NG grammar accepts the
source. An element that is not known is looked into as the one it was probably
meant to be, so that one slip of the pen does not hide the next; of a guess is told
only what is wrong whatever was meant: values of attributes that it has, and names
that nothing has.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from itertools import islice

from stavebound.diagnostics import Diagnostic
from stavebound.source.datatypes import allows, collapsed, expected
from stavebound.source.document import Attribute, Element, Text
from stavebound.source.guess import (
    Site,
    any_of,
    attribute_hint,
    attribute_instead,
    element_hint,
    element_key,
    listed,
    meant_attributes,
    tag_hint,
    text_hint,
    value_hint,
)
from stavebound.source.meant import meant_element
from stavebound.source.rules import AttributeRule, ChildrenRule, ElementRule, Schema
from stavebound.suggest import nearest, suggest

_MOST_FAULTS = 2_000
"""Faults looked for; a file with more of them is not a source."""

_A_ROOT = "It is the root of a file of its own."


def validate(root: Element, schema: Schema) -> tuple[Diagnostic, ...]:
    """All faults of a source against the schema's tables, the first two thousand of them."""
    key = schema.roots.get(root.name)
    if key is not None:
        faults = islice(_element(root, Site(schema.rules[key], None, schema)), _MOST_FAULTS)
        return tuple(sorted(faults, key=lambda fault: fault.span or root.span))
    tag = meant_element(root.name, schema.roots)
    hint = f"Did you mean {tag}?" if tag else suggest(root.name, schema.roots)
    hints = (*_given(hint), f"Expected {any_of(schema.roots)}.")
    message = f"a file cannot begin with <{root.name}>"
    if not schema.named(root.name):
        message = f"<{root.name}> is no element of the dialect"
    return (Diagnostic("S101", message, root.span, hints),)


def _element(element: Element, site: Site) -> Iterator[Diagnostic]:
    yield from _attributes(element, site)
    yield from _children(element, site)
    # What a guess lacks says more of the guess than of the source.
    if site.rule.counted and not site.guessed:
        elements = element.elements
        for slot in site.rule.counted:
            yield from _number(element, elements, slot, site.rule)


# ---------------------------------------------------------------- attributes


def _attributes(element: Element, site: Site) -> Iterator[Diagnostic]:
    known = site.rule.known
    for attribute in element.attributes:
        if attribute.name in known:
            yield from _value(attribute, known[attribute.name], element, site)
        elif not site.guessed:
            yield _unknown_attribute(attribute, element, site)
    if not site.guessed:
        yield from _missing_attributes(element, site.rule)


def _value(
    attribute: Attribute, rule: AttributeRule, element: Element, site: Site
) -> Iterator[Diagnostic]:
    if allows(rule.datatype, attribute.written):
        return
    said = f"{attribute.name} cannot be “{_short(attribute.written)}”"
    message = said if attribute.value else f"{attribute.name} is empty"
    hint = value_hint(attribute, rule, element, site)
    hints = (*_given(hint), f"Expected {expected(rule.datatype)}.")
    code = "S106" if rule.datatype.words else "S107"
    yield Diagnostic(code, message, attribute.span, hints)


def _unknown_attribute(attribute: Attribute, element: Element, site: Site) -> Diagnostic:
    rule = site.rule
    names = [known.name for known in rule.attributes]
    takes = f"<{rule.name}> has {listed(names, 'and') if names else 'none'}."
    message = f"<{rule.name}> has no attribute {attribute.name}"
    hints = (*_given(attribute_hint(attribute, element, site)), takes)
    return Diagnostic("S104", message, attribute.name_span, hints)


def _missing_attributes(element: Element, rule: ElementRule) -> Iterator[Diagnostic]:
    lacking = [one for one in rule.attributes if one.required and element.get(one.name) is None]
    if not lacking:
        return
    unknown = [one for one in element.attributes if one.name not in rule.known]
    meant = [name for one in unknown for name in meant_attributes(one, element, rule)]
    # A misspelling has been reported already.
    told = {name.partition("=")[0] for name in meant}
    for attribute_rule in lacking:
        if attribute_rule.name not in told:
            yield _missing_attribute(element, attribute_rule)


def _missing_attribute(element: Element, rule: AttributeRule) -> Diagnostic:
    message = f"<{element.name}> wants the attribute {rule.name}"
    hint = f'Write {rule.name}="…", with {expected(rule.datatype)}.'
    return Diagnostic("S105", message, element.span, (*_given(rule.doc), hint))


# ---------------------------------------------------------------- children


def _children(element: Element, site: Site) -> Iterator[Diagnostic]:
    known = site.rule.children
    for child in element.children:
        if isinstance(child, Text):
            if not (site.rule.text or site.guessed) and collapsed(child.value):
                yield _text(child, element, site)
            continue
        # A name that is another thing elsewhere may be that in what a guess stands for.
        several = site.guessed and len(site.schema.named(child.name)) > 1
        key, guessed = known.get(child.name), several
        if key is None:
            # What cannot stand in a guess may stand in what was meant.
            if not site.guessed or not site.schema.named(child.name):
                yield _misplaced(child, site)
            key, guessed = element_key(child, site.rule, site.schema)
        if key is not None:
            yield from _element(child, site.inside(key, guessed))


def _misplaced(child: Element, site: Site) -> Diagnostic:
    rule, schema = site.rule, site.schema
    may = f"<{rule.name}> may hold {any_of(rule.children) if rule.children else 'no elements'}."
    if not schema.named(child.name):
        message = f"<{child.name}> is no element of the dialect"
        return Diagnostic("S102", message, child.span, (*_given(element_hint(child, site)), may))
    holders = schema.holders(child.name)
    belongs = f"It belongs in {any_of(holders)}." if holders else _A_ROOT
    message = f"<{child.name}> cannot stand in <{rule.name}>"
    meant = tag_hint(child, rule) or attribute_instead(child.name, (rule,))
    hints = (*_given(meant), belongs, may)
    return Diagnostic("S103", message, child.span, hints)


def _text(text: Text, element: Element, site: Site) -> Diagnostic:
    rule, schema = site.rule, site.schema
    message = f"text cannot stand in <{rule.name}> by itself"
    takers = [name for name, key in rule.children.items() if schema.rules[key].text]
    usual = f"Put it into {any_of(takers)}." if takers else "Delete it, or move it elsewhere."
    return Diagnostic("S108", message, text.span, (text_hint(text, element, site) or usual,))


def _number(
    element: Element, elements: tuple[Element, ...], slot: ChildrenRule, rule: ElementRule
) -> Iterator[Diagnostic]:
    names = [name for name, _ in slot.children]
    found = [child for child in elements if child.name in names]
    if len(found) < slot.least and not _misspelled(element, names, rule):
        message = f"<{element.name}> wants {any_of(names)}"
        hint = f"Write {any_of(names)} into it."
        yield Diagnostic("S109", message, element.span, (hint,))
    if slot.most is not None:
        for extra in found[slot.most :]:
            message = f"<{element.name}> can hold one {any_of(names)}, and this is another"
            related = ((found[0].span, "the first is here"),)
            yield Diagnostic("S110", message, extra.span, ("Keep one of them.",), related)


def _misspelled(element: Element, names: Iterable[str], rule: ElementRule) -> bool:
    """Whether one of the names stands there misspelled, which has been reported already."""
    wanted = tuple(names)
    return any(
        child.name not in rule.children
        and (nearest(child.name, wanted) or meant_element(child.name, wanted)) is not None
        for child in element.elements
    )


# ---------------------------------------------------------------- words


def _given(hint: str | None) -> tuple[str, ...]:
    return (hint,) if hint else ()


def _short(value: str, longest: int = 60) -> str:
    return value if len(value) <= longest else f"{value[: longest - 1]}…"
