"""Engrave: a score, folded into poses, becomes systems.

In: what is printed of a score as it is danced, and the setting. Out: an
`Engraved`, its systems and the lines with their costs; faults stand at the
place in the source that asked for what cannot be drawn.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from fractions import Fraction

from stavebound.dance.printed import Printed
from stavebound.diagnostics import Diagnostic, Outcome
from stavebound.engrave.bars import Measure, begun_anew, measures
from stavebound.engrave.columns import columns
from stavebound.engrave.cost import Line, cast_lines
from stavebound.engrave.parts import Setting, names_width, numbers_width
from stavebound.engrave.place import place
from stavebound.engrave.stack import bracket_room
from stavebound.engrave.style import Style
from stavebound.engrave.system import System
from stavebound.engrave.tempi import pace
from stavebound.score.counts import Timeline
from stavebound.score.model import Frame, Score

# Whether the first line and the others have the names of the lines.
NAMED = {"none": (False, False), "first": (True, False), "every": (True, True)}


@dataclass(frozen=True, slots=True)
class Engraved:
    """A score on paper: a system a line, with a stave for each dancer, and what each line cost;
    `bars` are those that the lines are made of."""

    systems: tuple[System, ...]
    lines: tuple[Line, ...]
    bars: tuple[Measure, ...]

    @property
    def spans(self) -> tuple[tuple[Fraction | None, Fraction], ...]:
        """From which moment to which each line goes; the first begins with the start."""
        return tuple(
            (
                self.bars[line.start].columns[0].time if line.start else None,
                self.bars[line.end - 1].end,
            )
            for line in self.lines
        )


def engrave(printed: Printed, width: float, setting: Setting) -> Outcome[Engraved]:
    """Set what is printed of a score to lines of `width` millimetres."""
    danced, timeline = printed.danced, printed.danced.timeline
    found = columns(danced, begun_anew(timeline, printed.bars), setting)
    bars = measures(timeline, found.value or (), printed.bars, setting)
    named, room = NAMED[setting.style.line_names], bracket_room(len(danced.lines), setting.style)
    indents = _indents(bars, named, room, setting)
    told = pace(danced.score.music, setting)
    lines = cast_lines(bars, width / setting.style.space, indents, setting)
    alone = _indents(bars[:1], named, room, setting)
    if len(lines) == 1 and alone[0] < indents[0]:
        # No number stands left of it.
        indents = alone
        lines = cast_lines(bars, width / setting.style.space, indents, setting)
    systems = tuple(
        place(line, bars, indents[line.start > 0], named[line.start > 0], told, setting)
        for line in lines
    )
    faults = (
        *found.diagnostics,
        *_too_wide(lines, bars, timeline, printed.score, width / setting.style.space),
        *_too_long(bars, timeline, width / setting.style.space, setting.style),
        *_unclear(systems),
    )
    return Outcome(Engraved(systems, lines, bars), faults)


def _indents(
    bars: tuple[Measure, ...], named: tuple[bool, bool], bracket: float, setting: Setting
) -> tuple[float, float]:
    """Room at the left of the first line and of the others: for the bracket, the names of the
    staves' lines where they are `named`, and but on the first for the numbers of bars."""
    names = names_width(setting)
    others = [bar.number for bar in bars[1:]]
    numbers = numbers_width(others, setting) if others else 0.0
    later = numbers + (names if named[1] else 0.0)
    return max(later, names if named[0] else 0.0) + bracket, later + bracket


def _too_wide(
    lines: tuple[Line, ...],
    bars: tuple[Measure, ...],
    timeline: Timeline,
    score: Score,
    width: float,
) -> Iterator[Diagnostic]:
    for line in lines:
        if line.ratio < -1:
            bar = bars[line.start]
            inside = (event for event in timeline.events if event.time >= bar.columns[0].time)
            frame = next(inside, None)
            room = sum(gap.least for gap in line.run.gaps)
            with_upbeat = " with its upbeat" if bar.number == 1 and score.upbeat else ""
            yield Diagnostic(
                "E402",
                f"bar {bar.number}{with_upbeat} is wider than the page: it needs {room:.1f} "
                f"spaces of the stave, and a line has {width:.1f}",
                (frame.frame.origin if frame else score.origin).span,
                hints=("Give the bar fewer counts, choose a wider paper, or a smaller stave.",),
            )


def _too_long(
    bars: tuple[Measure, ...], timeline: Timeline, width: float, style: Style
) -> Iterator[Diagnostic]:
    """Texts that no line can hold."""
    room = width - 2 * style.distance("text gap")
    for column in (column for bar in bars for column in bar.columns):
        for label in column.texts:
            least = label.width if label.lane.centred else max(w for _, w in label.words)
            frame = _frame_at(column.time, timeline) if least > room else None
            if frame:
                yield Diagnostic(
                    "E402",
                    f"this {label.lane.called} is wider than the page: it needs "
                    f"{least:.1f} spaces and has {room:.1f}",
                    frame.origin.of(label.lane.name),
                    hints=("Shorten it, choose a wider paper, or a smaller stave.",),
                )


def _unclear(systems: Iterable[System]) -> Iterator[Diagnostic]:
    """Lines of movement that on no course can be read as those of their own limbs alone."""
    for way in (way for system in systems for stave in system.staves for way in stave.ways):
        if dict(way.costs)["unclear"]:
            yield Diagnostic(
                "E401",
                f"there is no room for a line of movement of the {way.subject} that is read as "
                "its own alone",
                way.origin.span,
                hints=(
                    "Write this in another frame, or place the limb further away from the others.",
                ),
            )


def too_high(engraved: Engraved, printed: Printed, depth: float) -> Iterator[Diagnostic]:
    """Lines of this score that are higher than `depth` millimetres, each told at the longest text
    over it: it is texts that make a line high."""
    for line, system in zip(engraved.lines, engraved.systems, strict=True):
        height = system.box.height * system.space
        if height <= depth:
            continue
        bars = engraved.bars[line.start : line.end]
        at = [column for bar in bars for column in bar.columns]
        labels = [(label, column.time) for column in at for label in column.texts]
        longest, time = max(labels, key=lambda each: each[0].width)
        frame = _frame_at(time, printed.danced.timeline)
        yield Diagnostic(
            "E414",
            f"this {longest.lane.called} makes its line higher than the page: the line needs "
            f"{height:.0f} mm and has {depth:.0f} mm",
            frame.origin.of(longest.lane.name) if frame else printed.score.origin.span,
            hints=("Shorten it, or say it in a <note>.",),
        )


def _frame_at(time: Fraction, timeline: Timeline) -> Frame | None:
    return next((one.frame for one in reversed(timeline.events) if one.time == time), None)
