"""Time: from counts of phrases to exact moments and numbered bars.

In: a score. Out: a `Timeline`. Times are exact fractions of a count from the
first count of the first phrase; an upbeat has negative times.

        upbeat │ bar 1        │ bar 2        │
          8  & │ 1     2    & │ 3     4      │
    time −1    │ 0     1      │ 2     3      │ 4 = end

Nothing is refused here: a frame outside its phrase still has a time, and
`check` says what is wrong with it.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from fractions import Fraction
from typing import NamedTuple

from stavebound.score.model import At, Division, Frame, Music, Phrase, Phrasing, SaidBar, Score

SYLLABLES: dict[Division, dict[str, Fraction]] = {
    Division.HALVES: {"and": Fraction(1, 2)},
    Division.THIRDS: {"and": Fraction(1, 3), "a": Fraction(2, 3)},
    Division.QUARTERS: {"e": Fraction(1, 4), "and": Fraction(1, 2), "a": Fraction(3, 4)},
}

ANY_SYLLABLE = {
    syllable: part for table in reversed(SYLLABLES.values()) for syllable, part in table.items()
}


@dataclass(frozen=True, slots=True)
class TimedPhrase:
    """An upbeat or a phrase in time; `first` is the number of its first count."""

    phrase: Phrase
    start: Fraction
    first: int
    division: Division

    @property
    def end(self) -> Fraction:
        return self.start + self.phrase.counts

    @property
    def last(self) -> int:
        return self.first + self.phrase.counts - 1


class Event(NamedTuple):
    """A frame at its moment."""

    time: Fraction
    frame: Frame
    section: TimedPhrase


class Bar(NamedTuple):
    """A bar from `start` to `end`. Bars before the first count have numbers below 1.

    `due` is where the bar would end by its length: after `end` where the score
    is over before.
    """

    number: int
    start: Fraction
    end: Fraction
    due: Fraction
    said: SaidBar | None = None


@dataclass(frozen=True, slots=True)
class Phrased:
    """A phrasing in time, and the sections in which it begins and ends; `ends_in` is None
    where it would end in a phrase that is not there."""

    phrasing: Phrasing
    start: Fraction
    end: Fraction
    begins_in: TimedPhrase
    ends_in: TimedPhrase | None


@dataclass(frozen=True, slots=True)
class Timeline:
    """`strays` are the bars said at a moment where no bar begins."""

    sections: tuple[TimedPhrase, ...]
    events: tuple[Event, ...]
    bars: tuple[Bar, ...]
    strays: tuple[SaidBar, ...]

    @property
    def end(self) -> Fraction:
        return self.sections[-1].end


def time_line(score: Score) -> Timeline:
    sections = tuple(_sections(score))
    said = {moment(bar.at, section): bar for section in sections for bar in section.phrase.bars}
    bars = tuple(_bars(bar_length(score.music), sections, said))
    starts = {bar.start for bar in bars} if said else set()
    return Timeline(
        sections=sections,
        events=tuple(
            Event(moment(frame.at, section), frame, section)
            for section in sections
            for frame in section.phrase.frames
        ),
        bars=bars,
        strays=tuple(bar for time, bar in said.items() if time not in starts),
    )


def moment(at: At, section: TimedPhrase) -> Fraction:
    """The exact time of a count of a section.

    A syllable that the section's division does not have is timed as in the
    division that has it; `check` reports it.
    """
    whole = at.count - section.first
    if at.syllable:
        part = SYLLABLES[section.division].get(at.syllable, ANY_SYLLABLE[at.syllable])
        return section.start + (whole + part)
    return section.start + (whole + at.fraction if at.fraction else whole)


def phrased(timeline: Timeline) -> Iterator[Phrased]:
    """All phrasings in the order of their sections."""
    for section, following in zip(timeline.sections, (*timeline.sections[1:], None), strict=True):
        for phrasing in section.phrase.phrasings:
            start, end = moment(phrasing.begin, section), moment(phrasing.end, section)
            if end > start:
                yield Phrased(phrasing, start, end, section, section)
            else:
                later = moment(phrasing.end, following) if following else end
                yield Phrased(phrasing, start, later, section, following)


def bar_length(music: Music | None) -> Fraction:
    """Counts a bar; without music, a bar is four counts."""
    if music is None:
        return Fraction(4)
    return Fraction(music.counts_per_bar or 1, music.bars_per_count or 1)


def _sections(score: Score) -> Iterator[TimedPhrase]:
    default = (score.music.division if score.music else None) or Division.HALVES
    time = Fraction(0)
    if score.upbeat:
        counts = score.upbeat.counts
        first = max(score.phrases[0].counts - counts, 0) + 1
        yield TimedPhrase(score.upbeat, Fraction(-counts), first, score.upbeat.division or default)
    for phrase in score.phrases:
        yield TimedPhrase(phrase, time, 1, phrase.division or default)
        time += phrase.counts


def _bars(
    length: Fraction, sections: tuple[TimedPhrase, ...], said: dict[Fraction, SaidBar]
) -> Iterator[Bar]:
    begin, end = sections[0].start, sections[-1].end
    before = -(begin // length) if begin < 0 else 0
    number, time = 1 - before, -before * length
    while time < end:
        bar = said.get(time) if said else None
        after = time + (bar.counts if bar and bar.counts else length)
        yield Bar(number, max(time, begin), min(after, end), after, bar)
        number, time = number + 1, after
