"""Breaths: phrasings go from a count to a later one, and none over another.

In: a `Danced`. Out: diagnostics, at the attribute that is at fault.
"""

from __future__ import annotations

from collections.abc import Iterator
from itertools import pairwise

from stavebound.dance.danced import Danced
from stavebound.diagnostics import Diagnostic
from stavebound.score.counts import Phrased, TimedPhrase, phrased
from stavebound.score.lexical import at_text

AFTER = "A count that is no later than the first is counted in the phrase that follows."


def phrasings_between_counts(danced: Danced) -> Iterator[Diagnostic]:
    """Both ends stand where a bow can end: at a whole count, or at a frame."""
    frames = {event.time for event in danced.timeline.events}
    for one in phrased(danced.timeline):
        first, last = one.phrasing.begin, one.phrasing.end
        ends = (
            ("from", first, one.start, one.begins_in),
            ("to", last, one.end, one.ends_in),
        )
        for name, at, time, section in ends:
            if section is None:
                what, hint = "there is no phrase after this one in which it could end", AFTER
            elif not section.first <= at.count <= section.last:
                what, hint = (
                    f"there is no count {at.count} {_where(one, section)}",
                    _counts(section),
                )
            elif time not in frames and (time - section.start).denominator > 1:
                what, hint = f"nothing is written at {at_text(at)}", "Name a count or a frame."
            else:
                continue
            yield Diagnostic("T313", what, one.phrasing.origin.of(name), (hint,))


def phrasings_one_after_another(danced: Danced) -> Iterator[Diagnostic]:
    """One may begin where another ends."""
    in_time = sorted(phrased(danced.timeline), key=lambda one: (one.start, one.end))
    for before, after in pairwise(in_time):
        if after.start < before.end:
            yield Diagnostic(
                "T314",
                f"this phrasing begins before the one from “{at_text(before.phrasing.begin)}” "
                f"to “{at_text(before.phrasing.end)}” has ended",
                after.phrasing.origin.of("from"),
                ("Let one begin where the other ends, or later.",),
                ((before.phrasing.origin.span, "the other one"),),
            )


def _where(one: Phrased, section: TimedPhrase) -> str:
    return "here" if section is one.begins_in else "in the phrase that follows"


def _counts(section: TimedPhrase) -> str:
    return f"Expected {section.first} to {section.last}."
