"""From a file to a tree of elements in which everything knows its place.

In: a path. Out: a `SourceFile`, or what is wrong with the file. Always holds:
no file makes this raise, and none makes it take longer than its size explains.

    path ─ decode ─▶ text ─ events ─▶ placed events ─ here ─▶ tree
                                └─ malformed: what went wrong, in plain words
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Sequence
from pathlib import Path

from stavebound.diagnostics import Diagnostic, Outcome, Span
from stavebound.source.datatypes import collapsed
from stavebound.source.decode import read_text
from stavebound.source.document import Attribute, Element, SourceFile, Text
from stavebound.source.events import (
    Breach,
    CharacterRun,
    End,
    Located,
    Refusal,
    Start,
    placed,
    scan,
)
from stavebound.source.malformed import explain
from stavebound.source.places import Places, places_of
from stavebound.source.rules import NAMESPACE
from stavebound.source.tags import AttributePlace, attribute_places, tag_name

_BEFORE_TEXT = re.compile(r"(?:[ \t\n]+|<!--.*?-->|<\?.*?\?>|<!\[CDATA\[)*", re.DOTALL)
_LINE = re.compile(r"[^<\n]*")
_OURS = f"{NAMESPACE} "


def read_source(path: Path, shown: str) -> Outcome[SourceFile]:
    """The source in the file at `path`; `shown` is the path as the person named it."""
    read = read_text(path, shown)
    if read.value is None:
        return Outcome(None, read.diagnostics)
    return parse_source(read.value, shown)


def parse_source(text: str, shown: str) -> Outcome[SourceFile]:
    """The source in a text whose lines end in "\\n", without a byte order mark."""
    places = places_of(shown, text)
    found = placed(text, scan(text.encode("utf-8")))
    if isinstance(found.fault, Refusal):
        return Outcome(None, (_refusal(text, places, found, found.fault),))
    if isinstance(found.fault, Breach):
        return Outcome(None, (explain(text, places, found, found.fault.error),))
    foreign = _foreign(text, places, found)
    if foreign:
        return Outcome(None, foreign)
    return Outcome(SourceFile(shown, text, _tree(text, places, found)))


def _refusal(text: str, places: Places, found: Located, refusal: Refusal) -> Diagnostic:
    span = _name_span(text, places, found.fault_offset)
    if refusal.attribute is not None:
        span = _own_attributes(text, found.fault_offset)[refusal.attribute].value_span(places)
    return Diagnostic(refusal.code, refusal.message, span, (refusal.hint,))


# ---------------------------------------------------------------- namespaces


def _foreign(text: str, places: Places, found: Located) -> tuple[Diagnostic, ...]:
    """What belongs to another namespace; where the root does, that alone."""
    diagnostics = []
    depth = within = 0
    for event, offset in zip(found.events, found.offsets, strict=True):
        if isinstance(event, Start):
            depth += 1
            if not within and not event.name.startswith(_OURS):
                within = depth
                diagnostics.append(_stranger(text, places, event, offset, is_root=depth == 1))
        elif isinstance(event, End):
            within = 0 if depth == within else within
            depth -= 1
    return tuple(diagnostics)


def _stranger(text: str, places: Places, event: Start, offset: int, *, is_root: bool) -> Diagnostic:
    name = tag_name(text, offset)
    namespace = event.name.rpartition(" ")[0]
    said = f"the namespace “{namespace}”" if namespace else "no namespace"
    span = _name_span(text, places, offset)
    if not is_root:
        hint = f"All inside the root belongs to {NAMESPACE}: delete the other xmlns or the prefix."
        return Diagnostic("X402", f"<{name}> is in {said}", span, (hint,))
    declared = [place for place in attribute_places(text, offset) if place.name == "xmlns"]
    if namespace and declared:
        span = declared[0].value_span(places)
    hint = f'Write xmlns="{NAMESPACE}" in it.'
    return Diagnostic("X401", f"the root element <{name}> is in {said}", span, (hint,))


# ---------------------------------------------------------------- the tree


def _tree(text: str, places: Places, found: Located) -> Element:
    """The root; every element is made when its end is met, and so after its children."""
    open_tags: list[tuple[Start, int]] = []
    children: list[list[Element | Text]] = [[]]
    for event, offset in zip(found.events, found.offsets, strict=True):
        if isinstance(event, Start):
            open_tags.append((event, offset))
            children.append([])
        elif isinstance(event, CharacterRun):
            children[-1].append(_text(text, places, event, offset))
        else:
            element = _element(text, places, *open_tags.pop(), children.pop())
            children[-1].append(element)
    root = children[0][0]
    assert isinstance(root, Element)
    return root


def _element(
    text: str, places: Places, event: Start, offset: int, children: Iterable[Element | Text]
) -> Element:
    name = event.name.removeprefix(_OURS)
    own = _own_attributes(text, offset) if event.attributes else ()
    attributes = _attributes(places, event.attributes[1::2], own)
    return Element(name, attributes, tuple(children), _name_span(text, places, offset))


def _own_attributes(text: str, offset: int) -> tuple[AttributePlace, ...]:
    return tuple(place for place in attribute_places(text, offset) if not place.declares)


def _attributes(
    places: Places, values: Sequence[str], own: Sequence[AttributePlace]
) -> tuple[Attribute, ...]:
    return tuple(
        Attribute(
            place.name,
            collapsed(written),
            written,
            place.value_span(places),
            places.span(place.name_offset, len(place.name)),
        )
        for written, place in zip(values, own, strict=True)
    )


def _text(text: str, places: Places, event: CharacterRun, offset: int) -> Text:
    if not collapsed(event.text):
        return Text(event.text, places.span(offset))
    match = _BEFORE_TEXT.match(text, offset)
    start = offset if match is None else match.end()
    line = _LINE.match(text, start)
    length = 1 if line is None else len(line[0].rstrip())
    return Text(event.text, places.span(start, length))


def _name_span(text: str, places: Places, offset: int) -> Span:
    """The name of the tag at the offset; where there is no tag, one character."""
    name = "" if text.startswith("<!", offset) else tag_name(text, offset)
    return places.span(offset + len("<"), len(name)) if name else places.span(offset)
