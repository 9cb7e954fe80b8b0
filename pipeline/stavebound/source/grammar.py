"""A RELAX NG grammar read into tables.

In: a grammar in its XML form, as it is made from the compact form. Out: a
`Schema`. Only a part of RELAX NG is understood: attributes, required or
optional; children in any order, with a number each; text or none. All else is
refused with a GrammarError, so that the tables never say less than the grammar.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass, replace
from types import MappingProxyType

from lxml import etree

from stavebound.source.datatypes import RNG, XSD, Datatype, ValueForm, Word
from stavebound.source.rules import NAMESPACE, AttributeRule, ChildrenRule, ElementRule, Schema

_RNG = f"{{{RNG}}}"
_DOC = "{http://relaxng.org/ns/compatibility/annotations/1.0}documentation"

_Defines = Mapping[str, etree._Element]


class GrammarError(ValueError):
    """The grammar says something that the tables cannot hold."""


@dataclass(frozen=True, slots=True)
class _Content:
    """What a stretch of a definition adds to an element."""

    attributes: tuple[AttributeRule, ...] = ()
    slots: tuple[ChildrenRule, ...] = ()
    text: bool = False


def read_grammar(text: str) -> Schema:
    """The tables of a grammar. GrammarError where it goes beyond them."""
    root = _merged(etree.fromstring(text.encode("utf-8")))
    if root.tag != f"{_RNG}grammar" or root.get("ns") != NAMESPACE:
        raise GrammarError(f"not a RELAX NG grammar of the namespace {NAMESPACE}")
    if root.get("datatypeLibrary", XSD) != XSD:
        raise GrammarError("datatypes other than those of XML Schema")
    defines = {_required(define, "name"): define for define in root.findall(f"{_RNG}define")}
    rules = {
        key: _element_rule(element, defines)
        for key, define in defines.items()
        if (element := define.find(f"{_RNG}element")) is not None
    }
    roots = {rules[key].name: key for key in _starts(root)}
    return Schema(rules, roots, text)


def plain_grammar(text: str) -> str:
    """The grammar without its divisions: what is left is the plain dialect."""
    root = etree.fromstring(text.encode("utf-8"))
    for division in root.findall(f"{_RNG}div"):
        root.remove(division)
    return etree.tostring(root, encoding="unicode")


def _merged(root: etree._Element) -> etree._Element:
    """The grammar with its divisions dissolved and each name defined once."""
    for division in root.findall(f"{_RNG}div"):
        root.extend(list(division))
        root.remove(division)
    named: dict[tuple[str, str], etree._Element] = {}
    for definition in root.findall(f"{_RNG}start") + root.findall(f"{_RNG}define"):
        first = named.setdefault((_kind(definition), definition.get("name", "")), definition)
        if first is not definition:
            _add(first, definition)
            root.remove(definition)
    return root


def _add(first: etree._Element, more: etree._Element) -> None:
    """What a later definition of a name adds to the first one, as the later one says."""
    combine = _required(more, "combine")
    joined = next((child for child in first if _kind(child) == combine), None)
    if joined is None or len(_children(first)) > 1:
        content = _children(first)
        joined = etree.SubElement(first, f"{_RNG}{combine}")
        joined.extend(content)
    for part in _children(more):
        flat = list(part) if _kind(part) == combine else [part]
        joined.extend(flat)


def _starts(root: etree._Element) -> tuple[str, ...]:
    return tuple(_required(ref, "name") for ref in root.findall(f"{_RNG}start//{_RNG}ref"))


def _element_rule(element: etree._Element, defines: _Defines) -> ElementRule:
    content = _group(element, defines)
    doc = _doc(element) or _doc(_parent(element))
    name = _required(element, "name")
    return ElementRule(name, doc, content.attributes, content.text, content.slots)


# ---------------------------------------------------------------- contents


def _content(node: etree._Element, defines: _Defines) -> _Content:
    read = _READERS.get(_kind(node))
    if read is None:
        raise _beyond(node)
    return read(node, defines)


def _group(node: etree._Element, defines: _Defines) -> _Content:
    parts = [_content(child, defines) for child in _children(node)]
    if sum(bool(part.slots) or part.text for part in parts) > 1:
        raise GrammarError(f"{_where(node)}: children in a fixed order; use & between them")
    return _joined(parts)


def _interleave(node: etree._Element, defines: _Defines) -> _Content:
    return _joined(_content(child, defines) for child in _children(node))


def _mixed(node: etree._Element, defines: _Defines) -> _Content:
    return replace(_group(node, defines), text=True)


def _optional(node: etree._Element, defines: _Defines) -> _Content:
    content = _group(node, defines)
    needed = [rule for rule in content.attributes if rule.required]
    needed_slots = [slot for slot in content.slots if slot.least]
    parts = len(content.attributes) + len(content.slots)
    if (parts > 1 and needed) or (parts > 1 and needed_slots):
        raise GrammarError(f"{_where(node)}: several things that are optional only together")
    return _Content(
        tuple(replace(rule, required=False) for rule in content.attributes),
        tuple(replace(slot, least=0) for slot in content.slots),
        content.text,
    )


def _repeated(node: etree._Element, defines: _Defines) -> _Content:
    least = 0 if _kind(node) == "zeroOrMore" else 1
    content = _one_of(node, defines)
    if least and content.text:
        raise _beyond(node)
    return replace(
        content, slots=tuple(replace(slot, least=least, most=None) for slot in content.slots)
    )


def _choice(node: etree._Element, defines: _Defines) -> _Content:
    content = _one_of(node, defines)
    if content.text:
        raise _beyond(node)
    return content


def _one_of(node: etree._Element, defines: _Defines) -> _Content:
    """A choice of single elements and of text, as one slot; a lone child is a choice of one."""
    alternatives = [
        inner
        for child in _children(node)
        for inner in (_children(child) if _kind(child) == "choice" else (child,))
    ]
    parts = [_content(child, defines) for child in alternatives]
    one = ChildrenRule((), 1, 1)
    for part in parts:
        single = len(part.slots) == 1 and (part.slots[0].least, part.slots[0].most) == (1, 1)
        if part.attributes or not (single or (part.text and not part.slots)):
            raise _beyond(node)
    children = tuple(child for part in parts for slot in part.slots for child in slot.children)
    slots = (replace(one, children=children),) if children else ()
    return _Content((), slots, any(part.text for part in parts))


def _ref(node: etree._Element, defines: _Defines) -> _Content:
    key = _required(node, "name")
    define = defines[key]
    element = define.find(f"{_RNG}element")
    if element is None:
        return _group(define, defines)
    return _Content(slots=(ChildrenRule(((_required(element, "name"), key),), 1, 1),))


def _text(node: etree._Element, defines: _Defines) -> _Content:
    return _Content(text=True)


def _empty(node: etree._Element, defines: _Defines) -> _Content:
    return _Content()


def _attribute(node: etree._Element, defines: _Defines) -> _Content:
    name = _required(node, "name")
    datatype = _datatypes(node, "", defines)
    return _Content((AttributeRule(name, _doc(node), True, datatype),))


_READERS: Mapping[str, Callable[[etree._Element, _Defines], _Content]] = MappingProxyType(
    {
        "attribute": _attribute,
        "choice": _choice,
        "empty": _empty,
        "group": _group,
        "interleave": _interleave,
        "mixed": _mixed,
        "oneOrMore": _repeated,
        "optional": _optional,
        "ref": _ref,
        "text": _text,
        "zeroOrMore": _repeated,
    }
)


def _joined(parts: Iterable[_Content]) -> _Content:
    every = tuple(parts)
    return _Content(
        tuple(rule for part in every for rule in part.attributes),
        tuple(slot for part in every for slot in part.slots),
        any(part.text for part in every),
    )


# ---------------------------------------------------------------- datatypes


def _datatypes(node: etree._Element, doc: str, defines: _Defines) -> Datatype:
    parts = [_datatype(child, doc, defines) for child in _children(node)]
    return Datatype(
        tuple(word for part in parts for word in part.words),
        tuple(form for part in parts for form in part.forms),
    )


def _datatype(node: etree._Element, doc: str, defines: _Defines) -> Datatype:
    kind = _kind(node)
    if kind == "ref":
        define = defines[_required(node, "name")]
        return _datatypes(define, _doc(define) or doc, defines)
    if kind == "choice":
        return _datatypes(node, doc, defines)
    if kind == "value" and node.get("type") is None:
        return Datatype(words=(Word((node.text or "").strip(), _doc_after(node)),))
    if kind == "data":
        return Datatype(
            forms=(ValueForm(_required(node, "type"), _pattern(node), _doc(node) or doc),)
        )
    if kind == "text":
        return Datatype()
    raise _beyond(node)


def _pattern(node: etree._Element) -> str:
    parameters = _children(node)
    if not parameters:
        return ""
    if len(parameters) > 1 or parameters[0].get("name") != "pattern":
        raise _beyond(node)
    return parameters[0].text or ""


# ---------------------------------------------------------------- nodes


def _children(node: etree._Element) -> tuple[etree._Element, ...]:
    return tuple(child for child in node if isinstance(child.tag, str) and child.tag != _DOC)


def _kind(node: etree._Element) -> str:
    return str(node.tag).removeprefix(_RNG)


def _parent(node: etree._Element) -> etree._Element:
    parent = node.getparent()
    return node if parent is None else parent


def _required(node: etree._Element, name: str) -> str:
    value = node.get(name)
    if value is None:
        raise GrammarError(f"{_where(node)}: <{_kind(node)}> without {name}")
    return str(value)


def _doc(node: etree._Element) -> str:
    """The documentation at the head of a node, of one line."""
    lines = []
    for child in node:
        if child.tag != _DOC:
            break
        lines.append(child.text or "")
    return " ".join(" ".join(lines).split())


def _doc_after(node: etree._Element) -> str:
    after = node.getnext()
    return "" if after is None or after.tag != _DOC else " ".join((after.text or "").split())


def _where(node: etree._Element) -> str:
    return f"line {node.sourceline} of the grammar"


def _beyond(node: etree._Element) -> GrammarError:
    return GrammarError(f"{_where(node)}: the tables cannot hold this use of <{_kind(node)}>")
