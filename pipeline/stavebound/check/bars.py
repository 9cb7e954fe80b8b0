"""Bars: how many counts they have, where they begin, and that the last is full.

In: a `Danced`. Out: diagnostics. Without music nothing is known of bars, and
nothing is said of them.
"""

from __future__ import annotations

from bisect import bisect_left
from collections.abc import Iterator, Sequence
from fractions import Fraction

from stavebound.check.phrasing import hints, listed
from stavebound.dance.danced import Danced
from stavebound.diagnostics import Diagnostic
from stavebound.score.counts import Bar, TimedPhrase, bar_length, moment
from stavebound.score.lexical import at_text
from stavebound.score.model import At, Music, SaidBar

MOST_BEGINNINGS = 12
"""Beginnings of bars named in one hint."""


def bars_begin_where_said(danced: Danced) -> Iterator[Diagnostic]:
    strays = {id(bar) for bar in danced.timeline.strays}
    starts = [bar.start for bar in danced.timeline.bars]
    for section, bar in _said(danced):
        if id(bar) in strays and section.first <= bar.at.count <= section.last:
            inside = starts[bisect_left(starts, section.start) : bisect_left(starts, section.end)]
            yield Diagnostic(
                "T306",
                f"no bar begins at {at_text(bar.at)}",
                bar.origin.of("at"),
                (_beginnings(inside, section), "Say an irregular length on the bar that has it."),
            )


def bars_said_once(danced: Danced) -> Iterator[Diagnostic]:
    seen: dict[Fraction, SaidBar] = {}
    for section, bar in _said(danced):
        first = seen.setdefault(moment(bar.at, section), bar)
        if first is not bar and section.first <= bar.at.count <= section.last:
            yield Diagnostic(
                "T307",
                f"the bar that begins at {at_text(bar.at)} is said a second time",
                bar.origin.of("at"),
                ("Say all of one bar in one element.",),
                ((first.origin.of("at"), "the first time"),),
            )


def said_bars_say_something(danced: Danced) -> Iterator[Diagnostic]:
    for _, bar in _said(danced):
        if bar.counts is None and bar.metre is None and bar.identity is None:
            yield Diagnostic(
                "T308",
                "this bar says nothing of its own",
                bar.origin.span,
                ("Give it counts, a metre or an id, or delete it: bars follow from the music.",),
            )


def last_bar_full(danced: Danced) -> Iterator[Diagnostic]:
    """The last bar is full, alone or together with the upbeat."""
    music, bars = danced.score.music, danced.timeline.bars
    if music is None or not _has_bars(music) or not bars:
        return
    last = bars[-1]
    found, due = last.end - last.start, last.due - last.start
    borrowed = -danced.timeline.sections[0].start % bar_length(music)
    if found in (due, due - borrowed):
        return
    beside = f", or {due - borrowed} after this upbeat" if borrowed else ""
    yield Diagnostic(
        "T309",
        f"the last bar has {found} of its {due} counts",
        danced.score.phrases[-1].origin.of("counts"),
        hints(
            f"Expected {due}{beside}: change the counts of the last phrase.",
            _short_bar(last, danced),
        ),
    )


def one_way_of_counting_bars(danced: Danced) -> Iterator[Diagnostic]:
    music = danced.score.music
    if music and music.counts_per_bar and music.bars_per_count:
        yield Diagnostic(
            "T310",
            "counts-per-bar and bars-per-count contradict each other",
            music.origin.of("bars-per-count"),
            ("Keep bars-per-count where a count is longer than a bar, else counts-per-bar.",),
            ((music.origin.of("counts-per-bar"), "the other one"),),
        )


def some_way_of_counting_bars(danced: Danced) -> Iterator[Diagnostic]:
    music = danced.score.music
    if music and not _has_bars(music):
        yield Diagnostic(
            "T311",
            f"it is not said how many counts a bar of {music.metre} has",
            music.origin.of("metre"),
            (
                'Write counts-per-bar="1" where a bar is one count, as in a waltz.',
                'Write bars-per-count="2" where a count is two bars long.',
            ),
        )


def _short_bar(bar: Bar, danced: Danced) -> str | None:
    """How a shorter bar is said, where it begins in the last phrase and has whole counts."""
    section, counts = danced.timeline.sections[-1], bar.end - bar.start
    if bar.start < section.start or counts.denominator > 1 or bar.said:
        return None
    return f'Or say that it is shorter: <bar at="{_at(bar.start, section)}" counts="{counts}"/>.'


def _has_bars(music: Music) -> bool:
    return bool(music.counts_per_bar or music.bars_per_count)


def _said(danced: Danced) -> Iterator[tuple[TimedPhrase, SaidBar]]:
    for section in danced.timeline.sections:
        for bar in section.phrase.bars:
            yield section, bar


def _beginnings(times: Sequence[Fraction], section: TimedPhrase) -> str:
    if not times:
        return "No bar begins in this phrase."
    named = listed(_at(time, section) for time in times[:MOST_BEGINNINGS])
    return f"Bars begin here at {named}{' and so on' if len(times) > MOST_BEGINNINGS else ''}."


def _at(time: Fraction, section: TimedPhrase) -> str:
    """A moment as it is written in its phrase."""
    count, part = divmod(time - section.start, 1)
    return at_text(At(section.first + count, fraction=part))
