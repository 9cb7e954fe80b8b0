"""What was written in every line of an engraved score: what its ink must say.

In: an engraved score, and what is printed of its source. Out: a `WrittenLine` for each line.
It comes from the score as it is danced, and from where frames were placed, never from what
is drawn.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass, replace
from fractions import Fraction

from stavebound.dance.danced import Moment, turning_since
from stavebound.dance.pose import Pose, Posed, Subject
from stavebound.dance.printed import Printed
from stavebound.diagnostics import Span
from stavebound.engrave.bars import Measure
from stavebound.engrave.columns import COUNTS, Cell, Column
from stavebound.engrave.cost import Line
from stavebound.engrave.engraving import Engraved
from stavebound.engrave.noted import count_note
from stavebound.readback.expected import Written, WrittenLine, WrittenSpan
from stavebound.readback.values import CONTINUED, HeadRead
from stavebound.score.counts import phrased
from stavebound.score.form import BarForm
from stavebound.score.model import Music
from stavebound.trade.catalogue import Catalogue

NOTHING = Posed(Pose())
# From one moment to another, and where it is written.
_Spanned = tuple[Fraction, Fraction, Span]


@dataclass(frozen=True, slots=True)
class _Source:
    """What the score says on one stave at each moment, and where; `at` is the stave's number,
    from the top, `begin` the moment of the starting position."""

    at: int
    begin: Fraction
    moments: Mapping[Fraction, Moment]
    start: Span
    whole: Span
    phrasings: tuple[_Spanned, ...]
    lasting: tuple[_Spanned, ...]
    form: tuple[BarForm, ...]
    form_spans: tuple[Span, ...]
    head: HeadRead


def written_lines(engraved: Engraved, printed: Printed, stave: int = 0) -> tuple[WrittenLine, ...]:
    """What was written on a stave of every line, by its number from the top; moments that have
    no ink on it, and no text of the line, are not there."""
    begin, danced = engraved.bars[0].columns[0].time, printed.danced
    moments = danced.lines[stave]
    source = _Source(
        stave,
        begin,
        {each.event.time if each.event else begin: each for each in moments},
        moments[0].origin.span,
        printed.score.origin.span,
        tuple((one.start, one.end, one.phrasing.origin.span) for one in phrased(danced.timeline)),
        tuple(_lasting(moments)),
        printed.bars,
        tuple(origin.span for origin in printed.origins),
        _head(danced.score.music, danced.catalogue),
    )
    return tuple(_line(line, engraved, source) for line in engraved.lines)


def _head(music: Music | None, catalogue: Catalogue) -> HeadRead:
    if music is None:
        return HeadRead()
    note = count_note(music, catalogue) if music.tempo else None
    return HeadRead(music.metre, music.tempo, note.value if note else None)


def _line(line: Line, engraved: Engraved, source: _Source) -> WrittenLine:
    own = engraved.bars[line.start : line.end]
    ruled = {time for bar in own for time in bar.lines}
    first = own[0].columns[0].time
    bars = 1 + sum(first < column.time and column.time in ruled for column in _columns(own))
    final = line.end == len(engraved.bars) and not own[-1].form.closes
    upbeat = bars - len(own)
    return WrittenLine(
        tuple(_moments(own, ruled, source)),
        bars,
        final,
        source.whole,
        tuple(_spans(source.phrasings, own, source)),
        (*[BarForm()] * upbeat, *_form(line, source.form)),
        (*[source.whole] * upbeat, *source.form_spans[line.start : line.end]),
        _going_on(line, engraved.bars, source),
        HeadRead() if line.start else source.head,
        tuple(_spans(source.lasting, own, source)),
    )


def _going_on(line: Line, bars: tuple[Measure, ...], source: _Source) -> Posed | None:
    """What is written next after the line, where the line has signs and it follows on them."""
    own, form = bars[line.start : line.end], source.form[line.start : line.end]
    signed = [column.time for column in _columns(own) if column.cells[source.at].signs]
    begun = (
        bar.lines[-1]
        for bar, before, after in zip(own, (BarForm(), *form), form, strict=False)
        if after.begins_anew(before)
    )
    if not signed or any(time > signed[-1] for time in begun):
        return None
    for number in range(line.end, len(bars)):
        if source.form[number].begins_anew(source.form[number - 1]):
            return None
        for column in bars[number].columns:
            if column.cells[source.at].signs:
                return source.moments[column.time].posed
    return None


def _form(line: Line, form: tuple[BarForm, ...]) -> Iterator[BarForm]:
    """What stands at the bars of a line; an ending that comes from the line before has no
    number in it."""
    before = form[line.start - 1].ending if line.start else ()
    for bar in form[line.start : line.end]:
        before = before if bar.ending == before else ()
        yield replace(bar, ending=CONTINUED) if before else bar


def _lasting(moments: Iterable[Moment]) -> Iterator[_Spanned]:
    """Turns that last, from the moments at which they begin."""
    for moment in moments:
        since, turn = turning_since(moment), moment.posed.turn
        if since is not None and moment.event and turn:
            yield since, moment.event.time, turn.origin.span


def _spans(
    spanned: Iterable[_Spanned], own: tuple[Measure, ...], source: _Source
) -> Iterator[WrittenSpan]:
    """Those that some of the line is part of, by the numbers of its moments."""
    times = [column.time for column in _columns(own) if _has_ink(column, source.at)]
    at = {time: number for number, time in enumerate(times)}
    for start, end, span in spanned:
        if start < own[-1].end and times[0] <= end:
            yield WrittenSpan(at.get(start), at.get(end), span)


def _has_ink(column: Column, stave: int) -> bool:
    cell = column.cells[stave]
    return bool(cell.signs or cell.labels or column.labels)


def _columns(bars: Iterable[Measure]) -> Iterator[Column]:
    return (column for bar in bars for column in bar.columns)


def _moments(own: tuple[Measure, ...], ruled: set[Fraction], source: _Source) -> Iterator[Written]:
    span, bar = source.start, 0
    for index, column in enumerate(_columns(own)):
        bar += index > 0 and column.time in ruled
        if _has_ink(column, source.at):
            moment = source.moments.get(column.time)
            span = moment.origin.span if moment else span
            posed = moment.posed if moment else NOTHING
            metre = column.metre.text if column.metre and column.time != source.begin else None
            yield _moment(column, source.at, metre, posed, bar, span)


def _moment(
    column: Column, stave: int, metre: str | None, posed: Posed, bar: int, span: Span
) -> Written:
    cell = column.cells[stave]
    texts = {label.lane.name: label.text for label in (*cell.labels, *column.labels)}
    return Written(
        texts.get(COUNTS),
        posed,
        _shifts(cell),
        bar,
        span,
        tuple(texts.items()),
        metre,
    )


def _shifts(cell: Cell) -> tuple[tuple[Subject, tuple[float, float]], ...]:
    return tuple(
        (subject, (cleared.dx, cleared.dy))
        for cleared in cell.signs
        for subject in cleared.cluster.subjects
    )
