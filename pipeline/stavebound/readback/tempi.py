"""Tempi: a note value and how many there are in a minute, over the head of a score or behind words.

In: the shapes and texts of a stave. Out: the words of the tempo at the head, the shapes of the
note before them, and its value, by what it is made of; and each change of the tempo as one text
with its words, in which the note stands by its value.

    ♩ = 54      a full head and a stem: a quarter
    1 = 54      by itself: a count
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Sequence
from dataclasses import replace
from fractions import Fraction

from stavebound.faces import BOLD, REGULAR, Faces
from stavebound.readback.stave import LINES, StaveRead, is_number
from stavebound.readback.values import ShapeRead, TextRead

PACE = re.compile(r"(?:1 )?= (\d+)")
# In spaces: the tempo at the head begins at the left end of its stave, by no more than rounding
# off; or at the edge of the drawing, where that is at the stave's end, so far in at most.
AT_HEAD, EDGE = 0.02, 0.35
# In em: no note is wider, with the white on both its sides.
WIDEST = 1.2
# Texts of one row stand so near to one baseline, and words a blank before a note, in spaces.
SAME_ROW = 0.02
# So high over the baseline of the words, in em, and so far under it, no part of a note reaches.
OVER, UNDER = 1.2, 0.3
# The values by whether a note has a stem, a full head and a flag.
VALUES = {
    (False, False, False): Fraction(1),
    (True, False, False): Fraction(1, 2),
    (True, True, False): Fraction(1, 4),
    (True, True, True): Fraction(1, 8),
}
DOTTED = Fraction(3, 2)


def pace_in(stave: StaveRead) -> TextRead | None:
    """The words of the tempo at the head, the lowest there, as a change may also end in a row that
    begins there; None where there are none."""
    found = (text for text in stave.texts if _may_be_pace(text, stave))
    return min(found, key=lambda text: text.y, default=None)


def is_pace(text: TextRead, stave: StaveRead) -> bool:
    return _is_tempo(text) and text == pace_in(stave)


def _may_be_pace(text: TextRead, stave: StaveRead) -> bool:
    """Only a score's first line, which has no number, has one."""
    if not _is_tempo(text) or any(is_number(other, stave) for other in stave.texts):
        return False
    note = note_before(text, stave.shapes)
    begin = min([text.xs[0], *[shape.left for shape in note]])
    return stave.left - AT_HEAD <= begin <= max(stave.left, EDGE) + AT_HEAD


def _is_tempo(text: TextRead) -> bool:
    plain = not text.italic and text.weight == REGULAR and len(text.xs) == 1
    return plain and text.y > LINES and PACE.fullmatch(text.letters) is not None


def with_changes(stave: StaveRead, faces: Faces) -> StaveRead:
    """The stave with each change of the tempo in one text: a little quicker 3/4 = 60."""
    apart = stave.texts
    for text in apart:
        if _is_tempo(text) and not is_pace(text, stave):
            stave = _joined(stave, text, apart, faces)
    return stave


def _joined(
    stave: StaveRead, number: TextRead, apart: Sequence[TextRead], faces: Faces
) -> StaveRead:
    """As it is, where there is no note before the number; words before the note are one of those
    texts that were `apart`, as what tells a tempo already leads to none."""
    note = note_before(number, stave.shapes)
    value = note_value(note)
    if value is None:
        return stave
    begin = min(shape.left for shape in note)
    left = (one for one in stave.texts if one in apart)
    words = next((one for one in left if _leads(one, number, begin, faces)), None)
    told = f"{value}\u00a0=\u00a0{tempo_said(number)}"
    joined = replace(
        words or number,
        letters=f"{words.letters} {told}" if words else told,
        xs=words.xs if words else (begin,),
        weight=BOLD,
    )
    texts = tuple(one for one in stave.texts if one not in (words, number))
    shapes = tuple(one for one in stave.shapes if one not in note)
    return replace(stave, texts=(*texts, joined), shapes=shapes)


def _leads(words: TextRead, number: TextRead, begin: float, faces: Faces) -> bool:
    """Whether these are the words in front of a note that begins there."""
    looks = words.weight == BOLD and not words.italic and len(words.xs) == 1
    if not looks or abs(words.y - number.y) > SAME_ROW:
        return False
    end = words.xs[0] + faces.width(f"{words.letters} ", words.size, "normal", BOLD)
    return abs(begin - end) <= SAME_ROW


def tempo_said(text: TextRead) -> int | None:
    found = PACE.fullmatch(text.letters)
    return int(found[1]) if found else None


def note_before(words: TextRead, shapes: Iterable[ShapeRead]) -> tuple[ShapeRead, ...]:
    """The shapes next to the words of a tempo, at their left and at their height."""
    low, high = words.y - UNDER * words.size, words.y + OVER * words.size
    least = words.xs[0] - WIDEST * words.size
    return tuple(
        shape
        for shape in shapes
        if shape.kind != "spot" and least < shape.left and shape.right < words.xs[0]
        if low < shape.y < high
    )


def note_value(shapes: Sequence[ShapeRead]) -> Fraction | None:
    """The value of a note; None where its shapes make none."""
    stem = next((shape.x for shape in shapes if shape.kind == "stroke"), None)
    discs = [shape.x for shape in shapes if shape.kind == "disc"]
    bands = [shape.x for shape in shapes if shape.kind == "band"]
    full = stem is not None and any(x < stem for x in discs)
    dotted = any(stem is None or x > stem for x in discs)
    flag = stem is not None and any(x > stem for x in bands)
    hollow = any(stem is None or x < stem for x in bands)
    value = VALUES.get((stem is not None, full, flag)) if full != hollow else None
    return value * DOTTED if value and dotted else value
