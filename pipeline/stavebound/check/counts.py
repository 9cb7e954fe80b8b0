"""Counts: every frame inside its phrase, in the order of time, on a syllable that there is."""

from __future__ import annotations

from collections.abc import Iterator
from fractions import Fraction

from stavebound.check.phrasing import hints, listed
from stavebound.check.subject import Subject
from stavebound.diagnostics import Diagnostic
from stavebound.score.counts import SYLLABLES, Section, moment
from stavebound.score.lexical import at_text
from stavebound.score.model import At, Division, Frame, SaidBar

COUNTED = {
    Division.HALVES: "1 and",
    Division.THIRDS: "1 and a",
    Division.QUARTERS: "1 e and a",
}


def counts_in_their_phrase(subject: Subject) -> Iterator[Diagnostic]:
    for section, item in _items(subject):
        if not section.first <= item.at.count <= section.last:
            name, counts = _named(section, subject)
            range_ = listed(dict.fromkeys((str(section.first), str(section.last))), "to")
            yield Diagnostic(
                "T301",
                f"count {item.at.count} is outside its {name}",
                item.origin.of("at"),
                (
                    f"the {name} has {counts}: expected {range_}",
                    f"give the {name} more counts, or begin a phrase, which counts from 1 again",
                ),
                ((section.phrase.origin.of("counts"), f"the {name}'s counts are said here"),),
            )


def frames_in_order(subject: Subject) -> Iterator[Diagnostic]:
    for section, frame, before in _after_another(subject):
        same = [each for each in before if _time(each, section) == _time(frame, section)]
        last = before[-1]
        if not same and _time(frame, section) < _time(last, section):
            where = at_text(last.at)
            yield Diagnostic(
                "T302",
                f"the frame at {at_text(frame.at)} stands after the frame at {where}",
                frame.origin.of("at"),
                (f"frames stand in the order of time: put it before the one at {where}",),
                ((last.origin.of("at"), f"the frame at {where}"),),
            )


def one_frame_a_moment(subject: Subject) -> Iterator[Diagnostic]:
    for section, frame, before in _after_another(subject):
        same = [each for each in before if _time(each, section) == _time(frame, section)]
        if same:
            yield Diagnostic(
                "T303",
                f"{at_text(frame.at)} has a frame already",
                frame.origin.of("at"),
                ("write what happens at one moment into one frame",),
                ((same[0].origin.of("at"), "the first frame at this moment"),),
            )


def syllables_of_the_division(subject: Subject) -> Iterator[Diagnostic]:
    for section, item in _items(subject):
        syllable = item.at.syllable
        if syllable and syllable not in SYLLABLES[section.division]:
            having = [each for each, table in SYLLABLES.items() if syllable in table]
            declared = listed((f'divide="{each}" ({COUNTED[each]})' for each in having), "or")
            division = section.division
            yield Diagnostic(
                "T304",
                f'a count divided into {division} has no "{syllable}"',
                item.origin.of("at"),
                (
                    f"{division} are counted {COUNTED[division]}",
                    f"declare {declared} on the music, the phrase or the upbeat",
                ),
            )


def fractions_below_one(subject: Subject) -> Iterator[Diagnostic]:
    for _, item in _items(subject):
        fraction = item.at.fraction or Fraction(0)
        if fraction >= 1:
            meant = At(item.at.count + int(fraction), fraction=fraction % 1)
            yield Diagnostic(
                "T305",
                "the fraction of a count is a whole count or more",
                item.origin.of("at"),
                (f'this moment is written "{at_text(meant)}"',),
            )


def _items(subject: Subject) -> Iterator[tuple[Section, Frame | SaidBar]]:
    """All that stands at a count."""
    for section in subject.timeline.sections:
        for item in (*section.phrase.bars, *section.phrase.frames):
            yield section, item


def _after_another(subject: Subject) -> Iterator[tuple[Section, Frame, tuple[Frame, ...]]]:
    """Every frame that has others before it in its phrase, and those."""
    for section in subject.timeline.sections:
        frames = section.phrase.frames
        for index in range(1, len(frames)):
            yield section, frames[index], frames[:index]


def _time(frame: Frame, section: Section) -> Fraction:
    return moment(frame.at, section)


def _named(section: Section, subject: Subject) -> tuple[str, str]:
    name = "upbeat" if section.phrase is subject.score.upbeat else "phrase"
    counts = section.phrase.counts
    return name, f"{counts} {'count' if counts == 1 else 'counts'}"
