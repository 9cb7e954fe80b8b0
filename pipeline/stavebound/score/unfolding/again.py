"""Again: what was danced before, once more, to the other side, or with another end.

In: an `again` or an `as`, and what has been danced before it. Out: the phrases to
which it unfolds.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from fractions import Fraction

from stavebound.diagnostics import Diagnostic, Span
from stavebound.score import lexical
from stavebound.score.counts import TimedPhrase, time_line
from stavebound.score.model import Phrase, Score, Side
from stavebound.score.read import all_of, given, only, read_bar, read_phrasing
from stavebound.score.unfolding.lines import (
    counted,
    for_leg,
    laid_over,
    leg,
    line_of,
    says,
    shifted,
    time_of,
    turned,
    with_value,
)
from stavebound.score.unfolding.stage import Stage, UnfoldedPhrases, once_more
from stavebound.score.unfolding.values import Hand, Timed, UnfoldedPhrase, UnfoldingError, fits
from stavebound.source.document import Attribute, Element, used
from stavebound.suggest import suggest


def again(element: Element, stage: Stage) -> UnfoldedPhrases:
    """The copies that `again` and `as` ask for."""
    source = _before(element, stage) if element.name == "again" else _named(element, stage)
    times = given(element, "times", int) or 1
    fits(source, times, stage.danced, element.span)
    aside = _is_aside(element, source[0].working)
    reverse = says(element, "reverse")
    found: UnfoldedPhrases = ()
    for number in range(times):
        changed = says(element, "alternate") and number % 2 == 1
        copies = tuple(
            _turned(piece, aside != changed, reverse) for piece in once_more(source, element.span)
        )
        if number == 0 or says(element, "alternate"):
            found += _turning(element, stage, source[0].working, aside != changed, reverse)
        found += copies
    last = only(element, "last")
    return (*found[:-1], _changed(found[-1], last, stage)) if last else found


def _before(element: Element, stage: Stage) -> UnfoldedPhrases:
    wanted = given(element, "phrases", int) or 1
    if len(stage.danced) < wanted:
        there = "is 1 phrase" if len(stage.danced) == 1 else f"are {len(stage.danced)} phrases"
        raise UnfoldingError(
            Diagnostic(
                "U107",
                f"there {there} before this, and {wanted} are wanted"
                if stage.danced
                else "there is nothing before this to be danced again",
                (element.get("phrases") or element).span,
                ("Put it after what is danced again.",),
            )
        )
    return stage.danced[-wanted:]


def _named(element: Element, stage: Stage) -> UnfoldedPhrases:
    bars, phrase = element.get("bars"), element.get("phrase")
    if (bars is None) == (phrase is None):
        raise UnfoldingError(
            Diagnostic(
                "U108",
                "it is not said what is danced here" if bars is None else "this says two things",
                element.span,
                ('Write bars="5 to 8", or phrase="…" with the identity of a phrase.',),
            )
        )
    if phrase:
        return _of_identity(phrase.value, phrase.span, stage)
    first, _, last = bars.value.partition(" to ") if bars else ("", "", "")
    return _of_bars(int(first), int(last or first), bars.span if bars else element.span, stage)


def _of_identity(name: str, span: Span, stage: Stage) -> UnfoldedPhrases:
    named = {one.value: piece for piece in stage.danced if (one := piece.element.get("id"))}
    if name not in named:
        hint = (
            suggest(name, named) or 'Give the phrase an identity, id="…", and put it before this.'
        )
        fault = Diagnostic("U108", f"no phrase before this is “{name}”", span, (hint,))
        raise UnfoldingError(fault)
    return (named[name],)


def _is_aside(element: Element, before: Side | None) -> bool:
    """Whether it is danced to the other side than what it repeats."""
    aside = says(element, "side", "other")
    working = element.get("working")
    if working is None or working.value == "working":
        return aside
    if before is None:
        raise UnfoldingError(
            Diagnostic(
                "U109",
                "it is not said which leg worked before",
                working.span,
                ('Write working="right" on the score or on the phrase that is repeated.',),
            )
        )
    return leg(element, before) is not before


def _turned(piece: UnfoldedPhrase, aside: bool, reverse: bool) -> UnfoldedPhrase:
    working = piece.working.other if piece.working and aside else piece.working
    return replace(
        piece, frames=turned(piece.frames, aside=aside, reverse=reverse), working=working
    )


def _turning(
    element: Element, stage: Stage, before: Side | None, aside: bool, reverse: bool
) -> UnfoldedPhrases:
    """The counts in which the starting position is taken, as it is for what follows; it is
    written for the leg that works first."""
    turning = element.get("turning")
    if turning is None:
        return ()
    if stage.start is None:
        hint = ("Write the position before the first count into <start>.",)
        fault = Diagnostic("U110", "there is no starting position to be taken", turning.span, hint)
        raise UnfoldingError(fault)
    at = replace(turning, name="at")
    start = replace(stage.start, name="frame", attributes=(at,))
    first = stage.working or before
    mirrored = (before is first) is aside if before else aside
    frame = Timed(Fraction(int(turning.value) - 1), used(for_leg(start, first), turning.span))
    counts = replace(turning, name="counts")
    piece = UnfoldedPhrase(
        Element("phrase", (counts,), (), element.span),
        int(turning.value),
        stage.division,
        (frame,),
        working=first,
    )
    taken = _turned(piece, mirrored, reverse)
    return (_about_at_the_barre(taken, turning) if aside else taken,)


def _about_at_the_barre(piece: UnfoldedPhrase, turning: Attribute) -> UnfoldedPhrase:
    """A dancer with a hand on the barre turns about towards it, so that the other hand may
    take it."""
    (timed,) = piece.frames
    hands = (child for child in all_of(timed.frame, "hand") if says(child, "touching", "barre"))
    side = next((given(hand, "side", Side) for hand in hands), None)
    if side is None:
        return piece
    words = {"to": side.other, "by": "1/2", "on": "both"}
    said = tuple(
        replace(turning, name=name, value=str(value), written=str(value))
        for name, value in words.items()
    )
    turn = Element("turn", said, (), timed.frame.span)
    frame = replace(timed.frame, children=(*timed.frame.children, turn))
    return replace(piece, frames=(replace(timed, frame=frame),))


def _changed(piece: UnfoldedPhrase, last: Element, stage: Stage) -> UnfoldedPhrase:
    """The piece with other frames: in place of those of the same moments, or of all from one on."""
    hand = Hand(stage.steps, piece.division, piece.working)
    line = line_of(last, hand)
    start, new = given(last, "from", lexical.at), {timed.time for timed in line}
    if start is not None and time_of(start, hand) >= piece.counts:
        raise UnfoldingError(
            Diagnostic(
                "T301",
                f"count {start.count} is outside its phrase",
                (last.get("from") or last).span,
                (f"What is danced again has {piece.counts} counts: expected 1 to {piece.counts}.",),
                ((piece.element.span, "it is here"),),
            )
        )
    kept = tuple(
        timed
        for timed in piece.frames
        if timed.time not in new and (start is None or timed.time < time_of(start, hand))
    )
    return replace(piece, frames=laid_over((kept, line)))


# ---------------------------------------------------------------- bars


def _of_bars(first: int, last: int, span: Span, stage: Stage) -> UnfoldedPhrases:
    """The pieces of phrases that lie in these bars, each counted from 1."""
    upbeat = _skeleton(stage.upbeat) if stage.upbeat else None
    phrases = tuple(map(_skeleton, stage.danced))
    found: list[UnfoldedPhrase] = []
    if phrases:
        line = time_line(Score("", phrases, music=stage.music, upbeat=upbeat))
        bars = {bar.number: bar for bar in line.bars if bar.number > 0}
        if first <= last and first in bars and last in bars:
            sections = line.sections[1:] if upbeat else line.sections
            stretch = bars[first].start, bars[last].end
            for piece, section in zip(stage.danced, sections, strict=True):
                found += _cut(piece, section, stretch, span)
            return tuple(found)
        there = f"Before this there are bars 1 to {max(bars)}."
    else:
        there = "No bar is danced before this."
    raise UnfoldingError(
        Diagnostic("U108", "these bars are not all danced before this", span, (there,))
    )


def _skeleton(piece: UnfoldedPhrase) -> Phrase:
    return Phrase(piece.counts, (), tuple(map(read_bar, piece.bars)), piece.division)


def _cut(
    piece: UnfoldedPhrase, section: TimedPhrase, stretch: tuple[Fraction, Fraction], span: Span
) -> Iterator[UnfoldedPhrase]:
    """What of a piece lies in a stretch of time, as a piece."""
    start = max(section.start, stretch[0]) - section.start
    end = min(section.end, stretch[1]) - section.start
    if start >= end:
        return
    if start.denominator > 1 or end.denominator > 1:
        hint = ("Take bars that begin and end on a count.",)
        raise UnfoldingError(
            Diagnostic("U108", "one of these bars begins within a count", span, hint)
        )
    if start == 0 and end == piece.counts:
        yield piece
        return
    frames = (one for one in piece.frames if start <= one.time < end or (one.time < 0 == start))
    hand = Hand({}, piece.division)
    counts = str(end - start)
    yield replace(
        piece,
        element=with_value(piece.element, "counts", counts),
        counts=int(counts),
        frames=shifted(tuple(frames), -start, piece.division, hand),
        bars=tuple(_bars_within(piece, start, end)),
        phrasings=tuple(_phrasings_within(piece, start, end)),
    )


def _bars_within(piece: UnfoldedPhrase, start: Fraction, end: Fraction) -> Iterator[Element]:
    own = Hand({}, piece.division)
    for bar in piece.bars:
        time = time_of(read_bar(bar).at, own)
        if start <= time < end:
            yield with_value(bar, "at", lexical.at_text(counted(time - start, own)))


def _phrasings_within(piece: UnfoldedPhrase, start: Fraction, end: Fraction) -> Iterator[Element]:
    """The phrasings that lie in the stretch as a whole."""
    own = Hand({}, piece.division)
    for phrasing in piece.phrasings:
        read = read_phrasing(phrasing)
        first, last = time_of(read.begin, own), time_of(read.end, own)
        if start <= first < last < end:
            moved = with_value(phrasing, "from", lexical.at_text(counted(first - start, own)))
            yield with_value(moved, "to", lexical.at_text(counted(last - start, own)))
