"""Space: the distances between columns, by what they hold and how long they last.

In: the bars of a score. Out: a `Spacing`, the gaps between all neighbouring
columns, from which the width of any run of bars follows; and the places of a
run's columns once it is set to a width.

    │←lead→╎←── gap ──→╎←─ gap ─│─→╎←tail→│
           a           b           c

White by a bar line is measured from its edge. Where no bar line stands between
two axes, no sign crosses their middle: a sign belongs to the axis it is nearest.
"""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction
from itertools import pairwise

from stavebound.engrave.columns import Column, Measure
from stavebound.engrave.style import Style


@dataclass(frozen=True, slots=True)
class Gap:
    """Room between two axes, in spaces: never under `least`, willingly `natural`,
    and growing by `stretch` for each unit of a line's ratio."""

    least: float
    natural: float
    stretch: float

    def at(self, ratio: float) -> float:
        """The gap in a line of this ratio; −1 is the tightest, and no ratio makes it tighter."""
        if ratio < 0:
            return self.natural + max(ratio, -1.0) * (self.natural - self.least)
        return self.natural + ratio * self.stretch


@dataclass(frozen=True, slots=True)
class Run:
    """The gaps of a line: before its first column, between columns, after its last."""

    gaps: tuple[Gap, ...]

    @property
    def natural(self) -> float:
        return sum(gap.natural for gap in self.gaps)

    def ratio(self, width: float) -> float:
        """How far the run must stretch (above 0) or be squeezed (below) to fill the width.

        Under −1 it does not fit.
        """
        extra = width - self.natural
        if extra >= 0:
            return extra / sum(gap.stretch for gap in self.gaps)
        give = sum(gap.natural - gap.least for gap in self.gaps)
        return extra / give if give else float("-inf")

    def places(self, ratio: float) -> tuple[float, ...]:
        """The axes of the columns, then the right edge."""
        places, x = [], 0.0
        for gap in self.gaps:
            x += gap.at(ratio)
            places.append(x)
        return tuple(places)


def run(measures: tuple[Measure, ...], indent: float, final: bool, style: Style) -> Run:
    """The gaps of a line that holds these bars; `indent` is kept free at its left.

    `final`: the score ends with it.
    """
    return Run(
        (
            _lead(measures[0], indent, style),
            *inner_gaps(measures, style),
            _tail(measures[-1], closing_width(final, style), style),
        )
    )


def inner_gaps(measures: tuple[Measure, ...], style: Style) -> tuple[Gap, ...]:
    """The gaps between the axes of these bars."""
    columns = [column for measure in measures for column in measure.columns]
    lines = {time for measure in measures for time in measure.lines}
    return tuple(_gap(a, b, b.time in lines, style) for a, b in pairwise(columns))


def closing_width(final: bool, style: Style) -> float:
    """How wide the bar line at a line's end is; at the end of the score it is a double one."""
    thin = style.distance("bar line")
    if not final:
        return thin
    return thin + style.distance("final bar gap") + style.distance("final bar line")


def time_width(duration: Fraction, style: Style) -> float:
    """The natural room that so many counts take, in spaces."""
    growth = style.distance("time growth")
    return float(style.distance("count width") * float(duration) ** growth)


def _gap(a: Column, b: Column, bar_line: bool, style: Style) -> Gap:
    white = style.distance("frame gap")
    if bar_line:
        white = max(white, 2 * style.distance("bar margin") + style.distance("bar line"))
    least = max(
        a.right + white + b.left,
        0.0 if bar_line else 2 * max(a.right, b.left),
        style.distance("least frame distance") if a.frame and b.frame else 0.0,
        _lane_room(a, b, style),
    )
    room = time_width(b.time - a.time, style)
    return Gap(least, max(least, room), room / 2)


def _lane_room(a: Column, b: Column, style: Style) -> float:
    """What the counts, and the step names, of two neighbours need, and a metre between
    them; cues have rows to give way into, and so have step names that are further apart."""
    rooms = (
        before.right - after.left + style.distance("text gap")
        for before in a.labels
        for after in b.labels
        if (before.lane == after.lane and before.align == "middle")
        or (before.lane, after.lane) == ("counts", "metre")
    )
    return max(*rooms, _metre_room(b), 0.0)


def _metre_room(column: Column) -> float:
    """How far a metre reaches to the left of the axis."""
    return max((-label.left for label in column.labels if label.lane == "metre"), default=0.0)


def _lead(measure: Measure, indent: float, style: Style) -> Gap:
    column = measure.columns[0]
    reach = max(column.left, _reach(column), _metre_room(column))
    margin = style.distance("bar margin") + reach
    room = indent + max(margin, measure.number_room)
    return Gap(room, room, 0.0)


def _tail(measure: Measure, closing: float, style: Style) -> Gap:
    column = measure.columns[-1]
    texts = max(_reach(column), _widest_word(column))
    least = max(column.right, texts) + style.distance("bar margin") + closing
    room = time_width(measure.end - column.time, style) / 2
    return Gap(least, max(least, room), room / 2)


def _widest_word(column: Column) -> float:
    """How far the widest word of a text that begins at the axis reaches."""
    words = (
        label.aside + width
        for label in column.labels
        if label.align == "start"
        for _, width in label.words
    )
    return max(words, default=0.0)


def _reach(column: Column) -> float:
    """How far the centred texts of a column reach to either side."""
    return max((label.width / 2 for label in column.labels if label.align == "middle"), default=0)
