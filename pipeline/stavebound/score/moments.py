"""Moments by name: "bar 5, count 1" of a score.

In: the words, and the time of a score. Out: the exact time that they mean. Bars have the
numbers that are printed where repeats are written out, counts those of their phrases. Where
there is no such moment, a `MomentError` says what was expected.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator
from fractions import Fraction

from stavebound.score import lexical
from stavebound.score.counts import SYLLABLES, Bar, TimedPhrase, Timeline, moment
from stavebound.score.model import At

START = "start"
MOMENT = re.compile(
    r"(?:bar (\d{1,4}),? )?count ([1-9]\d?(?: (?:e|and|a|[1-9]\d?/[1-9]\d?))?)", re.IGNORECASE
)
EXPECTED = 'Expected the start, or a bar and a count, such as "bar 5, count 1 and".'
# How many bars a message names.
NAMED = 6


class MomentError(Exception):
    """Sentences: what is not there, and what is."""


def time_of(words: str, timeline: Timeline) -> Fraction | None:
    """The time of a moment; None for the start."""
    said = " ".join(words.split())
    if said.casefold() == START:
        return None
    found = MOMENT.fullmatch(said)
    if found is None:
        raise MomentError(f"“{said}” is no moment. {EXPECTED}")
    at = _at(found[2].casefold())
    if found[1] is None:
        return _alone(at, timeline)
    return _in_bar(_bar(int(found[1]), timeline), at, timeline)


def _at(text: str) -> At:
    count, _, part = text.partition(" ")
    if "/" in part and not Fraction(*map(int, part.split("/"))) < 1:
        raise MomentError(f"{part} is no part of a count. {EXPECTED}")
    return lexical.at(f"{count} {part}".rstrip())


def _bar(number: int, timeline: Timeline) -> Bar:
    bars = {bar.number: bar for bar in timeline.bars}
    if number not in bars:
        raise MomentError(
            f"There is no bar {number}: the score has bars {min(bars)} to {max(bars)}, "
            "repeats written out."
        )
    return bars[number]


def _alone(at: At, timeline: Timeline) -> Fraction:
    """A count without its bar, where only one phrase has it."""
    times = [time for section in timeline.sections for time in _times(at, section)]
    if len(times) == 1:
        return times[0]
    said = lexical.at_text(at)
    if not times:
        raise MomentError(f"No phrase has a count {said}. {EXPECTED}")
    bars = [bar.number for time in times for bar in timeline.bars if bar.start <= time < bar.end]
    more = " and others" if len(bars) > NAMED else ""
    listed = ", ".join(map(str, bars[:NAMED]))
    raise MomentError(f"Count {said} is in several bars: {listed}{more}. {EXPECTED}")


def _in_bar(bar: Bar, at: At, timeline: Timeline) -> Fraction:
    times = (time for section in timeline.sections for time in _times(at, section))
    found = next((time for time in times if bar.start <= time < bar.end), None)
    if found is None:
        counts = ", ".join(map(str, _counts(bar, timeline.sections)))
        raise MomentError(
            f"Bar {bar.number} has no count {lexical.at_text(at)}: its counts are {counts}."
        )
    return found


def _times(at: At, section: TimedPhrase) -> Iterator[Fraction]:
    """When a count of a phrase is, if the phrase has it, as it is divided."""
    known = at.syllable is None or at.syllable in SYLLABLES[section.division]
    if known and section.first <= at.count <= section.last:
        yield moment(at, section)


def _counts(bar: Bar, sections: Iterable[TimedPhrase]) -> Iterator[int]:
    for section in sections:
        for count in range(section.first, section.last + 1):
            if bar.start <= moment(At(count), section) < bar.end:
                yield count
