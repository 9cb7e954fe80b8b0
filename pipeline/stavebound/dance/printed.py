"""Printed: a written-out score with its repeats left out again, and signs in their place.

In: a written-out score with its form, as it is danced. Out: a `Printed`: the `Danced` of the
score in which every later playing is left out, what stands at each of its bars, and which of
them every bar of the written-out score is. Always holds: danced as its signs say, it is the
written-out score.

A repeat or a jump stays written out where that would not be so: where a later playing would
be written in other signs than the first, as it begins in another position; where it does not
begin and end with bar lines, or some phrasing or turn lasts over its ends.
"""

from __future__ import annotations

from bisect import bisect_left
from collections.abc import Iterable, Iterator
from dataclasses import dataclass, replace
from itertools import pairwise

from stavebound.dance.danced import Danced, moments
from stavebound.dance.pose import Pose, Posed, Subject, joined
from stavebound.score.counts import Bar, Event, TimedPhrase, Timeline, phrased, time_line
from stavebound.score.form import (
    BEFORE,
    LEAVES,
    TWICE,
    BarForm,
    Form,
    FormError,
    Jump,
    Mark,
    Repeat,
    both,
    expanded,
)
from stavebound.score.lanes import TurnChange
from stavebound.score.model import CentrePart, Frame, Score, Side
from stavebound.score.origin import Origin

Repeating = Repeat | Jump
OTHERWISE = "it is not written alike each time, as the dancer begins in another position"
ANOTHER_ORDER = "signs would tell another order"
# Of a phrase: its counts, its bars, and its frames with how they are danced.
Look = tuple[object, ...]


@dataclass(frozen=True, slots=True)
class Printed:
    """`bars` has what stands at each bar that is printed, the first bar after an upbeat
    first, and `origins` which repeat or jump asks for it, else the score; `order` has the
    index of the printed bar for every bar of the written-out score, and `parts` the repeats
    and jumps that are printed as signs. Every frame is `danced` as it is danced first: an
    ending does not come from the one that is printed before it. `left` are the repeats and
    jumps that stay written out, and why."""

    danced: Danced
    bars: tuple[BarForm, ...]
    origins: tuple[Origin, ...]
    order: tuple[int, ...]
    parts: tuple[Repeating, ...] = ()
    left: tuple[tuple[Repeating, str], ...] = ()

    @property
    def score(self) -> Score:
        return self.danced.score


def written_out(danced: Danced) -> Printed:
    """The score as it is, without signs of repeats."""
    count = sum(bar.number >= 1 for bar in danced.timeline.bars)
    origins = (danced.score.origin,) * count
    return Printed(danced, (BarForm(),) * count, origins, tuple(range(count)))


def with_signs(danced: Danced) -> Printed:
    """Every repeat and jump printed as signs, but for those that would tell something else."""
    score, line = danced.score, danced.timeline
    looks = _looks(danced)
    parts = tuple(_parts(score.form))
    left = {part: why for part in parts if (why := _unfit(part, score, line))}
    while parts := tuple(part for part in parts if part not in left):
        first = _firsts(len(score.phrases), parts)
        wrong = [number for number, as_ in enumerate(first) if looks[number] != looks[as_]]
        found = None if wrong else _printed(danced, first, parts)
        if found:
            return replace(found, left=tuple(left.items()))
        left |= {part: OTHERWISE for number in wrong for part in _inside(number, parts)}
        left |= {} if wrong else {parts[-1]: ANOTHER_ORDER}
    return replace(written_out(danced), left=tuple(left.items()))


# ---------------------------------------------------------------- what can be printed as signs


def _parts(form: Form) -> Iterator[Repeating]:
    """What dances something more than once."""
    yield from (repeat for repeat in form.repeats if repeat.times > 1)
    yield from (jump for jump in form.jumps if jump.danced)


def _unfit(part: Repeating, score: Score, line: Timeline) -> str | None:
    """Why signs cannot tell it, whatever is danced; None where they can."""
    if isinstance(part, Repeat):
        if not _has_endings(part):
            return "not every time has its ending, in the order of the times"
    elif len(score.form.jumps) > 1:
        return "there are several jumps"
    elif score.upbeat and part.leap.name == "da-capo":
        return "an upbeat is not danced again"
    elif not _lands(part, len(score.phrases), score.form.marks):
        return "nothing follows that it could lead to"
    if not _at_bar_lines(part, score, line):
        return "it does not begin and end with bar lines, or something lasts over one of them"
    return None


def _has_endings(repeat: Repeat) -> bool:
    """Whether brackets tell its endings: in their order, the last of them for the last time."""
    times = [time for ending in repeat.endings for time in ending.of]
    last = repeat.endings[-1].of if repeat.endings else ()
    in_order = times == list(range(1, repeat.times + 1))
    return not repeat.endings or (in_order and len(last) == 1 and repeat.body > 0)


def _lands(jump: Jump, phrases: int, marks: Iterable[Mark]) -> bool:
    """Whether there is a phrase at whatever the jump goes to."""
    after = jump.at + len(jump.danced)
    return jump.leap.to != "coda" or any(
        mark.name == "coda" and mark.at == after < phrases for mark in marks
    )


def _reach(part: Repeating) -> tuple[int, int]:
    """The phrases of a repeat; those that a jump dances once more."""
    start = part.first if isinstance(part, Repeat) else part.at
    return start, start + len(part.danced)


def _seams(part: Repeating, form: Form) -> Iterator[int]:
    """Before which phrases its signs stand, or what is danced before them changes."""
    yield from _reach(part)
    if isinstance(part, Jump):
        yield from (mark.at for mark in form.marks)
        return
    for number, (one, other) in enumerate(pairwise(part.danced), part.first + 1):
        if other != one + 1:
            yield number
    for ending in part.endings:
        yield from (part.first + ending.first, part.first + ending.first + ending.phrases)


def _at_bar_lines(part: Repeating, score: Score, line: Timeline) -> bool:
    """Whether all its seams are bar lines, and no phrasing and no turn goes over one."""
    sections = _phrases(score, line)
    lines = {bar.start for bar in line.bars} | {line.bars[-1].due}
    seams = set(_seams(part, score.form))
    over = {id(one.ends_in) for one in phrased(line) if one.ends_in is not one.begins_in}
    over |= {id(event.section) for event in line.events if _begins_before(event)}
    return all(
        (sections[seam].start if seam < len(sections) else line.end) in lines
        and (seam >= len(sections) or id(sections[seam]) not in over)
        for seam in seams
    )


def _begins_before(event: Event) -> bool:
    """Whether a turn at a frame begins before its phrase."""
    turns = (one for one in event.frame.changes if isinstance(one, TurnChange) and one.lasts)
    return any(event.time - (turn.lasts or 0) < event.section.start for turn in turns)


# ---------------------------------------------------------------- what is printed once


def _firsts(phrases: int, parts: Iterable[Repeating]) -> tuple[int, ...]:
    """For every phrase the one that is printed for it."""
    first = list(range(phrases))
    for part in parts:
        start, _ = _reach(part)
        base = start if isinstance(part, Repeat) else 0
        for number, as_ in enumerate(part.danced, start):
            first[number] = first[base + as_]
    return tuple(first)


def _inside(number: int, parts: Iterable[Repeating]) -> Iterator[Repeating]:
    """What leaves a phrase out."""
    for part in parts:
        start, end = _reach(part)
        if start <= number < end:
            yield part


def _looks(danced: Danced) -> tuple[Look, ...]:
    """How every phrase looks: two that look alike are danced alike."""
    line, by_section = danced.timeline, dict[int, list[object]]()
    for event, posed in zip(line.events, danced.poses[1:], strict=True):
        own = by_section.setdefault(id(event.section), [])
        own.append((event.time - event.section.start, _plain(event.frame), _said(posed)))
    sections = _phrases(danced.score, line)
    return tuple(
        (
            section.phrase.counts,
            section.phrase.phrasings,
            tuple(_bars_from(section, line.bars)),
            tuple(by_section.get(id(section), ())),
        )
        for section in sections
    )


def _plain(frame: Frame) -> Frame:
    """What a frame prints beside its signs, which follow from the pose."""
    return replace(frame, changes=())


def _bars_from(section: TimedPhrase, bars: Iterable[Bar]) -> Iterator[tuple[object, ...]]:
    for bar in bars:
        if section.start <= bar.start < section.end:
            metre = bar.said.metre if bar.said else None
            yield bar.start - section.start, bar.due - bar.start, metre


def _said(posed: Posed) -> tuple[object, ...]:
    """All on which the signs of a moment depend."""
    subjects = tuple(subject for subject, _ in posed.written)
    return (
        subjects,
        tuple(_held(subject, posed.pose) for subject in subjects),
        posed.moves,
        tuple(_held(move.subject, posed.before) for move in posed.moves),
        posed.turn,
        posed.travel,
    )


def _held(subject: Subject, pose: Pose) -> object:
    match subject.kind, subject.side:
        case "hand", Side() as side:
            return pose.hands.of(side), joined(pose.hands.right, pose.hands.left)
        case "elbow", Side() as side:
            return pose.elbows.of(side)
        case "knee", Side() as side:
            return pose.knees.of(side), pose.feet
        case "foot" | "feet", _:
            return pose.feet
        case "facing", _:
            return pose.facing
        case ("head" | "body" | "hips") as part, _:
            return pose.attitude(CentrePart(part))
    return None


# ---------------------------------------------------------------- signs at bars


def _printed(
    danced: Danced, first: tuple[int, ...], parts: tuple[Repeating, ...]
) -> Printed | None:
    """None where the signs would tell another order than the one danced."""
    score = danced.score
    kept = tuple(number for number, as_ in enumerate(first) if number == as_)
    printed = replace(score, phrases=tuple(score.phrases[number] for number in kept))
    line = time_line(printed)
    ours = dict(zip(kept, _spans(printed, line), strict=True))
    spans = tuple(ours[number] for number in first)
    bars = [BarForm()] * ours[kept[-1]].stop
    origins = [score.origin] * len(bars)
    for part in parts:
        for at, sign in _signs(part, score.form, spans):
            bars[at] = both(bars[at], sign)
            origins[at] = part.origin
    order = tuple(at for span in spans for at in span)
    alike = [len(span) for span in _spans(score, danced.timeline)] == [len(span) for span in spans]
    try:
        found = expanded(bars)
    except FormError:
        return None
    if not alike or found != order:
        return None
    ours_danced = _of(printed, line, danced, first)
    return Printed(ours_danced, tuple(bars), tuple(origins), order, parts)


def _of(score: Score, line: Timeline, danced: Danced, first: tuple[int, ...]) -> Danced:
    """What is left of the dance: the poses are those of the whole."""
    sections = _phrases(danced.score, danced.timeline)
    out = {id(sections[number]) for number, as_ in enumerate(first) if number != as_}
    poses = (
        moment.posed
        for moment in danced.moments
        if moment.event is None or id(moment.event.section) not in out
    )
    return replace(danced, score=score, timeline=line, lines=(moments(score, line, poses),))


def _phrases(score: Score, line: Timeline) -> tuple[TimedPhrase, ...]:
    """The sections of the phrases, without that of an upbeat."""
    return line.sections[len(line.sections) - len(score.phrases) :]


def _spans(score: Score, line: Timeline) -> tuple[range, ...]:
    """The indices of the bars that begin in each phrase."""
    starts = [bar.start for bar in line.bars if bar.number >= 1]
    return tuple(
        range(bisect_left(starts, section.start), bisect_left(starts, section.end))
        for section in _phrases(score, line)
    )


def _signs(part: Repeating, form: Form, spans: tuple[range, ...]) -> Iterator[tuple[int, BarForm]]:
    """What a repeat or a jump puts at the bars, by the bars of every phrase."""
    if isinstance(part, Jump):
        yield from _signs_of_jump(part, form, spans)
        return
    yield spans[part.first].start, BarForm(opens=True)
    if not part.endings:
        last = spans[part.first + part.body - 1].stop - 1
        yield last, BarForm(closes=part.times)
    for ending in part.endings:
        start = part.first + ending.first
        own = range(spans[start].start, spans[start + ending.phrases - 1].stop)
        for at in own:
            yield at, BarForm(ending=ending.of)
        if part.times not in ending.of:
            yield own[-1], BarForm(closes=TWICE, closed=True)


def _signs_of_jump(
    jump: Jump, form: Form, spans: tuple[range, ...]
) -> Iterator[tuple[int, BarForm]]:
    yield spans[jump.at - 1].stop - 1, BarForm(leap=jump.leap)
    wanted = {"segno"} if jump.leap.name == "dal-segno" else set()
    wanted |= {LEAVES[jump.leap.to], jump.leap.to} if jump.leap.to else set()
    for mark in form.marks:
        if mark.name not in wanted:
            continue
        if mark.name in BEFORE:
            yield spans[mark.at].start, BarForm(before=(mark.name,))
        else:
            yield spans[mark.at - 1].stop - 1, BarForm(after=(mark.name,))
