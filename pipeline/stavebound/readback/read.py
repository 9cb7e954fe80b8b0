"""Read: the whole chain, from the ink of a line to what is written in it.

In: SVG text, or a `Page`, and the key to go by. Out: a `Reading` for each stave. What cannot
be read, or can be read in two ways, stands among its faults. Counts, tempo, metre and number
of a line, its phrasings and what is said of repeats stand at its topmost stave, and are read
there for all of them.
"""

from __future__ import annotations

from bisect import bisect
from collections.abc import Iterable, Iterator
from dataclasses import dataclass, replace
from fractions import Fraction
from functools import cache
from itertools import pairwise
from types import MappingProxyType

from stavebound.diagnostics import Diagnostic, Outcome, Span
from stavebound.faces import Faces
from stavebound.plan.house_signs import Shapings
from stavebound.readback.anchors import AnchorTable, astray
from stavebound.readback.barlines import DOTS, bar_lines
from stavebound.readback.broken import off_breaks
from stavebound.readback.claims import ReadingKey, Signs
from stavebound.readback.house import house_table
from stavebound.readback.lanes import amount_signs, lanes_used
from stavebound.readback.lasting import LastingRead, lasting_ends, lasting_lines
from stavebound.readback.moments import Count, MomentRead, counts_in, is_count, moments
from stavebound.readback.parse import parse_svg
from stavebound.readback.phrasing import phrasings
from stavebound.readback.repeats import Over, forms, is_bracket, outside
from stavebound.readback.shapes import named
from stavebound.readback.signs import find_signs, part_of_none
from stavebound.readback.standing import patterns
from stavebound.readback.stave import StaveRead, find_lines
from stavebound.readback.subjects import readings
from stavebound.readback.table import Table
from stavebound.readback.tempi import note_before, note_value, pace_in, tempo_said, with_changes
from stavebound.readback.texts import LanesRead, WordsRead, counts_top, lanes
from stavebound.readback.values import (
    Fault,
    FrameRead,
    HeadRead,
    LimbRead,
    Page,
    Reading,
    ShapeRead,
    TextRead,
)
from stavebound.readback.ways import MARKS, is_bar_of_a_way, is_way, with_ways
from stavebound.score.form import BarForm
from stavebound.trade.catalogue import Catalogue

# The code of every kind of fault.
CODES = {"shape": "R103", "unread": "R104", "text": "R105", "twofold": "R106"}
NO_HOUSE: Shapings = MappingProxyType({})
# In spaces.
NEAR = 0.02
# Words that begin or stand on an axis are off it by no more than rounding.
AXIS = 0.004


def reading_key(
    catalogue: Catalogue, own: Table, anchors: AnchorTable, house: Shapings = NO_HOUSE
) -> ReadingKey:
    """What ink is read by: the trade's places, the reader's own table with the signs that a
    `house` shapes in its own way, and what the anchors hold."""
    strays = astray(catalogue, own, anchors)
    return ReadingKey(catalogue, house_table(own, house), tuple(patterns(catalogue)), strays)


def read_svg(svg: str, shown: str, key: ReadingKey, faces: Faces) -> Outcome[Reading]:
    """The line in an SVG that has one stave; `shown` names the file in faults."""
    readings = read_staves(svg, shown, key, faces)
    if readings.value is None:
        return Outcome(None, readings.diagnostics)
    first, *others = readings.value
    if others:
        what = f"there are {len(readings.value)} staves here, and a score has one"
        return Outcome(None, (Diagnostic("R109", what, Span(shown, 1, 1)),))
    return Outcome(first)


def read_staves(
    svg: str, shown: str, key: ReadingKey, faces: Faces
) -> Outcome[tuple[Reading, ...]]:
    """Every stave in an SVG, from the top; there is one at the least."""
    page = parse_svg(svg, shown)
    if page.value is None:
        return Outcome(None, page.diagnostics)
    found = page_readings(page.value, key, faces)
    if not found:
        what = "there is no stave here: five level lines of one length, evenly spaced"
        return Outcome(None, (Diagnostic("R102", what, Span(shown, 1, 1)),))
    return Outcome(found)


def read_page(page: Page, key: ReadingKey, faces: Faces) -> Reading | None:
    """What is written on a page with one stave; None where there is none, or several."""
    found = page_readings(page, key, faces)
    return found[0] if len(found) == 1 else None


def page_readings(page: Page, key: ReadingKey, faces: Faces) -> tuple[Reading, ...]:
    """What is written on each stave of a page, from the top."""
    lines = find_lines(page, faces)
    return tuple(reading for staves in lines for reading in _readings(staves, key, faces))


@dataclass(frozen=True, slots=True)
class OfTheLine:
    """What stands at the topmost stave of a line and belongs to all of them."""

    over: Over
    words: LanesRead
    tapers: tuple[ShapeRead, ...]
    note: Fraction | None


@dataclass(frozen=True, slots=True)
class Inks:
    """The ink of a stave by its kind: brackets of repeats and their signs outside of it, bows of
    phrasings, lines of movement, all other signs, the note of the tempo at the head, and lines
    of turns that last."""

    brackets: tuple[ShapeRead, ...]
    outside: Signs
    tapers: tuple[ShapeRead, ...]
    lines: tuple[ShapeRead, ...]
    signs: Signs
    notes: tuple[ShapeRead, ...]
    lasting: tuple[LastingRead, ...]
    faults: tuple[Fault, ...]


def _readings(staves: tuple[StaveRead, ...], key: ReadingKey, faces: Faces) -> Iterator[Reading]:
    """Those of the staves of one line."""
    line: OfTheLine | None = None
    for own in staves:
        stave = own if line else with_changes(own, faces)
        inks = _inks(stave, line is None, key)
        over = line.over if line else Over(inks.brackets, inks.outside, stave.texts)
        repeated = _repeated(stave, over, inks.signs, key, faces)
        worded = stave if line else repeated.stave
        words = lanes(worded, line.words if line else None, key.table, faces)
        line = line or OfTheLine(over, words, inks.tapers, note_value(inks.notes))
        yield _reading(repeated, inks, words, line, key, faces)


def _inks(stave: StaveRead, topmost: bool, key: ReadingKey) -> Inks:
    """Brackets, bows and signs of repeats stand over the topmost stave alone."""
    told = pace_in(stave) if topmost else None
    notes = note_before(told, stave.shapes) if told else ()
    tapers = tuple(shape for shape in stave.shapes if topmost and shape.kind == "taper")
    apart = [
        shape for shape in stave.shapes if shape.kind != "spot" and shape not in (*tapers, *notes)
    ]
    shapes = named(apart, key.table)
    brackets = tuple(shape for shape in shapes if topmost and is_bracket(shape, key))
    turns = lasting_lines(shapes, key)
    taken = {*brackets, *(shape for turn in turns for shape in turn.shapes)}
    shapes = tuple(shape for shape in shapes if shape not in taken)
    lines = tuple(shape for shape in shapes if is_way(shape, key))
    others = (shape for shape in shapes if not is_way(shape, key))
    signs, alone, faults = find_signs(others, key.table)
    bars = tuple(shape for shape in alone if is_bar_of_a_way(shape, key))
    strange = {shape.fits: part_of_none(shape) for shape in alone if shape not in bars}
    faults = (*faults, *strange.values())
    lines, faults = (*lines, *bars), (*stave.faults, *faults, *off_breaks(stave, signs, key.table))
    out = outside(signs) if topmost else ()
    signs = tuple(sign for sign in signs if sign not in out)
    return Inks(brackets, out, tapers, lines, signs, notes, turns, faults)


def _reading(
    repeated: _Repeated,
    inks: Inks,
    words: LanesRead,
    line: OfTheLine,
    key: ReadingKey,
    faces: Faces,
) -> Reading:
    stave = repeated.stave
    marks = [sign for sign in repeated.signs if sign.name in MARKS]
    signs = tuple(sign for sign in repeated.signs if sign.name not in MARKS)
    signs += amount_signs(words.amounts)
    counts = counts_in(words.counts, faces)
    below = lanes_used(signs, bool(inks.lasting), key)
    key = replace(key, top=counts_top(words.counts, faces), lanes=below)
    found = [*inks.faults, *repeated.faults]
    found += (_no_count(count) for count in counts if not is_count(count.text))
    found += (_no_words(text) for text in words.strange)

    @cache
    def reads(of: Signs) -> tuple[tuple[LimbRead, ...], ...]:
        return readings(of, key)

    first = words.number is None
    ways = moments(stave, signs, counts, first, key, lambda of: len(reads(of)) > 0)
    if len(ways) > 1:
        start = ways[0][0]
        found.append(
            Fault("twofold", "a starting position that could stand on two axes", start.axis, 0)
        )
    frames = [_frame(moment, reads(moment.signs), found) for moment in ways[0]]
    within = (*_behind(words.metres, repeated.begins, stave), stave.right)
    frames, leaving, of_lines = with_ways(frames, inks.lines, marks, within, key)
    edges = stave.left, stave.right
    breaths, of_tapers = phrasings(line.tapers, frames, edges, key)
    turns, of_turns = lasting_ends(inks.lasting, frames, edges, key)
    found += (*of_lines, *of_tapers, *of_turns)
    found += _stray_spots(stave.shapes, frames)
    frames, loose = _with_words(frames, words, stave, key.table.text.edge)
    head, others = _head(stave, words, line.note)
    frames = _with_metres(frames, others)
    return Reading(
        tuple(frames),
        len(stave.bars),
        repeated.final,
        words.number,
        loose,
        tuple(found),
        breaths,
        repeated.form,
        leaving,
        head,
        turns,
    )


@dataclass(frozen=True, slots=True)
class _Repeated:
    """The stave with a bar line each in place of its lines and without the words of repeats,
    the signs that stand on axes, and where lines of movement come from without a frame before
    them: behind a sign at the left end, and behind bar lines of repeats and of the coda."""

    stave: StaveRead
    signs: Signs
    form: tuple[BarForm, ...]
    final: bool
    begins: tuple[float, ...]
    faults: tuple[Fault, ...]


def _repeated(
    stave: StaveRead, over: Over, signs: Signs, key: ReadingKey, faces: Faces
) -> _Repeated:
    """`over` is what stands over the topmost stave of the line."""
    ruled, of_lines = bar_lines(stave, signs, key)
    first = ruled[0] if ruled and abs(ruled[0].left - stave.left) <= NEAR else None
    lines = ruled[1:] if first else ruled
    anchors = (first.anchor if first else stave.left, *(line.anchor for line in lines))
    form, texts, faults = forms(list(pairwise(anchors)), lines, first, over, key, faces)
    begins = (
        line.right
        for line, (before, bar) in zip(lines, pairwise(form), strict=False)
        if bar.begins_anew(before)
    )
    return _Repeated(
        replace(stave, bars=tuple((line.anchor, 0.0) for line in lines), texts=texts),
        tuple(sign for sign in signs if sign.name != DOTS),
        form,
        bool(lines) and lines[-1].final,
        (first.right if first else stave.left, *begins),
        (*of_lines, *faults),
    )


def _frame(
    moment: MomentRead, reads: tuple[tuple[LimbRead, ...], ...], faults: list[Fault]
) -> FrameRead:
    at = f"at {moment.count}" if moment.count else "at the start"
    if len(reads) != 1:
        names = ", ".join(sorted(sign.name for sign in moment.signs))
        kind = "twofold" if reads else "unread"
        what = "can be read in two ways" if reads else "cannot be read as limbs"
        faults.append(Fault(kind, f"the signs {at} ({names}) {what}", moment.axis, 0.0))
    return FrameRead(moment.axis, moment.count, moment.bar, reads[0] if len(reads) == 1 else ())


def _no_count(count: Count) -> Fault:
    return Fault("text", f"“{count.text}” among the counts is no count", count.axis, 5.0)


def _no_words(text: TextRead) -> Fault:
    what = f"the text “{text.letters}” stands where no text of a stave does"
    return Fault("text", what, text.xs[0], text.y)


def _stray_spots(shapes: Iterable[ShapeRead], frames: list[FrameRead]) -> list[Fault]:
    """Dots of a centre line where no frame is."""
    places = sorted({round(shape.x, 2) for shape in shapes if shape.kind == "spot"})
    axes = [frame.axis for frame in frames]
    return [
        Fault("text", "a centre line that belongs to no count", x, 2.0)
        for x in places
        if not any(abs(x - axis) <= NEAR for axis in axes)
    ]


def _with_words(
    frames: list[FrameRead], words: LanesRead, stave: StaveRead, edge: float
) -> tuple[list[FrameRead], tuple[tuple[str, str], ...]]:
    """Texts stand at the axes of their frames, unless moved inwards: then they are the frame's
    that alone is as far out."""
    loose: list[tuple[str, str]] = []
    found = list(frames)
    for lane, one, x in words.said:
        left, right = one.begin <= edge, one.end >= stave.right - edge
        moved = left or right
        index = _frame_beyond(x, found, left, right) if moved else _frame_at(x, found)
        if index is None or (moved and found[index].text(lane)):
            loose.append((lane, one.text))
        else:
            before = (each for each in found[index].texts if each[0] != lane)
            found[index] = replace(found[index], texts=(*before, (lane, one.text)))
    return found, tuple(loose)


def _behind(
    metres: Iterable[WordsRead], begins: Iterable[float], stave: StaveRead
) -> Iterator[float]:
    """Where lines of movement come from: behind a metre that stands there."""
    lines = [x for x, _ in stave.bars]
    for begin in begins:
        bar = bisect(lines, begin)
        ends = (one.end for one in metres if begin < one.begin and bisect(lines, one.begin) == bar)
        yield next(ends, begin)


def _head(
    stave: StaveRead, words: LanesRead, note: Fraction | None
) -> tuple[HeadRead, tuple[WordsRead, ...]]:
    """What stands at the head, where the line is the first of a score; and all other metres."""
    if words.number is not None:
        return HeadRead(), words.metres
    first = stave.bars[0][0] if stave.bars else stave.right
    own = [one for one in words.metres if one.end < first]
    tempo = tempo_said(words.pace) if words.pace else None
    others = tuple(one for one in words.metres if one not in own)
    return HeadRead(own[0].text if own else None, tempo, note), others


def _with_metres(frames: list[FrameRead], metres: Iterable[WordsRead]) -> list[FrameRead]:
    """A metre stands before the first count of its bar."""
    found = list(frames)
    for one in metres:
        after = (index for index, frame in enumerate(found) if frame.axis > one.end)
        if (index := next(after, None)) is not None:
            found[index] = replace(found[index], metre=one.text)
    return found


def _frame_beyond(x: float, frames: list[FrameRead], left: bool, right: bool) -> int | None:
    """The only frame from x on to the edge from which a text was moved."""
    here = [
        index
        for index, frame in enumerate(frames)
        if (right or frame.axis <= x + AXIS) and (left or frame.axis >= x - AXIS)
    ]
    return here[0] if len(here) == 1 else None


def _frame_at(x: float, frames: list[FrameRead]) -> int | None:
    here = [index for index, frame in enumerate(frames) if abs(frame.axis - x) <= AXIS]
    return here[0] if len(here) == 1 else None
