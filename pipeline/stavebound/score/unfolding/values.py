"""What unfolding works on: definitions, frames in time, and phrases on their way.

In: nothing but values. Times are exact fractions of a count from the first
count of the phrase; frames that come before it have negative times.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from fractions import Fraction

from stavebound.diagnostics import Diagnostic, Span
from stavebound.score.form import Repeat
from stavebound.score.model import At, Division, Side
from stavebound.score.unfolding.sides import Sides
from stavebound.source.document import Element

MOST_FRAMES = 20_000
"""Frames that a score may unfold to: more than an hour of dancing, a frame a count."""


class UnfoldingError(Exception):
    """Something that cannot be unfolded; the rest of the score can be looked at all the same."""

    def __init__(self, fault: Diagnostic) -> None:
        super().__init__(fault.message)
        self.fault = fault


@dataclass(frozen=True, slots=True)
class Definition:
    """A step written once. `takes` pairs each parameter with what is meant without it."""

    name: str
    counts: int
    takes: Mapping[str, str | None]
    division: Division | None
    out: At | None
    inward: At | None
    element: Element


Steps = Mapping[str, Definition]


@dataclass(frozen=True, slots=True)
class Timed:
    """A frame at its time; `early` where the accent draws it before its step's own count;
    `sides` are the plain words for a side in it that may be wrong."""

    time: Fraction
    frame: Element
    early: bool = False
    sides: Sides = Sides()


@dataclass(frozen=True, slots=True)
class Hand:
    """By what a line is unfolded: the steps, the division, the leg that works, the first count."""

    steps: Steps
    division: Division
    working: Side | None = None
    first: int = 1


@dataclass(frozen=True, slots=True)
class UnfoldedPhrase:
    """A phrase, or the upbeat, with its frames in time.

    `element` is what it comes from, with its attributes but without its children.
    """

    element: Element
    counts: int
    division: Division
    frames: tuple[Timed, ...] = ()
    bars: tuple[Element, ...] = ()
    phrasings: tuple[Element, ...] = ()
    working: Side | None = None
    first: int = 1


@dataclass(frozen=True, slots=True)
class Passage:
    """What a passage unfolds to, and what of it is danced after a jump, repeats left out.

    `once_as` tells of each piece of the latter as which of the former it is danced;
    `repeat` how a repeat does it, its first phrase counted as 0.
    """

    full: tuple[UnfoldedPhrase, ...] = ()
    once: tuple[UnfoldedPhrase, ...] = ()
    once_as: tuple[int, ...] = ()
    repeat: Repeat | None = None


def fits(
    pieces: Iterable[UnfoldedPhrase], times: int, danced: Iterable[UnfoldedPhrase], span: Span
) -> None:
    """UnfoldingError where the pieces, so many times, are too much after what was danced."""
    must_fit(_frames(pieces) * times + _frames(danced), span)


def _frames(pieces: Iterable[UnfoldedPhrase]) -> int:
    return sum(len(piece.frames) + 1 for piece in pieces)


def must_fit(frames: int, span: Span) -> None:
    if frames > MOST_FRAMES:
        raise UnfoldingError(
            Diagnostic(
                "U112",
                f"this unfolds to {frames:,} frames",
                span,
                (f"A score may have {MOST_FRAMES:,}: divide it, or repeat less.",),
            )
        )
