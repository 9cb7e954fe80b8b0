"""Joining: the lines of a score, as they were read, put together to a score.

In: the readings of a score's lines, and the key. Out: the model's own values. What ink does
not hold is not there: titles, and of the music what is more than its metre and tempo. How a
count is divided is not in the ink either: the coarsest division that has the syllables is said.
What is read and has no word in the dialect stands in remarks.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, field, replace
from fractions import Fraction
from itertools import chain

from stavebound.readback.arrivals import passes_unnamed
from stavebound.readback.changes import change_of, said
from stavebound.readback.claims import ReadingKey
from stavebound.readback.repeats import joined
from stavebound.readback.shorthand import shorthand
from stavebound.readback.values import Ends, FrameRead, HeadRead, Reading, TurnRead
from stavebound.score import lexical
from stavebound.score import model as score
from stavebound.score.counts import TimedPhrase, moment
from stavebound.score.form import FormError
from stavebound.score.frame_texts import in_order
from stavebound.score.shorthand import Said

SYLLABLE = {"&": "and", "a": "a", "e": "e"}
VULGAR = {"½": "1/2", "¼": "1/4", "¾": "3/4"}
LONGER = "a count is several bars long; bars-per-count is not in the ink"
DIVISION = (("e", score.Division.QUARTERS), ("a", score.Division.THIRDS))


@dataclass(frozen=True, slots=True)
class JoinedScore:
    """A score whose repeats are printed once; `parts` are its phrases with what stands around
    them where they are danced again."""

    score: score.Score
    parts: tuple[Said, ...]


@dataclass(slots=True)
class _Section:
    """A phrase, or the upbeat, while it is put together."""

    first: int
    last: int
    frames: list[tuple[str, FrameRead]] = field(default_factory=list)
    bars: list[score.SaidBar] = field(default_factory=list)
    phrasings: list[score.Phrasing] = field(default_factory=list)
    syllables: set[str] = field(default_factory=set)

    def add(self, frame: FrameRead, begins_bar: bool) -> None:
        count = frame.count or ""
        if count.isdecimal():
            self.last, at = int(count), count
        elif count in SYLLABLE:
            self.syllables.add(count)
            at = f"{self.last} {SYLLABLE[count]}"
        else:
            at = f"{self.last} {VULGAR.get(count, count)}"
        if begins_bar and count.isdecimal():
            self.bars.append(score.SaidBar(lexical.at(at), counts=0, metre=frame.metre))
        if self.bars and count.isdecimal():
            bar = self.bars[-1]
            self.bars[-1] = replace(bar, counts=(bar.counts or 0) + 1)
        self.frames.append((at, frame))

    @property
    def counts(self) -> int:
        return self.last - self.first + 1

    @property
    def division(self) -> score.Division | None:
        return next((value for name, value in DIVISION if name in self.syllables), None)

    def phrase(self, key: ReadingKey) -> score.Phrase:
        """Frames without anything but a count are left out."""
        return score.Phrase(
            self.counts,
            tuple(_frame(at, frame, key) for at, frame in self.frames if _says(frame)),
            tuple(self.bars),
            self.division,
            phrasings=tuple(self.phrasings),
        )


def joined_score(readings: Sequence[Reading], title: str, key: ReadingKey) -> JoinedScore:
    """The lines of one score, in their order."""
    frames = _one_line(readings)
    start = [frame for frame in frames if frame.count is None]
    counted = [frame for frame in frames if frame.count is not None]
    sections = _sections(counted)
    bows = [reading.phrasings for reading in readings]
    turns = [reading.lasting for reading in readings]
    _phrase(sections, _whole(bows, readings, len(start)))
    _lasting(sections, _whole(turns, readings, len(start)))
    starts = [section.frames[0][1].bar for section in sections]
    written = [section.phrase(key) for section in sections]
    has_upbeat = bool(counted) and counted[0].bar == 0 and readings[0].number is None
    upbeat = replace(written.pop(0), bars=()) if has_upbeat else None
    remarks = [
        f"{lane} near an edge: {text}"
        for lane, text in chain.from_iterable(reading.loose for reading in readings)
    ]
    head = readings[0].head if readings else HeadRead()
    first = next((bar for each in written for bar in each.bars), None)
    if _is_longer_than_bars(head, first, key):
        remarks.insert(0, LONGER)
    parts: tuple[Said, ...] = tuple(written)
    try:
        form = joined(reading.form for reading in readings)
        parts = shorthand(written, starts[has_upbeat:], form)
    except FormError as error:
        remarks.insert(0, f"repeats: {error}")
    changes = tuple(
        change_of(subject, key) for frame in start for subject in said(frame.subjects, key)
    )
    return JoinedScore(
        score.Score(
            title,
            tuple(written),
            music=_music(head, first, key),
            start=score.Position(changes) if start else None,
            upbeat=upbeat,
            remarks=tuple(remarks),
        ),
        parts,
    )


def _music(head: HeadRead, first: score.SaidBar | None, key: ReadingKey) -> score.Music | None:
    """The music by what stands at the head; the counts of a bar follow from the note value of
    one, else they are those of the first bar."""
    if head.metre is None:
        return None
    if _is_longer_than_bars(head, first, key):
        return score.Music(head.metre, tempo=head.tempo)
    counts = Fraction(head.metre) / head.note if head.note else Fraction(1)
    if head.note is None and first:
        counts = Fraction(first.counts or 1)
    in_bar, of_bars = (counts.numerator, None) if counts >= 1 else (None, counts.denominator)
    return score.Music(head.metre, in_bar, of_bars, head.tempo)


def _is_longer_than_bars(head: HeadRead, first: score.SaidBar | None, key: ReadingKey) -> bool:
    """Whether a tempo stands without a note though there is one for a count of the first bar: a
    count is longer than its bar then, and nothing says by how much."""
    if head.metre is None or head.tempo is None or head.note is not None or first is None:
        return False
    value = Fraction(head.metre) / (first.counts or 1)
    return any(note.value == value for note in key.catalogue.notes.note)


def _one_line(readings: Iterable[Reading]) -> list[FrameRead]:
    """All frames, their bars counted on from line to line."""
    found: list[FrameRead] = []
    before = 0
    for reading in readings:
        found += (replace(frame, bar=frame.bar + before) for frame in reading.frames)
        before += reading.bars
    return found


def _whole(
    spans: Iterable[tuple[Ends, ...]], readings: Iterable[Reading], start: int
) -> Iterator[tuple[int, int]]:
    """What goes from frame to frame, by the numbers of all frames behind so many of the start;
    what is broken goes on where the next line begins."""
    before, begun = -start, 0
    for own, reading in zip(spans, readings, strict=True):
        for begin, end in own:
            begun = begun if begin is None else before + begin
            if end is not None:
                yield begun, before + end
        before += len(reading.frames)


def _phrase(sections: list[_Section], phrasings: Iterable[tuple[int, int]]) -> None:
    """The phrasings to the sections in which they begin, by the numbers of the frames."""
    places = [(section, at) for section in sections for at, _ in section.frames]
    for begin, end in phrasings:
        section, at = places[begin]
        ends = lexical.at(at), lexical.at(places[end][1])
        section.phrasings.append(score.Phrasing(*ends))


def _lasting(sections: list[_Section], turns: Iterable[tuple[int, int]]) -> None:
    """How long they last to the turns that do, by the numbers of the frames."""
    times, before = list[Fraction](), Fraction(0)
    for section in sections:
        division = section.division or score.Division.HALVES
        timed = TimedPhrase(score.Phrase(section.counts, ()), before, section.first, division)
        times += (moment(lexical.at(at), timed) for at, _ in section.frames)
        before = timed.end
    places = [(section, n) for section in sections for n in range(len(section.frames))]
    for begin, end in turns:
        section, number = places[end]
        at, frame = section.frames[number]
        section.frames[number] = at, _turning(frame, times[end] - times[begin])


def _turning(frame: FrameRead, lasts: Fraction) -> FrameRead:
    subjects = (
        replace(one, lasts=lasts) if isinstance(one, TurnRead) else one for one in frame.subjects
    )
    return replace(frame, subjects=tuple(subjects))


def _sections(frames: list[FrameRead]) -> list[_Section]:
    """A phrase begins where the counts begin anew."""
    found: list[_Section] = []
    bar = 0
    for frame in frames:
        count = int(frame.count) if frame.count and frame.count.isdecimal() else None
        if not found or (count is not None and count <= found[-1].last):
            found.append(_Section(count or 1, 0))
        found[-1].add(frame, frame.bar != bar)
        bar = frame.bar
    return found


def _says(frame: FrameRead) -> bool:
    return bool(frame.subjects or frame.texts)


def _frame(at: str, frame: FrameRead, key: ReadingKey) -> score.Frame:
    unnamed = (subject for subject in frame.subjects if passes_unnamed(subject, frame.ways, key))
    return score.Frame(
        lexical.at(at),
        tuple(change_of(subject, key, frame.ways) for subject in said(frame.subjects, key)),
        in_order(_text(lane, text, key) for lane, text in frame.texts),
        remarks=tuple(f"{subject.subjects[0]}: by a place without a name" for subject in unnamed),
    )


def _text(lane: str, text: str, key: ReadingKey) -> score.FrameText:
    """What stands in a lane; a measure stands alone, or in brackets behind the words, and with a
    note behind them without."""
    measure = next(row.measure for row in key.table.text.lane if row.name == lane)
    words, said = text, None
    if measure:
        for behind in (rf"(?:(.+) )?{measure.noted}", rf"(?:(.+) \()?{measure.pattern}\)?"):
            if found := re.fullmatch(behind, text, re.DOTALL):
                words, said = found[1] or "", found[2]
    return score.FrameText(
        lane,
        (score.Run("text", words),) if words else (),
        ((measure.attribute, said),) if measure and said else (),
    )
