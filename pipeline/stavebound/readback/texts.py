"""Texts: which is a count, a line's name, the bar's number, and which are a frame's own.

In: the texts of a line, in spaces, and the rows that tell how a frame's texts look. Out: the
same, told apart by where they stand and how they slant.

             texts           above the counts
     ♩ = 54                  upright, above the stave's left end: the tempo at the head
           1   &   2         upright, above the stave
    head   3═══════          upright in the stave, one over the other: a metre
    floor  ═══════════       slanted, left of the stave: names of the lines
    12     ═══════════       slanted figures there, under the top line: the bar's number
        ↷ ½ ⅜                upright, below the stave: the amount of a turn
            texts            below the stave
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from itertools import chain

from stavebound.faces import REGULAR, Faces
from stavebound.readback.fractions import with_fractions
from stavebound.readback.lanes import amount_in
from stavebound.readback.stave import LINES, StaveRead, is_beside, is_number
from stavebound.readback.table import Table, TextRow
from stavebound.readback.tempi import is_pace
from stavebound.readback.values import TextRead

ROUNDING = 0.02
SAME = 0.002
# The figures of a metre stand on either side of the middle of the stave.
HALF = (LINES - 1) / 2
# The lanes of what belongs to a line, and stands over its topmost stave.
OF_THE_LINE = ("counts", "pace", "number")


@dataclass(frozen=True, slots=True)
class WordsRead:
    """A text with its lines put together; from `begin` to the `end` of its widest line, in
    spaces."""

    text: str
    begin: float
    end: float

    @property
    def middle(self) -> float:
        return (self.begin + self.end) / 2


SaidInRow = tuple[str, WordsRead, float]


@dataclass(frozen=True, slots=True)
class LanesRead:
    """`said` are the texts of frames: the lane of each, and where it tells its axis; `row` is the
    height of the counts, `pace` the tempo at the head."""

    counts: tuple[TextRead, ...]
    said: tuple[SaidInRow, ...]
    metres: tuple[WordsRead, ...]
    amounts: tuple[TextRead, ...]
    number: int | None
    strange: tuple[TextRead, ...]
    row: float
    pace: TextRead | None = None


def lanes(stave: StaveRead, line: LanesRead | None, table: Table, faces: Faces) -> LanesRead:
    """`line` has the texts of the topmost stave of a line, where this is another: those that
    belong to the line stand over that one, and are strange over this."""
    found: dict[str, list[TextRead]] = {}
    rows, texts = table.text.lane, with_fractions(stave.texts, table.fraction, faces)
    counted = (text.y for text in texts if _may_count(text))
    height = line.row if line else min(counted, default=0.0)
    for text in texts:
        style = "italic" if text.italic else "normal"
        lacking = faces.missing(text.letters, style, text.weight)
        lane = "strange" if lacking else _lane(text, stave, height, rows)
        found.setdefault(lane, []).append(text)
    if line:
        others = (*OF_THE_LINE, *(row.name for row in rows if row.of_line))
        stray = [text for lane in others for text in found.pop(lane, ())]
        found.setdefault("strange", []).extend(stray)
    numbers = found.get("number", [])
    number = int(numbers[0].letters) if len(numbers) == 1 else None
    paces = [line.pace] if line and line.pace else found.get("pace", [])
    metres, single = _metres(found.get("metre", ()), faces)
    more = (each for each in (numbers, paces) if len(each) > 1)
    strange = (*found.get("strange", ()), *single, *chain.from_iterable(more))
    return LanesRead(
        line.counts if line else tuple(found.get("counts", ())),
        (*_said(found, rows, faces), *_of_the_line(line, rows)),
        metres,
        tuple(found.get("amount", ())),
        line.number if line else number,
        strange,
        height,
        paces[0] if len(paces) == 1 else None,
    )


def _metres(
    figures: Iterable[TextRead], faces: Faces
) -> tuple[tuple[WordsRead, ...], tuple[TextRead, ...]]:
    """Figures that stand one over the other, put together; and those that stand alone."""
    found: list[WordsRead] = []
    left = sorted(figures, key=lambda text: -text.y)
    single: list[TextRead] = []
    while left:
        upper, *left = left
        one = _words(upper, faces)
        under = [text for text in left if text.y < HALF < upper.y and _below(text, one, faces)]
        if len(under) != 1:
            single.append(upper)
            continue
        left.remove(under[0])
        other = _words(under[0], faces)
        ends = min(one.begin, other.begin), max(one.end, other.end)
        found.append(WordsRead(f"{one.text}/{other.text}", *ends))
    return tuple(found), tuple(single)


def _below(text: TextRead, upper: WordsRead, faces: Faces) -> bool:
    """In the middle under it."""
    return abs(_words(text, faces).middle - upper.middle) <= ROUNDING


def counts_top(counts: Iterable[TextRead], faces: Faces) -> float | None:
    """How high whole counts reach; what divides a count is smaller."""
    whole = (text for text in counts if text.letters.isdecimal())
    return max((text.y + faces.figure_height(text.size) for text in whole), default=None)


def _may_count(text: TextRead) -> bool:
    return not text.italic and text.weight == REGULAR and text.y > LINES - 1


def _words(text: TextRead, faces: Faces) -> WordsRead:
    begin, face = text.xs[0], "italic" if text.italic else "normal"
    width = faces.width(text.letters, text.size, face, text.weight)
    return WordsRead(text.letters, begin, begin + width)


def _said(
    found: Mapping[str, Sequence[TextRead]], rows: Iterable[TextRow], faces: Faces
) -> Iterator[SaidInRow]:
    """The texts of frames, lane by lane."""
    for row in rows:
        texts = found.get(row.name, ())
        if row.centred:
            yield from (
                (row.name, one, one.middle) for one in (_words(text, faces) for text in texts)
            )
        else:
            yield from ((row.name, one, one.begin) for one in _joined(texts, row, faces))


def _of_the_line(line: LanesRead | None, rows: Iterable[TextRow]) -> tuple[SaidInRow, ...]:
    """Those texts of frames that are said of all staves, where this is not the topmost."""
    names = {row.name for row in rows if row.of_line}
    return tuple(one for one in line.said if one[0] in names) if line else ()


def _joined(texts: Iterable[TextRead], row: TextRow, faces: Faces) -> tuple[WordsRead, ...]:
    """Lines that begin at the same place, read from the top, are those of one text, which a
    measure ends."""
    found: list[WordsRead] = []
    for text in sorted(texts, key=lambda text: (round(text.xs[0], 2), -text.y)):
        line = _words(text, faces)
        ended = found and row.measure and row.measure.ends(found[-1].text)
        if found and not ended and abs(found[-1].begin - line.begin) <= SAME:
            before = found.pop()
            line = WordsRead(f"{before.text} {line.text}", line.begin, max(before.end, line.end))
        found.append(line)
    return tuple(found)


def _lane(text: TextRead, stave: StaveRead, row: float, rows: Iterable[TextRow]) -> str:
    """`row` is the height of the counts, the lowest upright texts above the stave."""
    fixed = _slanted(text, stave) if text.italic else _upright(text, stave, row)
    if fixed and (text.weight == REGULAR or fixed == "metre"):
        return fixed
    look = _stands(text, stave, row), text.italic, text.weight != REGULAR
    return next((each.name for each in rows if each.look == look), "strange")


def _upright(text: TextRead, stave: StaveRead, row: float) -> str | None:
    """What stands upright where the line itself has it."""
    if 0 < text.y < LINES - 1 and text.letters.isdecimal() and text.xs[0] > stave.left:
        return "metre"
    if is_pace(text, stave):
        return "pace"
    if text.y < 0 and amount_in(text.letters):
        return "amount"
    over = text.y > row + ROUNDING and len(text.xs) == 1
    counted = text.y > LINES - 1 and len(text.xs) == len(text.letters)
    return "counts" if counted and not over else None


def _slanted(text: TextRead, stave: StaveRead) -> str | None:
    """What slants where the line itself has it."""
    if not is_beside(text, stave):
        return None
    if text.letters.isdecimal():
        return "number" if is_number(text, stave) else "strange"
    return "line"


def _stands(text: TextRead, stave: StaveRead, row: float) -> str | None:
    """Where a text of a frame stands: in one piece, over the counts or under the stave."""
    if len(text.xs) > 1 or is_beside(text, stave):
        return None
    if text.y < 0 and text.xs[0] >= 0:
        return "under"
    return "over" if text.y > max(row + ROUNDING, LINES - 1) else None
