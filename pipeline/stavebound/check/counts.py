"""Counts: every frame inside its phrase, in the order of time, on a syllable that there is.

In: a `Danced`. Out: a diagnostic for each count, frame or bar that is at fault, at
the place of its `at`.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from fractions import Fraction

from stavebound.check.phrasing import listed
from stavebound.dance.danced import Danced
from stavebound.diagnostics import Diagnostic, Span
from stavebound.score.counts import SYLLABLES, TimedPhrase, moment
from stavebound.score.lexical import at_text
from stavebound.score.model import At, Division, Frame, SaidBar, Score


@dataclass(frozen=True, slots=True)
class Follower:
    """A frame with the one before it in the file, and the first one at the same moment."""

    frame: Frame
    last: Frame
    same: Frame | None
    is_early: bool


MOST_COUNTS = 10_000
"""More than an hour of dancing."""

COUNTED = {
    Division.HALVES: "1 and",
    Division.THIRDS: "1 and a",
    Division.QUARTERS: "1 e and a",
}


def too_long(score: Score) -> Iterator[Diagnostic]:
    """Looked at before all else, as everything takes time by the number of counts."""
    counts = sum(phrase.counts for phrase in score.phrases)
    if counts > MOST_COUNTS:
        yield Diagnostic(
            "T312",
            f"the score has {counts:,} counts, and none can have more than {MOST_COUNTS:,}",
            score.origin.span,
            ("Divide it: a score is one exercise, one dance or one section.",),
        )


def counts_in_their_phrase(danced: Danced) -> Iterator[Diagnostic]:
    """A step that is too long is one fault, at the first of its frames that are outside."""
    for section, (item, *others) in _outside(danced):
        name, counts = _named(section, danced)
        inside = listed((str(section.first), str(section.last)), "to")
        last = max((other.at.count for other in others), default=item.at.count)
        yield Diagnostic(
            "T301",
            f"count {item.at.count} is outside its {name}",
            item.origin.of("at"),
            (
                f"The {name} has {counts}: expected {inside}.",
                *((f"What is danced here goes on to count {last}.",) if others else ()),
                f"Give the {name} more counts, or begin a phrase, which counts from 1 again.",
            ),
            ((section.phrase.origin.of("counts"), f"the {name}'s counts are said here"),),
        )


def frames_in_order(danced: Danced) -> Iterator[Diagnostic]:
    for follower in _followers(danced):
        if follower.same is None and follower.is_early:
            where = at_text(follower.last.at)
            yield Diagnostic(
                "T302",
                f"the frame at {at_text(follower.frame.at)} stands after the frame at {where}",
                follower.frame.origin.of("at"),
                (f"Frames stand in the order of time: put it before the one at {where}.",),
                ((follower.last.origin.of("at"), f"the frame at {where}"),),
            )


def one_frame_a_moment(danced: Danced) -> Iterator[Diagnostic]:
    for follower in _followers(danced):
        if follower.same is not None:
            yield Diagnostic(
                "T303",
                f"there is a frame at {at_text(follower.same.at)} already",
                follower.frame.origin.of("at"),
                ("Write all that happens at one moment into one frame.",),
                ((follower.same.origin.of("at"), "the first frame at this moment"),),
            )


def syllables_of_the_division(danced: Danced) -> Iterator[Diagnostic]:
    for section, item in _items(danced):
        syllable = item.at.syllable
        if syllable and syllable not in SYLLABLES[section.division]:
            having = [each for each, table in SYLLABLES.items() if syllable in table]
            declared = listed((f'divide="{each}" ({COUNTED[each]})' for each in having), "or")
            division = section.division
            yield Diagnostic(
                "T304",
                f"a count divided into {division} has no “{syllable}”",
                item.origin.of("at"),
                (
                    f"{division.capitalize()} are counted “{COUNTED[division]}”.",
                    f"Declare {declared} on the music, the phrase or the upbeat.",
                ),
            )


def fractions_below_one(danced: Danced) -> Iterator[Diagnostic]:
    for _, item in _items(danced):
        fraction = item.at.fraction or Fraction(0)
        if fraction >= 1:
            meant = At(item.at.count + int(fraction), fraction=fraction % 1)
            yield Diagnostic(
                "T305",
                "the fraction of a count is a whole count or more",
                item.origin.of("at"),
                (f'This moment is written at="{at_text(meant)}".',),
            )


def _items(danced: Danced) -> Iterator[tuple[TimedPhrase, Frame | SaidBar]]:
    """All that stands at a count."""
    for section in danced.timeline.sections:
        yield from ((section, bar) for bar in section.phrase.bars)
        yield from ((section, frame) for frame in section.phrase.frames)


def _outside(danced: Danced) -> Iterator[tuple[TimedPhrase, list[Frame | SaidBar]]]:
    """All that stands outside its section, what one step brings there together."""
    found: dict[tuple[int, Span], tuple[TimedPhrase, list[Frame | SaidBar]]] = {}
    for section, item in _items(danced):
        if not section.first <= item.at.count <= section.last:
            place = item.origin.of("at")
            step = next((use for use in reversed(place.uses) if not use.again), place)
            found.setdefault((id(section), step), (section, []))[1].append(item)
    yield from found.values()


def _followers(danced: Danced) -> Iterator[Follower]:
    for section in danced.timeline.sections:
        first: dict[Fraction, Frame] = {}
        last: Frame | None = None
        for frame in section.phrase.frames:
            time = moment(frame.at, section)
            if last is not None:
                early = time < moment(last.at, section)
                yield Follower(frame, last, first.get(time), early)
            first.setdefault(time, frame)
            last = frame


def _named(section: TimedPhrase, danced: Danced) -> tuple[str, str]:
    name = "upbeat" if section.phrase is danced.score.upbeat else "phrase"
    counts = section.phrase.counts
    return name, f"{counts} {'count' if counts == 1 else 'counts'}"
