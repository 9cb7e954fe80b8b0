"""A tree held against the tables of the schema: all faults, each with a remedy.

In: the root of a source and the schema. Out: diagnostics in the order of the
file. Always holds: no diagnostic exactly where the RELAX NG grammar accepts the
source. An element that is not known is looked into as the one it was probably
meant to be, so that one slip of the pen does not hide the next.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from itertools import islice

from stavebound.diagnostics import Diagnostic
from stavebound.source.datatypes import allows, collapsed, expected
from stavebound.source.document import Attribute, Element, Text
from stavebound.source.rules import AttributeRule, ElementRule, Schema, Slot
from stavebound.suggest import nearest, suggest

_MOST_NAMES = 8
"""Names listed in one hint; a longer list is not read."""

_MOST_FAULTS = 2_000
"""Faults looked for; a file with more of them is not a source."""


def validate(root: Element, schema: Schema) -> tuple[Diagnostic, ...]:
    """All faults of a source against the schema's tables, the first two thousand of them."""
    key = schema.roots.get(root.name)
    if key is not None:
        faults = islice(_element(root, schema.rules[key], schema), _MOST_FAULTS)
        return tuple(sorted(faults, key=lambda fault: fault.span or root.span))
    hint = suggest(root.name, schema.roots)
    hints = (*_given(hint), f"Expected {_any_of(schema.roots)}.")
    message = f"a file cannot begin with <{root.name}>"
    if not schema.named(root.name):
        message = f"<{root.name}> is no element of the dialect"
    return (Diagnostic("S101", message, root.span, hints),)


def _element(element: Element, rule: ElementRule, schema: Schema) -> Iterator[Diagnostic]:
    yield from _attributes(element, rule, schema)
    yield from _children(element, rule, schema)
    for slot in rule.slots:
        yield from _number(element, slot, rule)


# ---------------------------------------------------------------- attributes


def _attributes(element: Element, rule: ElementRule, schema: Schema) -> Iterator[Diagnostic]:
    known = {attribute.name: attribute for attribute in rule.attributes}
    unknown = [attribute for attribute in element.attributes if attribute.name not in known]
    for attribute in element.attributes:
        if attribute.name in known:
            yield from _value(attribute, known[attribute.name])
        else:
            yield _unknown_attribute(attribute, rule, schema)
    for attribute_rule in rule.attributes:
        if attribute_rule.required and element.get(attribute_rule.name) is None:
            meant = [nearest(attribute.name, known) for attribute in unknown]
            # Its misspelling has been reported already.
            if attribute_rule.name not in meant:
                yield _missing_attribute(element, attribute_rule)


def _value(attribute: Attribute, rule: AttributeRule) -> Iterator[Diagnostic]:
    if allows(rule.datatype, attribute.written):
        return
    words = [word.value for word in rule.datatype.words]
    said = f"{attribute.name} cannot be “{_short(attribute.written)}”"
    message = said if attribute.value else f"{attribute.name} is empty"
    hints = (*_given(suggest(attribute.value, words)), f"Expected {expected(rule.datatype)}.")
    code = "S106" if words else "S107"
    yield Diagnostic(code, message, attribute.span, hints)


def _unknown_attribute(attribute: Attribute, rule: ElementRule, schema: Schema) -> Diagnostic:
    names = [known.name for known in rule.attributes]
    hint = suggest(attribute.name, names)
    owners = [
        other.name
        for other in schema.rules.values()
        if any(known.name == attribute.name for known in other.attributes)
    ]
    if hint is None and owners:
        hint = f"{attribute.name} is an attribute of {_any_of(owners)}."
    takes = f"<{rule.name}> has {_listed(names, 'and') if names else 'none'}."
    message = f"<{rule.name}> has no attribute {attribute.name}"
    return Diagnostic("S104", message, attribute.name_span, (*_given(hint), takes))


def _missing_attribute(element: Element, rule: AttributeRule) -> Diagnostic:
    message = f"<{element.name}> wants the attribute {rule.name}"
    hint = f'Write {rule.name}="…", with {expected(rule.datatype)}.'
    return Diagnostic("S105", message, element.span, (*_given(rule.doc), hint))


# ---------------------------------------------------------------- children


def _children(element: Element, rule: ElementRule, schema: Schema) -> Iterator[Diagnostic]:
    known = rule.children
    for child in element.children:
        if isinstance(child, Text):
            if not rule.text and collapsed(child.value):
                yield _text(child, rule, schema)
            continue
        key = known.get(child.name)
        if key is None:
            yield _misplaced(child, rule, schema)
            key = _meant(child, rule, schema)
        if key is not None:
            yield from _element(child, schema.rules[key], schema)


def _meant(child: Element, rule: ElementRule, schema: Schema) -> str | None:
    """The key of the rule by which to look into a child that cannot stand where it is."""
    name = nearest(child.name, rule.children)
    if name is not None and not schema.named(child.name):
        return rule.children[name]
    keys = [key for key, other in schema.rules.items() if other.name == child.name]
    return keys[0] if len(keys) == 1 else None


def _misplaced(child: Element, rule: ElementRule, schema: Schema) -> Diagnostic:
    known = rule.children
    holders = schema.holders(child.name)
    may = f"<{rule.name}> may hold {_any_of(known) if known else 'no elements'}."
    if holders:
        message = f"<{child.name}> cannot stand in <{rule.name}>"
        hint = f"It belongs in {_any_of(holders)}."
        return Diagnostic("S103", message, child.span, (hint, may))
    if schema.named(child.name):
        message = f"<{child.name}> cannot stand in <{rule.name}>"
        hint = "It is the root of a file of its own."
        return Diagnostic("S103", message, child.span, (hint, may))
    everywhere = [other.name for other in schema.rules.values()]
    likely = suggest(child.name, known) or suggest(child.name, everywhere)
    message = f"<{child.name}> is no element of the dialect"
    return Diagnostic("S102", message, child.span, (*_given(likely), may))


def _text(text: Text, rule: ElementRule, schema: Schema) -> Diagnostic:
    message = f"text cannot stand in <{rule.name}> by itself"
    takers = [name for name, key in rule.children.items() if schema.rules[key].text]
    hint = f"Put it into {_any_of(takers)}." if takers else "Delete it, or move it elsewhere."
    return Diagnostic("S108", message, text.span, (hint,))


def _number(element: Element, slot: Slot, rule: ElementRule) -> Iterator[Diagnostic]:
    if not slot.least and slot.most is None:
        return
    names = [name for name, _ in slot.children]
    found = [child for child in element.elements if child.name in names]
    if len(found) < slot.least and not _misspelled(element, names, rule):
        message = f"<{element.name}> wants {_any_of(names)}"
        hint = f"Write {_any_of(names)} into it."
        yield Diagnostic("S109", message, element.span, (hint,))
    if slot.most is not None:
        for extra in found[slot.most :]:
            message = f"<{element.name}> can hold one {_any_of(names)}, and this is another"
            related = ((found[0].span, "the first is here"),)
            yield Diagnostic("S110", message, extra.span, ("Keep one of them.",), related)


def _misspelled(element: Element, names: Iterable[str], rule: ElementRule) -> bool:
    """Whether one of the names stands there misspelled, which has been reported already."""
    wanted = tuple(names)
    return any(
        child.name not in rule.children and nearest(child.name, wanted) is not None
        for child in element.elements
    )


# ---------------------------------------------------------------- words


def _given(hint: str | None) -> tuple[str, ...]:
    return (hint,) if hint else ()


def _any_of(names: Iterable[str]) -> str:
    return _listed([f"<{name}>" for name in dict.fromkeys(names)], "or")


def _listed(names: list[str], link: str) -> str:
    """The names as words, as many as can be read: a, b or c."""
    if len(names) > _MOST_NAMES:
        shown = ", ".join(names[:_MOST_NAMES])
        return f"{shown} and {len(names) - _MOST_NAMES} more"
    if len(names) == 1:
        return names[0]
    return f"{', '.join(names[:-1])} {link} {names[-1]}"


def _short(value: str, longest: int = 60) -> str:
    return value if len(value) <= longest else f"{value[: longest - 1]}…"
