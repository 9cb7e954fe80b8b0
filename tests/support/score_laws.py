"""What holds of every sound score, a function a law; each fails with an AssertionError.

A law may choose among what it could try, by `chance`.
"""

from __future__ import annotations

from dataclasses import replace
from fractions import Fraction
from random import Random

from stavebound.dance.danced import dance
from stavebound.dance.position import alike, position
from stavebound.diagnostics import Span, has_errors
from stavebound.score import lexical
from stavebound.score.counts import time_line
from stavebound.score.lanes import FacingChange
from stavebound.score.model import (
    ArmsChange,
    CentreChange,
    Division,
    ElbowChange,
    FeetChange,
    FootChange,
    Frame,
    HandChange,
    KneesChange,
    Phrase,
    Position,
    Score,
)
from stavebound.score.read import read_score
from stavebound.score.unfolding.exchange import in_reverse, other_side
from stavebound.score.unfolding.lines import shifted, time_of
from stavebound.score.unfolding.unfold import unfold
from stavebound.score.unfolding.values import Hand, Timed
from stavebound.score.write import write_score, write_start
from stavebound.source.document import Attribute, Element
from stavebound.wording.sentences import start_words
from tests.support.changes import in_words
from tests.support.sources import danced, score_faults, score_of, source_of, whole
from tests.support.staves import CATALOGUE, school_of

# Half of the last figure in which a place is written, and what halves of it come to.
HUNDREDTH = 0.0051

NOWHERE = Span("", 1, 1)
SPOKEN = (
    ArmsChange | HandChange | ElbowChange | FeetChange | FootChange | KneesChange | CentreChange
)


# ---------------------------------------------------------------- as it stands


def what_is_written_reads_back(score: Score, chance: Random) -> None:
    root = source_of(write_score(score)).root
    unfolded = unfold(root)
    assert unfolded.diagnostics == ()
    assert unfolded.value is not None
    assert read_score(unfolded.value.root) == read_score(root) == score


def a_position_that_is_printed_is_the_same_when_it_is_typed(score: Score, chance: Random) -> None:
    """As the start of another score, to the hundredth that can be written."""
    moments = dance(score, CATALOGUE, school_of(score)).moments
    pose = chance.choice(moments).after
    written = write_start(Position(position(pose, CATALOGUE, school_of(score))))
    typed = score_of(whole(written), "typed.xml")
    typed = replace(typed, school=score.school)
    start = dance(typed, CATALOGUE, school_of(score)).moments[0].after
    assert alike(start, pose, HUNDREDTH), written


def it_is_sound(score: Score, chance: Random) -> None:
    faults = score_faults(score, CATALOGUE, school_of(score))
    assert not has_errors(faults), faults


def bars_follow_one_another_and_fill_it(score: Score, chance: Random) -> None:
    line = time_line(score)
    assert line.bars[0].start == line.sections[0].start
    assert line.bars[-1].end == line.end
    assert all(bar.start < bar.end <= bar.due for bar in line.bars)
    assert all(one.end == two.start for one, two in zip(line.bars, line.bars[1:], strict=False))
    assert [bar.number for bar in line.bars] == list(
        range(line.bars[0].number, line.bars[0].number + len(line.bars))
    )
    assert sum(bar.number < 1 for bar in line.bars) == bool(score.upbeat)
    times = [event.time for event in line.events]
    assert times == sorted(set(times))
    assert not line.strays


def every_element_of_its_start_is_a_piece_of_a_sentence(score: Score, chance: Random) -> None:
    changes = score.start.changes if score.start else ()
    spoken = [change for change in changes if isinstance(change, SPOKEN | FacingChange)]
    school = school_of(score)
    told = start_words(score, school, school, CATALOGUE, "en")
    assert len(told.split("; ")) >= len(spoken)


# ---------------------------------------------------------------- danced another way


def changed_twice_it_is_as_it_was(score: Score, chance: Random) -> None:
    for change in (other_side, in_reverse):
        assert danced(danced(score, change), change) == score


def the_other_side_in_reverse_is_the_reverse_to_the_other_side(
    score: Score, chance: Random
) -> None:
    one = danced(danced(score, other_side), in_reverse)
    assert one == danced(danced(score, in_reverse), other_side)


def what_is_danced_again_is_the_same_so_much_later(score: Score, chance: Random) -> None:
    side, reverse = chance.choice(["other", None]), chance.choice([True, False])
    times = chance.randint(1, 3)
    score = in_words(score, school_of(score))
    number = len(score.phrases)
    words = f' side="{side}"' if side else ""
    words += ' reverse="yes"' if reverse else ""
    whole = write_score(score)
    again = f'<again phrases="{number}" times="{times}"{words}/></score>'
    unfolded = score_of(whole.replace("</score>", again))
    expected = danced(score, other_side) if side else score
    expected = danced(expected, in_reverse) if reverse else expected
    copies = tuple(_anonymous(phrase) for phrase in expected.phrases)
    assert unfolded.phrases == score.phrases + copies * times
    length = sum(phrase.counts for phrase in score.phrases)
    events = [event.time for event in time_line(score).events if event.time >= 0]
    later = [event.time for event in time_line(unfolded).events if event.time >= length]
    assert later == [time + length * k for k in range(1, times + 1) for time in events]


def _anonymous(phrase: Phrase) -> Phrase:
    bars = tuple(replace(bar, identity=None) for bar in phrase.bars)
    return replace(phrase, identity=None, bars=bars)


def bars_danced_again_are_those_frames_so_much_later(score: Score, chance: Random) -> None:
    line = time_line(score)
    bars = [bar for bar in line.bars if bar.number > 0]
    first = chance.randint(1, len(bars))
    last = chance.randint(first, len(bars))
    start, end = bars[first - 1].start, bars[last - 1].end
    whole = write_score(score).replace("</score>", f'<as bars="{first} to {last}"/></score>')
    later = time_line(score_of(whole))
    found = [
        (event.time - line.end + start, event.frame.changes, event.frame.step)
        for event in later.events
        if event.time >= line.end and _says_something(event.frame)
    ]
    assert found == [
        (event.time, event.frame.changes, event.frame.step)
        for event in line.events
        if start <= event.time < end and _says_something(event.frame)
    ]
    assert later.end == line.end + (end - start)


def _says_something(frame: Frame) -> bool:
    """A phrase in which all is held has an empty frame, where bars are taken out of another."""
    return bool(frame.changes or frame.texts)


# ---------------------------------------------------------------- written as steps


def steps_used_once_keep_every_moment_and_count(score: Score, chance: Random) -> None:
    unfolded = _unnamed(score_of(as_steps(score)))
    assert unfolded == score
    assert time_line(unfolded) == time_line(score)


def _unnamed(score: Score) -> Score:
    """The score without what it says of the steps that begin in its frames."""
    phrases = (
        replace(phrase, frames=tuple(replace(frame, does=None) for frame in phrase.frames))
        for phrase in score.phrases
    )
    return replace(score, phrases=tuple(phrases))


def as_steps(score: Score) -> str:
    """The score with every phrase written as a step and used once."""
    definitions, uses = [], []
    for number, phrase in enumerate(score.phrases):
        bare = replace(phrase, bars=(), phrasings=(), identity=None)
        definitions.append(_written(bare, "define", step=f"step {number}"))
        uses.append(_using(phrase, number))
    whole = write_score(score)
    first = whole.index("<phrase")
    rest = whole[whole.rindex("</phrase>") + len("</phrase>") :]
    return whole[:first] + "".join(definitions) + "".join(uses) + rest


def _written(phrase: Phrase, name: str = "phrase", **attributes: str) -> str:
    """A phrase as XML, as an element of another name if need be."""
    text = write_score(Score("x", (phrase,)))
    inner = text[text.index("<phrase") : text.rindex("</score>")].strip()
    extra = "".join(f' {key}="{value}"' for key, value in attributes.items())
    return inner.replace("<phrase", f"<{name}{extra}", 1).replace("</phrase>", f"</{name}>")


def _using(phrase: Phrase, number: int) -> str:
    text = _written(replace(phrase, frames=()))
    do = f'<do step="step {number}"/>'
    if text.endswith("/>") and "</phrase>" not in text:
        return f"{text[:-2]}>{do}</phrase>"
    return text.replace("</phrase>", f"{do}</phrase>")


def a_step_begun_later_keeps_the_time_between_its_frames(score: Score, chance: Random) -> None:
    """Also where the step divides its counts otherwise than the phrase that uses it."""
    division, late = chance.choice(list(Division)), Fraction(chance.randint(0, 36), 12)
    own = score.music.division if score.music else None
    phrase = score.phrases[0]
    before = Hand({}, phrase.division or own or Division.HALVES)
    after = Hand({}, division)
    frames = tuple(
        Timed(time_of(frame.at, before), _frame_element(lexical.at_text(frame.at)))
        for frame in phrase.frames
    )
    moved = shifted(frames, late, before.division, after)
    assert [one.time - late for one in moved] == [one.time for one in frames]
    assert [time_of(lexical.at(_value(one.frame, "at")), after) for one in moved] == [
        one.time for one in moved
    ]


def _frame_element(at: str) -> Element:
    return Element("frame", (Attribute("at", at, at, NOWHERE, NOWHERE),), (), NOWHERE)


def _value(element: Element, name: str) -> str:
    attribute = element.get(name)
    assert attribute is not None
    return attribute.value


SCORE_LAWS = (
    what_is_written_reads_back,
    a_position_that_is_printed_is_the_same_when_it_is_typed,
    it_is_sound,
    bars_follow_one_another_and_fill_it,
    every_element_of_its_start_is_a_piece_of_a_sentence,
    changed_twice_it_is_as_it_was,
    the_other_side_in_reverse_is_the_reverse_to_the_other_side,
    what_is_danced_again_is_the_same_so_much_later,
    bars_danced_again_are_those_frames_so_much_later,
    steps_used_once_keep_every_moment_and_count,
    a_step_begun_later_keeps_the_time_between_its_frames,
)
