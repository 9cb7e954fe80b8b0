"""Texts: which is a count, a step's name, a cue, a line's name, the bar's number.

In: the texts of a line, in spaces. Out: the same, told apart by where they
stand and how they slant.

              cue            slanted, above the counts
           quality           upright, above the counts
           tempo             upright and bold, above the counts: another tempo
       3/4 1   &   2         upright, above the stave; slanted among them: a bar's metre
    floor  ═══════════       slanted, left of the stave: names of the lines
    12     (bar number)      slanted, just above the top line at its left end
        ↷ ½ ⅜                upright, below the stave: the amount of a turn
            plié             slanted, below the stave
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

from stavebound.faces import REGULAR, Faces
from stavebound.readback.fractions import with_fractions
from stavebound.readback.lanes import amount_in
from stavebound.readback.stave import LINES, Stave
from stavebound.readback.table import Fraction
from stavebound.readback.values import Text

# In spaces above the top line: a bar number stands lower than any count or cue.
NUMBER_RISE = 0.8
ROUNDING = 0.02
SAME = 0.002


@dataclass(frozen=True, slots=True)
class Words:
    """A step's name, or a cue with its lines put together; from `begin` to the `end` of
    its widest line, in spaces."""

    text: str
    begin: float
    end: float

    @property
    def middle(self) -> float:
        return (self.begin + self.end) / 2


@dataclass(frozen=True, slots=True)
class Lanes:
    counts: tuple[Text, ...]
    steps: tuple[Words, ...]
    cues: tuple[Words, ...]
    qualities: tuple[Words, ...]
    tempi: tuple[Words, ...]
    metres: tuple[Words, ...]
    amounts: tuple[Text, ...]
    number: int | None
    strange: tuple[Text, ...]


def lanes(stave: Stave, fraction: Fraction, faces: Faces) -> Lanes:
    found: dict[str, list[Text]] = {}
    texts = with_fractions(stave.texts, fraction, faces)
    row = min((text.y for text in texts if _may_count(text)), default=0.0)
    for text in texts:
        style = "italic" if text.italic else "normal"
        lacking = faces.missing(text.letters, style, text.weight)
        lane = "strange" if lacking else _lane(text, stave, row)
        found.setdefault(lane, []).append(text)
    numbers = found.get("number", [])
    number = int(numbers[0].letters) if len(numbers) == 1 else None
    strange = (*found.get("strange", ()), *(numbers if len(numbers) > 1 else ()))
    return Lanes(
        tuple(found.get("counts", ())),
        tuple(_words(text, faces) for text in found.get("step", ())),
        _joined(found.get("cue", ()), faces),
        _joined(found.get("quality", ()), faces),
        _joined(found.get("tempo", ()), faces),
        tuple(_words(text, faces) for text in found.get("metre", ())),
        tuple(found.get("amount", ())),
        number,
        strange,
    )


def counts_top(counts: Iterable[Text], faces: Faces) -> float | None:
    """How high whole counts reach; what divides a count is smaller."""
    whole = (text for text in counts if text.letters.isdecimal())
    return max((text.y + faces.figure_height(text.size) for text in whole), default=None)


def _may_count(text: Text) -> bool:
    return not text.italic and text.weight == REGULAR and text.y > LINES - 1


def _words(text: Text, faces: Faces) -> Words:
    begin, face = text.xs[0], "italic" if text.italic else "normal"
    width = faces.width(text.letters, text.size, face, text.weight)
    return Words(text.letters, begin, begin + width)


def _joined(texts: Iterable[Text], faces: Faces) -> tuple[Words, ...]:
    """Lines that begin at the same place, read from the top, are those of one cue."""
    found: list[Words] = []
    for text in sorted(texts, key=lambda text: (round(text.xs[0], 2), -text.y)):
        line = _words(text, faces)
        if found and abs(found[-1].begin - line.begin) <= SAME:
            before = found.pop()
            line = Words(f"{before.text} {line.text}", line.begin, max(before.end, line.end))
        found.append(line)
    return tuple(found)


def _lane(text: Text, stave: Stave, row: float) -> str:
    """`row` is the height of the counts, the lowest upright texts above the stave."""
    top = LINES - 1
    if text.weight != REGULAR:
        upright = text.y > row + ROUNDING and not text.italic and len(text.xs) == 1
        return "tempo" if upright else "strange"
    if not text.italic:
        if text.y < 0 and amount_in(text.letters):
            return "amount"
        if text.y > row + ROUNDING and len(text.xs) == 1:
            return "quality"
        counted = text.y > top and len(text.xs) == len(text.letters)
        return "counts" if counted else "strange"
    if text.y < 0 and text.xs[0] >= 0 and not _beside(text, stave):
        return "step"
    if _beside(text, stave):
        return "line"
    if text.y <= top:
        return "strange"
    if abs(text.y - row) <= ROUNDING:
        return "metre"
    at_edge = abs(text.xs[0] - stave.left) <= ROUNDING
    if at_edge and text.y - top < NUMBER_RISE and text.letters.isdecimal():
        return "number"
    return "cue"


def _beside(text: Text, stave: Stave) -> bool:
    """Left of the stave, at the height of one of its lines."""
    return text.xs[0] < stave.left - ROUNDING and -0.5 <= text.y <= LINES - 1
