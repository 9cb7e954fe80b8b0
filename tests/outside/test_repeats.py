"""Repeats, endings, da capo and dal segno: our order of bars against music21's.

Source: music21 (repeat.Expander), a library for computer-aided musicology, given
the same structures as bar lines, brackets and marks of printed music. Every bar
is a phrase of its own, named by its number; nothing but the order is compared.
music21 10.5 forgets the brackets of endings where there is a jump too, so that
the two are compared apart, and the one form with both is worked out by hand.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, field
from typing import Any

from hypothesis import given, settings
from hypothesis import strategies as st
from music21 import bar, meter, note, pitch, repeat, spanner, stream

from stavebound.source.rules import NAMESPACE
from tests.sources import score_of

MOST_ENDINGS = 3
LOWEST = 30


@dataclass(frozen=True, slots=True)
class Section:
    """So many bars, danced once or repeated; endings by how many bars each has."""

    bars: int
    times: int = 1
    endings: tuple[int, ...] = ()


@dataclass(frozen=True, slots=True)
class Jump:
    """Da capo, or dal segno to the section of that index; the end stands after a section."""

    end: str
    after: int
    segno: int | None = None
    repeats: bool = False


@dataclass(frozen=True, slots=True)
class Form:
    sections: tuple[Section, ...]
    jump: Jump | None = None
    coda: int = field(default=0)


@st.composite
def sections(draw: st.DrawFn) -> Section:
    bars = draw(st.integers(1, 3))
    if draw(st.booleans()):
        return Section(bars)
    if draw(st.booleans()):
        return Section(bars, draw(st.integers(2, 3)))
    endings = draw(st.lists(st.integers(1, 2), min_size=2, max_size=MOST_ENDINGS))
    return Section(bars, len(endings), tuple(endings))


@st.composite
def forms(draw: st.DrawFn) -> Form:
    parts = draw(st.lists(sections(), min_size=1, max_size=4))
    if draw(st.booleans()):
        return Form(tuple(parts))
    end = draw(st.sampled_from(["fine", "coda"]))
    after = draw(st.integers(0, len(parts) - 1))
    segno = draw(st.none() | st.integers(0, after))
    # What follows the end has to be there, and the jump stands on a bar of its own.
    parts = [*(Section(part.bars, part.times) for part in parts), Section(1)]
    jump = Jump(end, after, segno, draw(st.booleans()))
    return Form(tuple(parts), jump, draw(st.integers(1, 2)) if end == "coda" else 0)


# ---------------------------------------------------------------- ours


def text_of(form: Form) -> str:
    """The form as a score, every bar a phrase of one count whose step is its number."""
    numbers = iter(range(1, 1000))

    def bars(many: int) -> str:
        return "".join(
            f'<phrase counts="1"><frame at="1" step="{next(numbers)}"/></phrase>'
            for _ in range(many)
        )

    text = ""
    for index, section in enumerate(form.sections):
        text += "<segno/>" if form.jump and form.jump.segno == index else ""
        body = bars(section.bars)
        body += "".join(f"<ending>{bars(many)}</ending>" for many in section.endings)
        times = section.times
        text += f'<repeat times="{times}">{body}</repeat>' if times > 1 else body
        if form.jump and form.jump.after == index:
            text += "<fine/>" if form.jump.end == "fine" else "<to-coda/>"
    if form.jump:
        name = "da-capo" if form.jump.segno is None else "dal-segno"
        again = "yes" if form.jump.repeats else "no"
        text += f'<{name} to="{form.jump.end}" repeats="{again}"/>'
        text += f"<coda/>{bars(form.coda)}" if form.coda else ""
    music = '<music metre="1/4" counts-per-bar="1"/>'
    return f'<score xmlns="{NAMESPACE}" title="Form">{music}{text}</score>'


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
