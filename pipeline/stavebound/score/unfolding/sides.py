"""Plain words for a side in what is danced to the other side, where they stay as they are.

In: frames, as they are taken to the other side or given a leg. Out: which of their words for
a side are wrong by then, and a warning for each. The words are data, sides.toml; those of
every language are looked for, since a text may hold words of several.
"""

from __future__ import annotations

import re
import tomllib
from collections.abc import Iterable, Iterator
from dataclasses import dataclass, replace
from functools import cache
from importlib.resources import files

from stavebound.diagnostics import Diagnostic, Severity, Span
from stavebound.score.frame_texts import labels, running
from stavebound.score.model import Side
from stavebound.source.document import Attribute, Element, Text

# Where a word stands: file, line and column.
Place = tuple[str, int, int]


@dataclass(frozen=True, slots=True)
class Sides:
    """The words for a side of a frame, by their places: those that are said of one side and
    danced to the other, and by which working leg the frame is danced that they belong to."""

    aside: frozenset[Place] = frozenset()
    legs: frozenset[tuple[Place, Side]] = frozenset()

    def turned(self, frame: Element) -> Sides:
        """Of the frame to the other side; twice is back again."""
        return replace(self, aside=self.aside ^ frozenset(_places(frame)))

    def of_leg(self, frame: Element, working: Side) -> Sides:
        """Of a frame that speaks of the working leg."""
        own = ((place, working) for place in _places(frame))
        return replace(self, legs=self.legs.union(own))

    def beside(self, other: Sides) -> Sides:
        """Of two frames laid over each other."""
        return Sides(self.aside | other.aside, self.legs | other.legs)


def plain_sides(frames: Iterable[tuple[Element, Sides]]) -> Iterator[Diagnostic]:
    """A warning for each word that is wrong in some of its uses, at each use."""
    known = tuple(frames)
    legs: dict[Place, set[Side]] = {}
    wrong: set[Place] = set()
    for _, sides in known:
        wrong |= sides.aside
        for place, leg in sides.legs:
            legs.setdefault(place, set()).add(leg)
    wrong |= {place for place, both in legs.items() if len(both) > 1}
    for frame, sides in known:
        of_legs = {place for place, _ in sides.legs}
        for word, span, marked in _words(frame) if wrong else ():
            place = _place(span)
            if place in sides.aside or place in of_legs & wrong:
                yield _warned(word, span, marked)


def _warned(word: str, span: Span, marked: bool) -> Diagnostic:
    remedy = (
        'Write <side is="left"/> or <side is="right"/> for the word: it is exchanged.'
        if marked
        else 'Say it in a <cue>, where <side is="left"/> and <side is="right"/> are exchanged.'
    )
    return Diagnostic(
        "U117",
        f"“{word}” stays as it is, and this is danced to the other side too",
        span,
        (remedy,),
        severity=Severity.WARNING,
    )


def _places(frame: Element) -> Iterator[Place]:
    return (_place(span) for _, span, _ in _words(frame))


def _place(span: Span) -> Place:
    return span.path, span.line, span.column


def _words(frame: Element) -> Iterator[tuple[str, Span, bool]]:
    """Each word for a side with its place, and whether a mark could stand in its stead."""
    for attribute in labels(frame):
        yield from ((word, span, False) for word, span in _in_attribute(attribute))
    for child in running(frame):
        for text in (text for one in child.walk() for text in one.children):
            if isinstance(text, Text):
                yield from ((word, span, True) for word, span in _in_text(text))


def _in_attribute(attribute: Attribute) -> Iterator[tuple[str, Span]]:
    for match in _pattern().finditer(attribute.written):
        yield match[0], _within(attribute.span, attribute.written, match)


def _in_text(text: Text) -> Iterator[tuple[str, Span]]:
    words = text.value.lstrip(" \t\r\n")
    for match in _pattern().finditer(words):
        yield match[0], _within(text.span, words, match)


def _within(span: Span, text: str, match: re.Match[str]) -> Span:
    """The place of a word in a text that begins at `span`."""
    before = text[: match.start()]
    lines = before.count("\n")
    column = len(before) - before.rfind("\n") if lines else span.column + len(before)
    return replace(span, line=span.line + lines, column=column, length=len(match[0]))


@cache
def _pattern() -> re.Pattern[str]:
    table = files(__package__).joinpath("sides.toml").read_text(encoding="utf-8")
    words = sorted({word for words in tomllib.loads(table).values() for word in words})
    return re.compile(rf"\b({'|'.join(words)})\b", re.IGNORECASE)
