"""Prove: the ink of a line says what was written, and nothing else.

In: the SVG of a line, and what was written in it, moment by moment. Out: a
diagnostic for everything that cannot be read, that can be read in two ways, or
that says something else, each at its place in the source.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import replace

from stavebound.dance.pose import Subject
from stavebound.diagnostics import Diagnostic, Outcome, Span
from stavebound.faces import Faces
from stavebound.readback.changes import change_of
from stavebound.readback.claims import ReadingKey
from stavebound.readback.expected import Written, WrittenLine, WrittenSpan, expected
from stavebound.readback.read import CODES, read_staves
from stavebound.readback.values import (
    Ends,
    Fault,
    FrameRead,
    FreeRead,
    HandRead,
    HeadRead,
    JointRead,
    LimbRead,
    PartRead,
    Reading,
    WayRead,
    WholeRead,
)
from stavebound.readback.ways import expected_leaving, expected_ways, same_leaving, same_way
from stavebound.score.form import BarForm, FormError, expanded, form_text
from stavebound.score.write import write_change

# What says where its sign stands.
Placed = FreeRead | JointRead | PartRead | WholeRead

# Both axes and both ends of a line are rounded.
WAYS_SLACK = 2.0

HINT = "Nothing that is printed may say something else than the source: this is a fault of a table."


def prove(svg: str, written: WrittenLine, key: ReadingKey, faces: Faces) -> tuple[Diagnostic, ...]:
    """No diagnostics where all is as written."""
    return proved(svg, written, key, faces).diagnostics


def proved(svg: str, written: WrittenLine, key: ReadingKey, faces: Faces) -> Outcome[Reading]:
    """What a line of one stave says; no diagnostics where all is as written."""
    found = proved_staves(svg, (written,), key, faces)
    return Outcome(found.value[0] if found.value else None, found.diagnostics)


def proved_staves(
    svg: str, written: Sequence[WrittenLine], key: ReadingKey, faces: Faces
) -> Outcome[tuple[Reading, ...]]:
    """What a line says on each of its staves, where there are as many as were `written`."""
    outcome = read_staves(svg, "", key, faces)
    found = outcome.value or ()
    if len(found) != len(written):
        what = f"there are {len(found)} staves, and {len(written)} were written"
        told = [(fault.code, fault.message) for fault in outcome.diagnostics] or [("R109", what)]
        faults = [
            Diagnostic(code, f"the line drawn for this cannot be read: {said}", written[0].span)
            for code, said in told
        ]
        return Outcome(None, tuple(faults))
    pairs = zip(found, written, strict=True)
    return Outcome(found, tuple(fault for pair in pairs for fault in _faults(*pair, key)))


def _faults(reading: Reading, written: WrittenLine, key: ReadingKey) -> tuple[Diagnostic, ...]:
    """Of one stave: what cannot be read, else what says something else."""
    faults = tuple(_unreadable(fault, reading, written) for fault in reading.faults)
    return faults or tuple(_disagreements(reading, written, key))


def _unreadable(fault: Fault, reading: Reading, written: WrittenLine) -> Diagnostic:
    axes = [frame.axis for frame in reading.frames]
    near = min(range(len(axes)), key=lambda i: abs(axes[i] - fault.x), default=0)
    span = written.moments[near].span if near < len(written.moments) else written.span
    return Diagnostic(CODES[fault.kind], f"in the ink of this: {fault.message}", span, (HINT,))


def _disagreements(reading: Reading, written: WrittenLine, key: ReadingKey) -> Iterator[Diagnostic]:
    read = [frame.count or "the start" for frame in reading.frames]
    wanted = [moment.count or "the start" for moment in written.moments]
    if read != wanted:
        same = (a == b for a, b in zip(read, wanted, strict=False))
        at = next((i for i, alike in enumerate(same) if not alike), len(wanted))
        span = written.moments[at].span if at < len(wanted) else written.span
        yield _says(span, f"the moments {' '.join(read)}", " ".join(wanted))
        return
    for frame, moment in zip(reading.frames, written.moments, strict=True):
        yield from _limbs(frame, moment, key)
        yield from _ways(frame, moment, key)
        if frame.bar != moment.bar:
            yield _says(moment.span, f"{frame.bar} bar lines before this", str(moment.bar))
    if (reading.bars, reading.final) != (written.bars, written.final):
        ends = [
            f"{bars} bars{', the end' if final else ''}"
            for bars, final in ((reading.bars, reading.final), (written.bars, written.final))
        ]
        yield _says(written.span, *ends)
    elif written.form:
        for bar, own, span in zip(reading.form, written.form, written.spans, strict=True):
            if bar != own:
                yield _says(span, *(form_text(form) for form in (bar, own)))
    if reading.head != written.head:
        yield _says(written.span, *(_headed(head) for head in (reading.head, written.head)))
    yield from _leaving(reading, written, key)
    yield from _spans("a phrasing", reading.phrasings, written.phrasings, written)
    yield from _spans("a turn that lasts", reading.lasting, written.lasting, written)
    yield from _words(reading, written, key)


def _headed(head: HeadRead) -> str:
    note = f"{head.note} = " if head.note else ""
    return f"the metre {head.metre or 'none'} and the tempo {note}{head.tempo or 'none'}"


def _says(span: Span, ink: str, source: str) -> Diagnostic:
    return Diagnostic("R201", f"the ink says {ink}, and the source {source}", span, (HINT,))


def place_faults(key: ReadingKey, span: Span) -> Iterator[Diagnostic]:
    """Whether the tables of places, by which ink is drawn and read, say what they should."""
    for stray in key.strays:
        found, wanted = (
            "nothing" if leaf is None else leaf if isinstance(leaf, str) else f"{leaf:.2f}"
            for leaf in (stray.found, stray.anchor.wanted)
        )
        what = f"the tables have {stray.path} as {found}, and its anchor {wanted}"
        yield Diagnostic("R202", f"{what}: {stray.anchor.reason}", span, (HINT,))


def order_faults(
    bars: Sequence[BarForm], order: tuple[int, ...], span: Span
) -> Iterator[Diagnostic]:
    """Whether the bars, danced as what stands at them says, are those that are danced."""
    try:
        found = expanded(bars)
    except FormError as error:
        yield _says(span, f"an order in which {error}", _numbers(order))
        return
    if found != order:
        yield _says(span, _numbers(found), _numbers(order))


def _numbers(order: Iterable[int]) -> str:
    return f"the bars {' '.join(str(at + 1) for at in order)}"


def _limbs(frame: FrameRead, moment: Written, key: ReadingKey) -> Iterator[Diagnostic]:
    wanted = {subject: one for one in expected(moment, key.catalogue) for subject in one.subjects}
    found = {subject: one for one in frame.subjects for subject in one.subjects}
    told: set[tuple[LimbRead | None, LimbRead | None]] = set()
    for subject in dict.fromkeys((*wanted, *found)):
        pair = found.get(subject), wanted.get(subject)
        if not _agree(*pair, key) and pair not in told:
            told.add(pair)
            yield _says(_span(moment, subject), *(_told(one, subject, key) for one in pair))


def _ways(frame: FrameRead, moment: Written, key: ReadingKey) -> Iterator[Diagnostic]:
    """Every line of movement once, whatever the order."""
    at_edge = any(way.at_edge for way in frame.ways)
    left = list(frame.ways)
    for wanted in expected_ways(moment.posed, at_edge, key):
        near = key.table.tolerance.place * WAYS_SLACK
        found = next((way for way in left if same_way(way, wanted, key, near)), None)
        if found is None:
            drawn = ", ".join(_line(way) for way in left) or "none"
            told = f"a {_line(wanted)} from {_spot(wanted.start)}"
            yield _says(_way_span(moment, wanted), f"lines of movement: {drawn}", told)
        else:
            left.remove(found)
    for way in left:
        what = f"a {_line(way)} from {_spot(way.start)}"
        yield _says(_way_span(moment, way), what, "no such line")


def _line(way: WayRead) -> str:
    marks = [f"beats {' '.join(way.beats)}"] if way.beats else []
    told = f" with {', '.join([*marks, *way.air])}" if marks or way.air else ""
    return f"{way.kind} of the {way.subject}{told}"


def _leaving(reading: Reading, written: WrittenLine, key: ReadingKey) -> Iterator[Diagnostic]:
    """Every line of movement that goes on to the next line once, whatever the order."""
    left, near = list(reading.leaving), key.table.tolerance.place * WAYS_SLACK
    for wanted in expected_leaving(written.going_on, key) if written.going_on else ():
        found = next((one for one in left if same_leaving(one, wanted, key, near)), None)
        if found is None:
            told = f"one from {_spot(wanted.start)}"
            yield _says(written.span, "no such movement that goes on to the next line", told)
        else:
            left.remove(found)
    for one in left:
        what = f"a movement from {_spot(one.start)} that goes on to the next line"
        yield _says(written.span, what, "no such line")


def _spot(at: tuple[float, float] | None) -> str:
    """None stands for its own sign."""
    if at is None:
        return "its sign"
    return f"{at[0]:.2f}, {at[1]:.2f}"


def _way_span(moment: Written, way: WayRead) -> Span:
    moved = (move for move in moment.posed.moves if move.subject == way.subject)
    move = next(moved, None)
    return move.origin.span if move else moment.span


def _agree(found: LimbRead | None, wanted: LimbRead | None, key: ReadingKey) -> bool:
    if isinstance(found, HandRead) and isinstance(wanted, HandRead):
        near, slope = key.table.tolerance.place, key.catalogue.ruling.across.hand.slope
        return (
            replace(found, height=wanted.height, out=wanted.out) == wanted
            and abs(found.height - wanted.height) <= near
            and abs(found.out - wanted.out) <= near / slope
        )
    if isinstance(found, Placed) and isinstance(wanted, Placed):
        near = key.table.tolerance.place
        apart = (abs(a - b) for a, b in zip(found.at, wanted.at, strict=True))
        return replace(found, at=wanted.at) == wanted and max(apart) <= near
    return found == wanted


def _told(one: LimbRead | None, subject: Subject, key: ReadingKey) -> str:
    if one is None:
        return f"nothing of the {subject}"
    told = write_change(change_of(one, key))
    return f"{told} at {one.at[0]:.2f}, {one.at[1]:.2f}" if isinstance(one, Placed) else told


def _span(moment: Written, subject: Subject) -> Span:
    origin = moment.posed.origin(subject)
    return origin.span if origin else moment.span


def _words(reading: Reading, written: WrittenLine, key: ReadingKey) -> Iterator[Diagnostic]:
    """Words stand at their frames; those that were moved inwards only on their line."""
    loose = Counter((lane, word) for lane, text in reading.loose for word in text.split(" "))
    for frame, moment in zip(reading.frames, written.moments, strict=True):
        if frame.metre != moment.metre:
            yield _says(moment.span, f"the metre {_quoted(frame.metre)}", _quoted(moment.metre))
        for lane in (row.name for row in key.table.text.lane):
            read, own = frame.text(lane), moment.text(lane)
            words = Counter((lane, word) for word in own.split(" ")) if own else Counter()
            if read is None and words <= loose:
                loose -= words
            elif own != read:
                yield _says(moment.span, f"the {lane} {_quoted(read)}", _quoted(own))
    for lane, word in loose:
        yield _says(written.span, f"{_quoted(word)} in the {lane}s", "no such word")


def _spans(
    what: str, read: Sequence[Ends], spans: Iterable[WrittenSpan], written: WrittenLine
) -> Iterator[Diagnostic]:
    wanted = {(one.begin, one.end): one.span for one in spans}
    for ends in dict.fromkeys((*wanted, *read)):
        if (ends in wanted) != (ends in read):
            told = f"{what} {_from_to(ends, written)}"
            both = ("none", told) if ends in wanted else (told, "none")
            yield _says(wanted.get(ends, written.span), *both)


def _from_to(ends: Ends, written: WrittenLine) -> str:
    begin, end = (None if at is None else written.moments[at].count for at in ends)
    return f"from {begin or 'the line before'} to {end or 'the next line'}"


def _quoted(text: str | None) -> str:
    return f"“{text}”" if text else "none"
