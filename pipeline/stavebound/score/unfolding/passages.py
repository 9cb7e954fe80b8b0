"""Passages: phrases, what is danced again, and repeats with their endings.

In: a passage as it was written, and what has been danced before it. Out: the
phrases to which it unfolds.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import replace

from stavebound.diagnostics import Diagnostic
from stavebound.score.form import Ending, Repeat
from stavebound.score.model import Division
from stavebound.score.read import all_of, given
from stavebound.score.unfolding.again import again
from stavebound.score.unfolding.lines import leg, line_of
from stavebound.score.unfolding.stage import Stage, UnfoldedPhrases, once_more
from stavebound.score.unfolding.values import Hand, Passage, UnfoldedPhrase, UnfoldingError, fits
from stavebound.score.words import origin_of
from stavebound.source.document import Element


def piece_of(phrase: Element, stage: Stage, first: int = 1) -> UnfoldedPhrase:
    """A phrase or an upbeat with all its lines as one; `first` is the number of its first count."""
    division = given(phrase, "divide", Division) or stage.division
    working = leg(phrase, stage.working)
    line = line_of(phrase, Hand(stage.steps, division, working, first))
    counts = given(phrase, "counts", int) or 0
    bars, phrasings = all_of(phrase, "bar"), all_of(phrase, "phrasing")
    own = tuple(one for one in phrase.attributes if one.name != "working")
    element = replace(phrase, attributes=own, children=())
    return UnfoldedPhrase(element, counts, division, line, bars, phrasings, working, first)


def passage_of(element: Element, stage: Stage) -> Passage:
    """What a passage unfolds to. UnfoldingError where it asks for something that is not there."""
    if element.name == "repeat":
        return _repeated(element, stage)
    if element.name == "phrase":
        pieces: UnfoldedPhrases = (piece_of(element, stage),)
    else:
        pieces = again(element, stage)
    return Passage(pieces, pieces, tuple(range(len(pieces))))


def passages_of(elements: Iterable[Element], stage: Stage) -> Passage:
    """Several passages, one after the other."""
    full: UnfoldedPhrases = ()
    once: UnfoldedPhrases = ()
    once_as: tuple[int, ...] = ()
    for element in elements:
        passage = passage_of(element, stage.after(full))
        once_as += tuple(len(full) + number for number in passage.once_as)
        full, once = full + passage.full, once + passage.once
    return Passage(full, once, once_as)


# ---------------------------------------------------------------- repeats


def _repeated(element: Element, stage: Stage) -> Passage:
    """A repeat danced through all its times; after a jump, once with the ending of the last."""
    endings = _endings(element)
    times = given(element, "times", int) or max(endings, default=2)
    _every_time_ends(element, endings, times)
    body = passages_of((one for one in element.elements if one.name != "ending"), stage)
    fits(body.full, times, stage.danced, element.span)
    full, tail = body.full, Passage()
    danced = tuple(range(len(body.full)))
    found: dict[int, Ending] = {}
    for number in range(1, times + 1):
        if number > 1:
            full += once_more(body.full, element.span)
            danced += tuple(range(len(body.full)))
        ending = endings.get(number)
        tail = passages_of(ending.elements, stage.after(full)) if ending else Passage()
        of = tuple(time for time, one in sorted(endings.items()) if one is ending)
        first = found.setdefault(of[0], Ending(of, len(full), len(tail.full))) if of else None
        start = first.first if first else 0
        danced += tuple(range(start, start + len(tail.full)))
        full += once_more(tail.full, element.span) if of and of[0] < number else tail.full
    last = tuple(len(full) - len(tail.full) + at for at in tail.once_as)
    repeat = Repeat(0, danced, len(body.full), times, tuple(found.values()), origin_of(element))
    return Passage(full, body.once + tail.once, body.once_as + last, repeat)


def _endings(element: Element) -> dict[int, Element]:
    """The endings by the times that end with them."""
    found: dict[int, Element] = {}
    for ending in all_of(element, "ending"):
        said = ending.get("of")
        numbers = map(int, said.value.split()) if said else (max(found, default=0) + 1,)
        for number in numbers:
            if number in found:
                first = found[number].get("of") or found[number]
                raise UnfoldingError(
                    Diagnostic(
                        "U111",
                        f"two endings for time {number}",
                        (said or ending).span,
                        ("Keep one of them.",),
                        ((first.span, "the first one"),),
                    )
                )
            found[number] = ending
    return found


def _every_time_ends(element: Element, endings: dict[int, Element], times: int) -> None:
    """Where there are endings, every time has its own; the last may go on without one."""
    lacking = [number for number in range(1, times) if number not in endings]
    beyond = [number for number in endings if number > times]
    if endings and lacking:
        hint = (f'Write <ending of="{lacking[0]}">, or add the number to another ending.',)
        fault = Diagnostic("U111", f"time {lacking[0]} has no ending", element.span, hint)
        raise UnfoldingError(fault)
    if beyond:
        place = endings[beyond[0]].get("of") or endings[beyond[0]]
        message = f"there is no time {beyond[0]}: this is danced {times} times"
        hint = ("Give <repeat> more times, or take the number out of the ending.",)
        raise UnfoldingError(Diagnostic("U111", message, place.span, hint))
