"""What is left of a source when what the schema refuses is taken out of it.

In: the root of a source, and the faults that the schema found. Out: a root without the
damaged elements, and the trail to each loss. Always holds: nothing is left out but what a
fault stands at, with all inside it and what belongs to it; of an element that carries
others only the attributes and the text at fault are, and what it wants stands there as
a placeholder.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, replace
from types import MappingProxyType

from stavebound.diagnostics import Diagnostic, Span
from stavebound.source.document import Attribute, Element, Text

# What holds other elements that can be judged without it, with what stands there for an
# attribute that it wants.
CARRIERS: Mapping[str, Mapping[str, str]] = MappingProxyType(
    {
        "score": {"title": "Untitled"},
        "start": {},
        "upbeat": {"counts": "1"},
        "phrase": {"counts": "1"},
        "frame": {"at": "1"},
        "repeat": {},
        "ending": {},
        "over": {},
    }
)

Trail = tuple[Element, ...]


@dataclass(frozen=True, slots=True)
class Sound:
    """The root as it is left. `lost` has for each loss the elements down to it, as they were,
    from the root's child on; `unsaid` are the root's own attributes that are gone."""

    root: Element
    lost: tuple[Trail, ...] = ()
    unsaid: tuple[str, ...] = ()


def sound_part(root: Element, faults: Iterable[Diagnostic]) -> Sound:
    """The source without what these faults stand at."""
    found = tuple(faults)
    spans = [fault.span for fault in found if fault.span]
    # Of two where one may stand, nobody knows which was meant.
    spans += [span for fault in found if fault.code == "S110" for span, _ in fault.related]
    bad = _Bad(
        frozenset(map(_at, spans)),
        frozenset(_at(one.span) for one in found if one.code == "S103" and one.span),
    )
    lost: list[Trail] = []
    left = _carrier(root, (), bad, lost)
    said = {attribute.name for attribute in left.attributes}
    unsaid = tuple(one.name for one in root.attributes if one.name not in said)
    return Sound(left, tuple(lost), unsaid)


@dataclass(frozen=True, slots=True)
class _Bad:
    """Lines and columns of faults; of those, `misplaced` are elements that stand wrongly."""

    places: frozenset[tuple[int, int]]
    misplaced: frozenset[tuple[int, int]]

    def __contains__(self, span: Span) -> bool:
        return _at(span) in self.places


def _left(element: Element, trail: Trail, bad: _Bad, lost: list[Trail]) -> Element | None:
    if element.name in CARRIERS and _at(element.span) not in bad.misplaced:
        return _carrier(element, trail, bad, lost)
    before = len(lost)
    if element.span in bad or any(_is_bad(one, bad) for one in element.attributes):
        lost.append(trail)
        return None
    children = _children(element, trail, bad, lost)
    # What belongs together goes together: a text, a step, a passage with its end.
    return replace(element, children=children) if len(lost) == before else None


def _carrier(element: Element, trail: Trail, bad: _Bad, lost: list[Trail]) -> Element:
    kept = tuple(one for one in element.attributes if not _is_bad(one, bad))
    texts = (child for child in element.children if isinstance(child, Text))
    own = element.span in bad or any(text.span in bad for text in texts)
    whole = not own and len(kept) == len(element.attributes)
    if trail and not whole:
        lost.append(trail)
    said = {one.name for one in kept}
    wanted = CARRIERS[element.name].items()
    filled = tuple(_stand_in(name, value, element) for name, value in wanted if name not in said)
    return replace(
        element,
        attributes=kept if whole else (*kept, *filled),
        children=_children(element, trail, bad, lost),
    )


def _children(
    element: Element, trail: Trail, bad: _Bad, lost: list[Trail]
) -> tuple[Element | Text, ...]:
    found: list[Element | Text] = []
    for child in element.children:
        if isinstance(child, Text):
            found += () if child.span in bad else (child,)
        elif left := _left(child, (*trail, child), bad, lost):
            found.append(left)
    return tuple(found)


def _stand_in(name: str, value: str, element: Element) -> Attribute:
    return Attribute(name, value, value, element.span, element.span)


def _is_bad(attribute: Attribute, bad: _Bad) -> bool:
    return attribute.span in bad or attribute.name_span in bad


def _at(span: Span) -> tuple[int, int]:
    return (span.line, span.column)
