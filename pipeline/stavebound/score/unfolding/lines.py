"""Lines: what stands in a phrase, as frames in time.

In: the children of a phrase, an upbeat or a definition: frames, steps used by
name, lines laid over them, and cues. Out: plain frames at their times, those of
one moment merged into one. A plain frame stays as it was written.

    feet   │ 1     2     3     4     │
    arms   │ 1           3           │  laid over
    merged │ 1     2     3     4     │
"""

from __future__ import annotations

import heapq
from collections.abc import Iterable, Iterator
from dataclasses import replace
from fractions import Fraction
from itertools import chain

from stavebound.diagnostics import Diagnostic, Span
from stavebound.score import lexical
from stavebound.score.counts import ANY_SYLLABLE, SYLLABLES
from stavebound.score.frame_texts import CUE, DOES, FRAME, MOMENT, PROMISE, STEP, text_names
from stavebound.score.model import At, Division, Side
from stavebound.score.read import all_of, given, required
from stavebound.score.unfolding.definitions import (
    PARAMETER,
    Arguments,
    arguments_of,
    said_how,
)
from stavebound.score.unfolding.exchange import in_reverse, names_a_side, other_side
from stavebound.score.unfolding.nesting import dos, inner_first
from stavebound.score.unfolding.values import (
    Definition,
    Hand,
    Steps,
    Timed,
    UnfoldingError,
    must_fit,
)
from stavebound.score.words import fold_name
from stavebound.source.document import Attribute, Element, Text, mapped, used

TimedLine = tuple[Timed, ...]


def line_of(element: Element, hand: Hand) -> TimedLine:
    """All frames of what stands in an element, in the order of time."""
    lines = [
        tuple(
            Timed(time_of(_at(child), hand), child)
            for child in element.elements
            if child.name == FRAME
        )
    ]
    cursor = Fraction(0)
    for child in element.elements:
        if child.name == "do":
            start = given(child, "at", lexical.at)
            begin = cursor if start is None else time_of(start, hand)
            frames, cursor = _danced(child, begin, hand)
            lines.append(frames)
        elif child.name == "over":
            lines.append(line_of(child, hand))
    line = laid_over((*lines, *_cues(element, hand)))
    return tuple(_for_leg(timed, hand.working) for timed in line)


def _cues(element: Element, hand: Hand) -> Iterator[TimedLine]:
    """The cues of a phrase, each as a line of one frame."""
    for cue in all_of(element, CUE):
        at = cue.get(MOMENT) or said_at(str(hand.first), cue.span)
        frame = Element(FRAME, (at,), (replace(cue, attributes=()),), cue.span)
        yield (Timed(time_of(_at(frame), hand), frame),)


def _for_leg(timed: Timed, working: Side | None) -> Timed:
    frame = for_leg(timed.frame, working)
    if working is None or frame == timed.frame:
        return timed
    return replace(timed, frame=frame, sides=timed.sides.of_leg(frame, working))


def laid_over(lines: Iterable[TimedLine]) -> TimedLine:
    """Several lines as one. Frames of one line are never merged with each other."""
    numbered = [
        [(timed.time, number, timed) for timed in line] for number, line in enumerate(lines)
    ]
    merged: list[Timed] = []
    own: set[int] = set()
    for time, number, timed in heapq.merge(*numbered, key=lambda item: item[0]):
        if merged and merged[-1].time == time and number not in own:
            both = _together(merged[-1].frame, timed.frame)
            merged[-1] = replace(merged[-1], frame=both, sides=merged[-1].sides.beside(timed.sides))
            own.add(number)
        else:
            merged.append(timed)
            own = {number}
    return tuple(merged)


def shifted(line: TimedLine, by: Fraction, before: Division, hand: Hand) -> TimedLine:
    """The line so much later, counted in another phrase: its division, its first count.

    A syllable stays what it is where a whole number of counts is added and the
    division is the same; else the moment is written as the new phrase counts.
    """
    return tuple(_shifted(timed, by, before, hand) for timed in line)


def time_of(at: At, hand: Hand) -> Fraction:
    """The time of a count, from the first count of its line."""
    part = at.fraction or Fraction(0)
    if at.syllable:
        part = SYLLABLES[hand.division].get(at.syllable, ANY_SYLLABLE[at.syllable])
    return at.count - hand.first + part


def for_leg(element: Element, working: Side | None) -> Element:
    """The element with right and left for working and supporting, where the leg is known."""
    if working is None:
        return element
    sides = {"working": working.value, "supporting": working.other.value}

    def said(owner: Element, attribute: Attribute) -> Attribute:
        if not names_a_side(owner, attribute):
            return attribute
        words = attribute.value.split(" ")
        return attribute.rewritten(" ".join(sides.get(word, word) for word in words))

    return mapped(element, said)


def leg(element: Element, ambient: Side | None) -> Side | None:
    """The leg that works in an element: its own word for it, else the one round it."""
    attribute = element.get("working")
    if attribute is None or attribute.value == "working":
        return ambient
    if attribute.value == "supporting":
        return ambient.other if ambient else None
    if attribute.value not in list(Side):
        said = f"working cannot be “{attribute.value}”"
        hint = ("Expected one of: right, left, working, supporting.",)
        raise UnfoldingError(Diagnostic("S106", said, attribute.span, hint))
    return Side(attribute.value)


def turned(line: TimedLine, *, aside: bool, reverse: bool) -> TimedLine:
    """The line to the other side, in reverse, or both."""
    if aside:
        for timed in line:
            _in_plain_words(timed.frame)
    for wanted, change in ((aside, other_side), (reverse, in_reverse)):
        if wanted:
            line = tuple(replace(timed, frame=change(timed.frame)) for timed in line)
    if aside:
        line = tuple(replace(timed, sides=timed.sides.turned(timed.frame)) for timed in line)
    return line


def _in_plain_words(frame: Element) -> None:
    """A number of the room is another on the other side by every school."""
    for child in frame.children:
        facing = child.get("to") if isinstance(child, Element) and child.name == "facing" else None
        if facing and facing.value.isdecimal():
            raise UnfoldingError(
                Diagnostic(
                    "U116",
                    f"the direction {facing.value} is a number, and this is danced to the "
                    "other side",
                    facing.span,
                    ('Write it in plain words, such as to="front right".',),
                )
            )


def says(element: Element, name: str, word: str = "yes") -> bool:
    attribute = element.get(name)
    return attribute is not None and attribute.value == word


# ---------------------------------------------------------------- steps


def _danced(do: Element, begin: Fraction, hand: Hand) -> tuple[TimedLine, Fraction]:
    """The frames of a step in use, and the time at which it ends."""
    step = hand.steps[required(do, "step", str)]
    ways = arguments_of(do, step)
    times = given(do, "times", int) or 1
    must_fit(times * len(ways) * _weight(step, hand.steps), do.span)
    own = Hand(hand.steps, step.division or hand.division, leg(do, hand.working))
    late = _accent(do, step, own)
    lines = []
    for number in range(times):
        aside = says(do, "side", "other") != (says(do, "alternate") and number % 2 == 1)
        for way in ways:
            line = turned(_once(do, step, way, own), aside=aside, reverse=says(do, "reverse"))
            lines.append(shifted(line, begin + late, own.division, hand))
            begin += step.counts
    return tuple(timed for line in lines for timed in line), begin


def _once(do: Element, step: Definition, arguments: Arguments, own: Hand) -> TimedLine:
    """The step's own frames, as they are used here."""
    use = (do.get("step") or do).span
    try:
        line = line_of(_filled(step, arguments, do), own)
    except UnfoldingError as error:
        inner = error.fault.span
        if inner is None or inner is do.span:
            raise
        place = replace(inner, uses=(*inner.uses, use))
        raise UnfoldingError(replace(error.fault, span=place)) from None
    line = tuple(_used(timed, use, says(do, "accent", "in")) for timed in line)
    promise = do.get(PROMISE)
    if promise:
        return tuple(_with(timed, promise) for timed in line)
    return line if _prints(step.name, line) else _named(step.name, use, line)


def _prints(name: str, line: TimedLine) -> bool:
    """Whether some frame has the name of the step printed."""
    printed = (timed.frame.get(STEP) for timed in line)
    return any(fold_name(name) in fold_name(step.value) for step in printed if step)


def _named(name: str, use: Span, line: TimedLine) -> TimedLine:
    """The line with the name of the step at its first frame, as it is not printed."""
    first, *rest = line
    own = first.frame.get(DOES)
    said = f"{name}, {own.value}" if own else name
    return (_with(first, Attribute(DOES, said, said, use, use)), *rest)


def _with(timed: Timed, attribute: Attribute) -> Timed:
    """The frame with an attribute, in place of the one of its name."""
    others = (one for one in timed.frame.attributes if one.name != attribute.name)
    return replace(timed, frame=replace(timed.frame, attributes=(*others, attribute)))


def _used(timed: Timed, use: Span, early: bool) -> Timed:
    return replace(timed, frame=used(timed.frame, use), early=early or timed.early)


def _accent(do: Element, step: Definition, own: Hand) -> Fraction:
    """How much later all of it is: with the accent in, the way in takes the way out's moment."""
    if says(do, "accent", "in") and step.out and step.inward:
        return time_of(step.out, own) - time_of(step.inward, own)
    return Fraction(0)


def _filled(step: Definition, arguments: Arguments, do: Element) -> Element:
    """The definition with what it takes put in."""

    def put(text: str) -> str:
        return PARAMETER.sub(lambda match: arguments.get(match[1], match[0]), text)

    def words(element: Element) -> Element:
        children = (
            words(child) if isinstance(child, Element) else replace(child, value=put(child.value))
            for child in element.children
        )
        return replace(element, children=tuple(children))

    if missing := [name for name in step.takes if name not in arguments]:
        raise UnfoldingError(
            Diagnostic(
                "U104",
                f"the step “{step.name}” wants to know “{missing[0]}”",
                do.span,
                (said_how(missing[0]),),
                ((step.element.span, "it is defined here"),),
            )
        )
    return words(
        mapped(step.element, lambda _, attribute: attribute.rewritten(put(attribute.value)))
    )


def _weight(step: Definition, steps: Steps) -> int:
    """How many frames a step is at the least, told without unfolding it."""
    weights: dict[str, int] = {}
    for one in inner_first((step.name,), steps):
        own = sum(element.name == "frame" for element in one.element.walk())
        inner = sum(
            (given(do, "times", int) or 1)
            * len(arguments_of(do, steps[required(do, "step", str)]))
            * weights[required(do, "step", str)]
            for do in dos(one.element)
        )
        weights[one.name] = 1 + own + inner
    return weights[step.name]


# ---------------------------------------------------------------- frames


def _at(frame: Element) -> At:
    return required(frame, "at", lexical.at)


def _shifted(timed: Timed, by: Fraction, before: Division, hand: Hand) -> Timed:
    time = timed.time + by
    moment = counted(time, hand)
    if before is hand.division and by.denominator == 1:
        at = _at(timed.frame)
        moment = replace(at, count=at.count + int(by) + hand.first - 1)
    return replace(timed, time=time, frame=_recounted(timed.frame, moment))


def counted(time: Fraction, hand: Hand) -> At:
    """A time as the line counts: with a syllable where its division has one, else a fraction."""
    count, part = int(time // 1) + hand.first, time % 1
    for syllable, where in SYLLABLES[hand.division].items():
        if where == part:
            return At(count, syllable)
    return At(count, fraction=part or None)


def _recounted(frame: Element, at: At) -> Element:
    return with_value(frame, "at", lexical.at_text(at))


def said_at(count: str, span: Span) -> Attribute:
    """The count of a frame that nobody typed."""
    return Attribute(MOMENT, count, count, span, span)


def with_value(element: Element, name: str, value: str) -> Element:
    """The element with another value in an attribute that it has."""
    return replace(
        element,
        attributes=tuple(
            one.rewritten(value) if one.name == name else one for one in element.attributes
        ),
    )


def _together(first: Element, second: Element) -> Element:
    """Two frames of one moment as one: all that both say, and the texts of both in each lane."""
    both, names = (*first.elements, *second.elements), text_names()
    spoken = [child for child in both if child.name in names.elements and not child.attributes]
    rest = [child for child in both if child not in spoken]
    at = [one for one in first.attributes if one.name == MOMENT]
    said = (_both_say(name, first, second) for name in (*names.attributes, DOES, PROMISE))
    labels = [one for one in said if one]
    texts = [_one_text(child for child in spoken if child.name == name) for name in names.elements]
    return replace(first, attributes=(*at, *labels), children=(*rest, *chain(*texts)))


def _both_say(name: str, first: Element, second: Element) -> Attribute | None:
    """What two frames say in one attribute, each thing once."""
    said = [one for frame in (first, second) if (one := frame.get(name))]
    words = dict.fromkeys(one.value for one in said)
    return said[0].rewritten(", ".join(words)) if said else None


def _one_text(spoken: Iterable[Element]) -> tuple[Element, ...]:
    """Running texts of one lane as one; those that say more than words are left as they are."""
    texts = tuple(spoken)
    if len(texts) < 2:
        return texts
    first, second = texts
    joined = (*first.children, Text("; ", second.span), *second.children)
    return (replace(first, children=joined),)
