"""Jumps: da capo and dal segno, with segno, fine and coda.

In: the passages and marks of a score in their order. Out: all phrases as they
are danced. After a jump repeats are danced once, with the ending of the last
time, unless the jump says otherwise.

    │ A │ segno │ B │ fine │ C │ dal segno, to the fine │   A B C B
    │ A │ to the coda │ B │ da capo, to the coda │ coda │ C │   A B A C
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import replace

from stavebound.diagnostics import Diagnostic
from stavebound.score.form import LEAVES, Form, Jump, Leap, Mark, Repeat
from stavebound.score.read import given
from stavebound.score.unfolding.lines import says
from stavebound.score.unfolding.passages import passage_of
from stavebound.score.unfolding.stage import Stage, UnfoldedPhrases, once_more
from stavebound.score.unfolding.values import Passage, UnfoldingError, fits
from stavebound.score.words import origin_of
from stavebound.source.document import Attribute, Element

PASSAGES = ("phrase", "again", "as", "repeat")
MARKS = ("segno", "fine", "to-coda", "coda")
LOOKING_BACK = ("U107", "U108")
JUMPS = ("da-capo", "dal-segno")


def danced(
    items: Sequence[Element], stage: Stage
) -> tuple[UnfoldedPhrases, Form, tuple[Diagnostic, ...]]:
    """All phrases of a score in the order of time, how they repeat, and what could not be
    unfolded."""
    faults = list(_marks_faults(items))
    if faults:
        return (), Form(), tuple(faults)
    pieces: UnfoldedPhrases = ()
    passages: list[Passage] = []
    firsts: list[int] = []
    repeats: list[Repeat] = []
    jumps: list[Jump] = []
    broken = False
    for index, item in enumerate(items):
        passages.append(Passage())
        firsts.append(len(pieces))
        try:
            if item.name in PASSAGES:
                passages[-1] = passage_of(item, stage.after(pieces))
                pieces += passages[-1].full
                if repeat := passages[-1].repeat:
                    repeats.append(replace(repeat, first=firsts[-1]))
            elif item.name in JUMPS:
                again, numbers = _jumped(item, items[:index], passages, firsts)
                jumps.append(Jump(_leap(item), len(pieces), numbers, origin_of(item)))
                pieces += again
        except UnfoldingError as error:
            # Where a phrase is lost, what looks back on it finds nothing.
            if not (broken and error.fault.code in LOOKING_BACK):
                faults.append(error.fault)
            broken = broken or item.name in ("phrase", "repeat")
    marks = tuple(
        Mark(item.name, first, origin_of(item))
        for item, first in zip(items, firsts, strict=True)
        if item.name in MARKS
    )
    return pieces, Form(tuple(repeats), marks, tuple(jumps)), tuple(faults)


def _leap(jump: Element) -> Leap:
    return Leap(jump.name, given(jump, "to", str), says(jump, "repeats"))


def _jumped(
    jump: Element, before: Sequence[Element], passages: Sequence[Passage], firsts: Sequence[int]
) -> tuple[UnfoldedPhrases, tuple[int, ...]]:
    """What is danced once more from the mark on, up to where the jump goes; and as which of
    the phrases before it."""
    names = [item.name for item in before]
    start = names.index("segno") if jump.name == "dal-segno" else 0
    to = jump.get("to")
    end = names.index(LEAVES[to.value]) if to else len(names)
    stretch = passages[start:end]
    whole = says(jump, "repeats")
    pieces = tuple(
        piece for passage in stretch for piece in (passage.full if whole else passage.once)
    )
    numbers = tuple(
        first + number
        for passage, first in zip(stretch, firsts[start:end], strict=True)
        for number in (range(len(passage.full)) if whole else passage.once_as)
    )
    done = (piece for passage in passages for piece in passage.full)
    fits(pieces, 1, done, jump.span)
    return once_more(pieces, jump.span), numbers


def _marks_faults(items: Sequence[Element]) -> Iterable[Diagnostic]:
    """Marks that are there twice, and jumps that lead nowhere."""
    first: dict[str, Element] = {}
    for index, item in enumerate(items):
        if item.name in MARKS and first.setdefault(item.name, item) is not item:
            yield Diagnostic(
                "U113",
                f"there is a <{item.name}> already",
                item.span,
                ("A score can have one.",),
                ((first[item.name].span, "the first one"),),
            )
        if item.name in JUMPS:
            yield from _jump_faults(item, items[:index], items[index + 1 :])


def _jump_faults(
    jump: Element, before: Sequence[Element], after: Sequence[Element]
) -> Iterable[Diagnostic]:
    names = [item.name for item in before]
    to = jump.get("to")
    wanted = ["segno"] if jump.name == "dal-segno" else []
    wanted += [LEAVES[to.value]] if to else []
    for name in wanted:
        if name not in names:
            yield Diagnostic(
                "U113",
                f"there is no <{name}/> before this",
                (to if to and LEAVES[to.value] == name else jump).span,
                (f"Write <{name}/> between the phrases where it belongs.",),
            )
    if to and to.value == "coda" and (not after or after[0].name != "coda"):
        hint = ("Write <coda/> behind this, and the phrases of the coda behind that.",)
        yield Diagnostic("U113", "the coda does not follow", to.span, hint)
    if to and to.value == "fine" and (rest := [one for one in after if one.name in PASSAGES]):
        yield Diagnostic(
            "U113",
            "this is never danced: the dance has ended at the fine",
            rest[0].span,
            ("Put it before the jump, or take it out.",),
            ((jump.span, "the jump to the fine"),),
        )
    if to and {"segno", LEAVES[to.value]} == set(wanted) <= set(names):
        yield from _backwards(to, names)


def _backwards(to: Attribute, names: Sequence[str]) -> Iterable[Diagnostic]:
    """A dal segno whose end is before its segno."""
    end = LEAVES[to.value]
    if names.index(end) < names.index("segno"):
        hint = (f"Put <segno/> before <{end}/>.",)
        yield Diagnostic("U113", f"the <{end}/> is before the segno", to.span, hint)
