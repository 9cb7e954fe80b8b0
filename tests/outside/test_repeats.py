"""Repeats, endings, da capo and dal segno: our order of bars against music21's.

Source: music21 (repeat.Expander), a library for computer-aided musicology, given
the same structures as bar lines, brackets and marks of printed music. Every bar
is a phrase of its own, named by its number; nothing but the order is compared.
music21 10.5 forgets the brackets of endings where there is a jump too, so that
the two are compared apart, and the one form with both is worked out by hand.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from typing import Any

from hypothesis import given, settings
from music21 import bar, meter, note, pitch, repeat, spanner, stream

from tests.support.forms import Form, Jump, Section, forms, text_of
from tests.support.sources import score_of

LOWEST = 30


# ---------------------------------------------------------------- ours


def danced(form: Form) -> list[int]:
    """The numbers of the bars in the order in which our score has them."""
    score = score_of(text_of(form))
    return [int(phrase.frames[0].step or 0) for phrase in score.phrases]


# ---------------------------------------------------------------- theirs


def expanded(form: Form) -> list[int]:
    """The numbers of the bars in the order in which music21 expands them."""
    part = stream.Part()
    ends: list[stream.Measure] = []
    starts: list[stream.Measure] = []
    for section in form.sections:
        body = _measures(part, section.bars)
        starts.append(body[0])
        if section.times > 1:
            body[0].leftBarline = bar.Repeat(direction="start")
        if section.times > 1 and not section.endings:
            body[-1].rightBarline = bar.Repeat(direction="end", times=section.times)
        for number, many in enumerate(section.endings, 1):
            ending = _measures(part, many)
            part.insert(0, spanner.RepeatBracket(ending, number=number))
            if number < len(section.endings):
                ending[-1].rightBarline = bar.Repeat(direction="end")
            body = ending
        ends.append(body[-1])
    if form.jump:
        _mark(part, form, form.jump, starts, ends)
    return [int(one.pitch.midi) - LOWEST for one in repeat.Expander(part).process().recurse().notes]


def _measures(part: stream.Part, many: int) -> list[stream.Measure]:
    found = []
    for _ in range(many):
        measure = stream.Measure(number=len(part.getElementsByClass("Measure")) + 1)
        if measure.number == 1:
            measure.timeSignature = meter.TimeSignature("2/4")
        # The expander numbers measures anew; a pitch tells which one it was.
        measure.append(note.Note(pitch.Pitch(midi=LOWEST + measure.number), type="half"))
        part.append(measure)
        found.append(measure)
    return found


def _mark(
    part: stream.Part,
    form: Form,
    jump: Jump,
    starts: Sequence[stream.Measure],
    ends: Sequence[stream.Measure],
) -> None:
    if jump.segno is not None:
        starts[jump.segno].insert(0, repeat.Segno())
    kinds: dict[tuple[str, bool], Callable[[], Any]] = {
        ("fine", True): repeat.DaCapoAlFine,
        ("coda", True): repeat.DaCapoAlCoda,
        ("fine", False): repeat.DalSegnoAlFine,
        ("coda", False): repeat.DalSegnoAlCoda,
    }
    command = kinds[jump.end, jump.segno is None]()
    command.repeatAfterJump = jump.repeats
    ends[-1].append(command)
    ends[jump.after].append(repeat.Fine() if jump.end == "fine" else repeat.Coda())
    if form.coda:
        _measures(part, form.coda)[0].insert(0, repeat.Coda())


# ---------------------------------------------------------------- one order


def test_a_form_by_hand_has_the_order_that_every_musician_dances() -> None:
    """Both sides by hand, so that they are not only held against each other."""
    repeated = Section(1, 2, (1, 1))
    al_fine = Form((Section(1), Section(1, 2), Section(1)), Jump("fine", 1))
    al_coda = Form((Section(1), Section(1), Section(1)), Jump("coda", 1, 1), 1)
    for order in (danced, expanded):
        assert order(Form((repeated,))) == [1, 2, 1, 3]
        assert order(al_fine) == [1, 2, 2, 3, 1, 2]
        assert order(al_coda) == [1, 2, 3, 2, 4]
    with_both = Form((Section(1), repeated, Section(1)), Jump("fine", 1))
    assert danced(with_both) == [1, 2, 3, 2, 4, 5, 1, 2, 4]


@settings(max_examples=60)
@given(forms())
def test_random_forms_have_the_order_that_music21_gives_them(form: Form) -> None:
    assert danced(form) == expanded(form)
