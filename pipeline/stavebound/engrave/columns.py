"""Columns: what stands at each moment, and how much room it asks for.

In: a score as it is danced, and the setting. Out: columns in the order of time, with a cell
for each stave. A column stands wherever a frame of any stave, a whole count or a bar line
does.

      5     &     6           texts of the line
    │ ╎     ╎     ╎ │         cells of the first stave, each frame on its axis
     plié                     its own texts
    │ ╎           ╎ │         cells of the second
      ╎←  →╎                  left and right of an axis: the widest cell
"""

from __future__ import annotations

from bisect import bisect_left
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, replace
from fractions import Fraction
from operator import itemgetter
from typing import NamedTuple

from stavebound.dance.danced import Danced, Moment, turning_since
from stavebound.dance.pose import Posed
from stavebound.diagnostics import Diagnostic, Outcome
from stavebound.engrave import fractions
from stavebound.engrave.clear import Cleared, clear
from stavebound.engrave.lane_signs import VULGAR, amount, counts_top, written_signs
from stavebound.engrave.metres import Metre, set_metre
from stavebound.engrave.noted import count_note, in_a_word, noted
from stavebound.engrave.passing import under_passing
from stavebound.engrave.springs import room_behind
from stavebound.engrave.style import Setting, Style
from stavebound.engrave.texts import text_width
from stavebound.engrave.ways import Way, ways
from stavebound.faces import Faces
from stavebound.remembering import remembered
from stavebound.score.counts import Event, Timeline, phrased
from stavebound.score.model import At, Frame, FrameText
from stavebound.trade.catalogue import Catalogue
from stavebound.trade.lanes import TextLane, TextMeasure
from stavebound.trade.notes import Note

# The lanes of texts that are made here, from what is no text in the score.
COUNTS, AMOUNT = "counts", "amount"
SYLLABLE = {"and": "&", "a": "a", "e": "e"}
# How many texts are remembered with their widths; a book has some hundreds.
LABELS = 4096


@dataclass(frozen=True, slots=True)
class Label:
    """A text in a lane, centred on the axis or beginning there, or `aside` to the right of it.

    `words` are its words with their widths, and `blank` the width between two.
    """

    lane: TextLane
    text: str
    size: float
    width: float
    words: tuple[tuple[str, float], ...] = ()
    blank: float = 0.0
    aside: float = 0.0

    @property
    def left(self) -> float:
        """Where the text begins, measured from the axis."""
        return -self.width / 2 if self.lane.centred else self.aside

    @property
    def right(self) -> float:
        return self.left + self.width


class Cell(NamedTuple):
    """What stands at one moment on one stave: signs, lines of movement that come to them, and
    the texts of that stave. A `frame` is where something is written, and has a centre line.
    `left` and `right` are how far all of it, but texts above and below, reaches from the axis,
    which is part of it: no bar line parts a sign from its count. `since` is the moment at which
    a turn that ends here begins, where it lasts."""

    frame: bool = False
    signs: tuple[Cleared, ...] = ()
    ways: tuple[Way, ...] = ()
    labels: tuple[Label, ...] = ()
    since: Fraction | None = None

    @property
    def left(self) -> float:
        return max([0.0, *[-cleared.box.left for cleared in self.signs]])

    @property
    def right(self) -> float:
        beside = [label.right for label in self.labels if label.lane.beside]
        return max([0.0, *[cleared.box.right for cleared in self.signs], *beside])

    def low(self, height: float) -> tuple[float, float]:
        """How far what stands lower than the feet and reaches down to a height reaches from the
        axis, to the left and to the right."""
        boxes = [box for cleared in self.signs for box in cleared.boxes if box.bottom < height]
        beside = [label.right for label in self.labels if label.lane.beside]
        left = max([0.0, *[-box.left for box in boxes]])
        return left, max([0.0, *[box.right for box in boxes], *beside])

    @property
    def top(self) -> float:
        return max([cleared.box.top for cleared in self.signs], default=0.0)


EMPTY = Cell()


class Column(NamedTuple):
    """A moment with a cell for each stave, the topmost first, and the texts of the line as a
    whole. It is a `frame` where a cell is; `left` and `right` are those of the widest cells,
    at the left also the room that is kept for lines of movement which come from a bar line;
    `metre` holds from the bar line before it, and takes the room `before`; `unsure` is how far to
    either side its axis might seem to be, where no count says it and one foot stands alone."""

    time: Fraction
    cells: tuple[Cell, ...]
    frame: bool
    left: float
    right: float
    before: float
    labels: tuple[Label, ...] = ()
    metre: Metre | None = None
    unsure: float = 0.0

    @property
    def texts(self) -> tuple[Label, ...]:
        """Those of all staves and of the line."""
        return (*[label for cell in self.cells for label in cell.labels], *self.labels)


class OnAxis(NamedTuple):
    """What one stave has at a moment, `x` from the line's left edge; `labels` are its texts,
    at the topmost stave also those of the line."""

    time: Fraction
    x: float
    cell: Cell
    labels: tuple[Label, ...]


# A cell, and what is said there of the line.
Written = tuple[Cell, tuple[Label, ...]]
NOTHING: Written = (EMPTY, ())


def columns(
    danced: Danced, anew: frozenset[Fraction], setting: Setting
) -> Outcome[tuple[Column, ...]]:
    """Every moment of all dancers, with the starting position before them. What is written
    at the moments `anew` does not follow on what is printed before it."""
    timeline, begin = danced.timeline, _beginning(danced)
    music = danced.score.music
    note = count_note(music, setting.catalogue) if music else None
    staves = [_written(line, begin - 1, note, setting) for line in danced.lines]
    whole = dict(_bare(timeline))
    found: dict[Fraction, list[Written]] = {time: [NOTHING] * len(staves) for time in whole}
    for at, each in enumerate(staves):
        for time, written in each.value or ():
            found.setdefault(time, [NOTHING] * len(staves))[at] = written
    metres = {bar.start: bar.said.metre for bar in timeline.bars if bar.said and bar.said.metre}
    room = setting.style.distance("least frame distance")

    def column(time: Fraction, here: list[Written], holds: str | None) -> Column:
        own = tuple([cell for cell, _ in here])
        written = any(cell.frame for cell in own)
        metre = set_metre(holds, setting) if holds else None
        said = _said([own for _, own in here], 0 if written else whole[time], setting)
        comes = [cell for cell in own if cell.ways] if anew and time in anew else []
        rooms = [room_behind(cell.ways, cell.low, setting.catalogue) for cell in comes]
        left = max([room if comes else 0.0, *rooms, *[cell.left for cell in own]])
        right = max([cell.right for cell in own])
        before = metre.room if metre else 0.0
        return Column(time, own, written, left, right, before, said, metre)

    ordered = sorted(found.items(), key=itemgetter(0))
    later = ordered[bisect_left(ordered, begin, key=itemgetter(0)) :]
    faults = tuple([fault for each in staves for fault in each.diagnostics])
    start = begin - 1
    first = column(start, found[start], music.metre if music else None)
    first = first._replace(unsure=_unsure(first, setting.catalogue))
    others = [column(time, here, metres.get(time) if metres else None) for time, here in later]
    return Outcome(tuple(_with_beginnings((first, *others), anew, setting)), faults)


def _unsure(start: Column, catalogue: Catalogue) -> float:
    """One foot alone is seen as the other on another axis."""
    alone, rises = catalogue.feet.alone, catalogue.feet.rise.values()
    levels = {row.level for row in rises}
    for cell in start.cells:
        feet = [ink for each in cell.signs if each.cluster.fixed for ink in each.cluster.inks]
        if sum([ink.sign == alone.sign and ink.y in levels for ink in feet]) == 1:
            return alone.x
    return 0.0


def _with_beginnings(
    columns: Sequence[Column], anew: frozenset[Fraction], setting: Setting
) -> list[Column]:
    """The columns with room for the bars with which lines begin where limbs are held."""
    half = setting.catalogue.moves.way.held
    found: list[Column] = []
    coming: tuple[tuple[Way, ...], ...] = ((),) * len(columns[0].cells)
    for column in reversed(columns):
        pairs = [*zip(column.cells, coming, strict=True)]
        begun = [
            way.start.x for cell, ways in pairs if cell.signs for way in ways if way.start.held
        ]
        if begun:
            left, right = max(column.left, half - min(begun)), max(column.right, half + max(begun))
            found.append(column._replace(left=left, right=right))
        else:
            found.append(column)
        if column.time in anew:
            coming = ((),) * len(coming)
        elif column.frame:
            coming = tuple([cell.ways if cell.signs else later for cell, later in pairs])
    return found[::-1]


def _beginning(danced: Danced) -> Fraction:
    """The first moment of the dance, behind the starting position."""
    firsts = [line[1].event.time for line in danced.lines if len(line) > 1 and line[1].event]
    turns = [since for line in danced.lines for moment in line if (since := turning_since(moment))]
    return min([Fraction(0), *firsts, *turns, *(one.start for one in phrased(danced.timeline))])


def _written(
    line: tuple[Moment, ...], start: Fraction, note: Note | None, setting: Setting
) -> Outcome[Sequence[tuple[Fraction, Written]]]:
    """What is written on one stave, each with its moment; at `start` the starting position. A
    count is of the value of `note`, if there is one."""
    catalogue, style, faces = setting.catalogue, setting.style, setting.faces
    above, faults = counts_top(style, faces), list[Diagnostic]()

    def signs(posed: Posed) -> tuple[Cleared, ...]:
        cleared = clear(written_signs(posed, above, catalogue), catalogue, style)
        faults.extend(cleared.diagnostics)
        return cleared.value or ()

    found: list[tuple[Fraction, Written]] = []
    before: tuple[Cleared, ...] = ()
    placed: tuple[Cleared, ...] = ()
    for moment in line:
        event, posed = moment.event, moment.posed
        before = placed or before
        placed = signs(posed)
        if event is None:
            found.append((start, (Cell(True, placed), ())))
            continue
        own = list(beside(posed, catalogue, style, faces)) if posed.turn else []
        said: list[Label] = []
        for text in _labels(event, note, setting):
            (said if text.lane.of_the_line else own).append(text)
        coming, since = tuple(ways(posed, placed, catalogue, before)), turning_since(moment)
        _pass_over(found, coming, catalogue)
        found.append((event.time, (Cell(True, placed, coming, tuple(own), since), tuple(said))))
    return Outcome(found, tuple(faults))


def _pass_over(
    found: list[tuple[Fraction, Written]], going: tuple[Way, ...], catalogue: Catalogue
) -> None:
    """The last cell that has signs, where lines that go from it pass over what comes to it."""
    at = next((at for at in reversed(range(len(found))) if found[at][1][0].signs), None)
    if at is not None and going:
        time, (cell, said) = found[at]
        kept = cell._replace(ways=under_passing(cell.ways, going, catalogue))
        found[at] = time, (kept, said)


def _said(labels: Iterable[tuple[Label, ...]], count: int, setting: Setting) -> tuple[Label, ...]:
    """The texts of the line at a moment, of each lane one, the topmost dancer's: a whole
    `count` where nothing is written."""
    found = [own for own in labels if own]
    if len(found) == 1:
        return found[0]
    said = {label.lane.name: label for own in reversed(found) for label in own}
    if count:
        said[COUNTS] = _count(At(count), setting.catalogue, setting.style, setting.faces)
    return tuple(said.values())


def _bare(timeline: Timeline) -> Iterator[tuple[Fraction, int]]:
    """Bar lines and whole counts, which stand even where no frame does; 0 for no count."""
    for bar in timeline.bars:
        yield bar.start, 0
    for section in timeline.sections:
        for count in range(section.first, section.last + 1):
            yield section.start + (count - section.first), count


def _labels(event: Event, note: Note | None, setting: Setting) -> Iterator[Label]:
    catalogue, style, faces = setting.catalogue, setting.style, setting.faces
    frame: Frame = event.frame
    yield _count(frame.at, catalogue, style, faces)
    if not frame.texts:
        return
    said = {text.lane: text for text in frame.texts}
    for name, row in catalogue.lanes.texts.items():
        if name not in said:
            continue
        value = measured(said[name], row.measure)
        if note and value:
            yield _noted(
                _words(name, said[name].text, catalogue, style, faces), note, value, setting
            )
        elif printed := printed_text(said[name], row.measure):
            yield _words(name, printed, catalogue, style, faces)


def _noted(words: Label, note: Note, counts: str, setting: Setting) -> Label:
    """Words with a tempo behind them, which is one word, or this alone: a little quicker ♩ = 72."""
    told, word = noted(note, counts, setting), in_a_word(note, counts)
    before = words.words if words.text else ()
    width = words.width + words.blank + told.width if before else told.width
    text = f"{words.text} {word}" if before else word
    return replace(words, text=text, width=width, words=(*before, (word, told.width)))


def measured(text: FrameText, measure: TextMeasure | None) -> str | None:
    """What a text says by its attribute."""
    return dict(text.attributes).get(measure.attribute) if measure else None


def printed_text(text: FrameText, measure: TextMeasure | None) -> str:
    """What is printed of a text: a little quicker (1 = 72); its words, or its measure, alone."""
    value = measured(text, measure)
    said = measure.printed.format(value) if measure and value else ""
    return f"{text.text} ({said})" if text.text and said else text.text or said


@remembered(LABELS)
def _words(lane: str, text: str, catalogue: Catalogue, style: Style, faces: Faces) -> Label:
    row = catalogue.lanes.texts[lane]
    size = style.size(row.size)
    return Label(
        row,
        text,
        size,
        width=text_width(row, text, size, faces),
        words=tuple((word, text_width(row, word, size, faces)) for word in text.split(" ")),
        blank=text_width(row, " ", size, faces),
    )


def beside(posed: Posed, catalogue: Catalogue, style: Style, faces: Faces) -> Iterator[Label]:
    """The amount of a turn, beside its sign."""
    if posed.turn:
        row, turn = catalogue.lanes.texts[AMOUNT], catalogue.lanes.turn
        text, size = amount(posed.turn), style.size(row.size)
        width = fractions.width(text, size, turn.fraction, faces)
        yield Label(row, text, size, width, ((text, width),), aside=turn.amount)


def _count(at: At, catalogue: Catalogue, style: Style, faces: Faces) -> Label:
    if at.syllable:
        return _counted(SYLLABLE[at.syllable], True, catalogue, style, faces)
    if at.fraction:
        text = VULGAR.get(at.fraction, str(at.fraction))
        return _counted(text, True, catalogue, style, faces)
    return _counted(str(at.count), False, catalogue, style, faces)


@remembered(LABELS)
def _counted(text: str, inside: bool, catalogue: Catalogue, style: Style, faces: Faces) -> Label:
    """A count, or what stands `inside` one, between it and the next."""
    row = catalogue.lanes.texts[COUNTS]
    size = style.size("syllable size" if inside else row.size)
    return Label(row, text, size, text_width(row, text, size, faces))
