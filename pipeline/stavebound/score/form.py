"""Form: how the phrases of a score repeat, and in which order printed bars are danced.

In: nothing but values. `Form` tells of a written-out score which of its phrases are
danced again, and by what; `BarForm` is what stands at a printed bar. Out: the order in
which the printed bars are danced.

    ‖: 1 │ 2 │¹· 3 :‖²· 4 │ 5 Fine │ 6 D.C. al Fine     1 2 3 1 2 4 5 6 1 2 4 5
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from itertools import chain

from stavebound.score.origin import Origin, origin_field

TWICE = 2
# What stands where a jump ends, by its `to`.
LEAVES = {"fine": "fine", "coda": "to-coda"}
# The marks that stand where a bar begins; all others stand where one ends.
BEFORE = ("segno", "coda")


@dataclass(frozen=True, slots=True)
class Ending:
    """How a repeat ends the times `of`: so many phrases, the first counted from the repeat's."""

    of: tuple[int, ...]
    first: int
    phrases: int


@dataclass(frozen=True, slots=True)
class Repeat:
    """A repeat in a written-out score, from its phrase number `first` on.

    `danced` tells of each of its phrases as which it was danced first, counted from `first`;
    its `body` phrases come before the endings.
    """

    first: int
    danced: tuple[int, ...]
    body: int
    times: int
    endings: tuple[Ending, ...] = ()
    origin: Origin = origin_field()


@dataclass(frozen=True, slots=True)
class Mark:
    """segno, fine, to-coda or coda, before the phrase number `at` of a written-out score."""

    name: str
    at: int
    origin: Origin = origin_field()


@dataclass(frozen=True, slots=True)
class Leap:
    """da-capo or dal-segno; to the fine, the coda, or to itself (None)."""

    name: str
    to: str | None = None
    repeats: bool = False


@dataclass(frozen=True, slots=True)
class Jump:
    """A leap behind the phrases before `at`; `danced` tells of each phrase from there on that
    it dances as which it was danced before."""

    leap: Leap
    at: int
    danced: tuple[int, ...]
    origin: Origin = origin_field()


@dataclass(frozen=True, slots=True)
class Form:
    """How a written-out score repeats, in the order of time."""

    repeats: tuple[Repeat, ...] = ()
    marks: tuple[Mark, ...] = ()
    jumps: tuple[Jump, ...] = ()


@dataclass(frozen=True, slots=True)
class BarForm:
    """What stands at a printed bar.

    `opens`: a repeat begins with it; `closes`: one ends with it, danced so many times, 0
    where none does. `ending`: the times of the bracket that it stands under; `closed` where
    the bracket ends with it in a hook. `before` are segno and coda, where it begins;
    `after` fine and to-coda, where it ends; `leap` the jump behind it.
    """

    opens: bool = False
    closes: int = 0
    ending: tuple[int, ...] = ()
    closed: bool = False
    before: tuple[str, ...] = ()
    after: tuple[str, ...] = ()
    leap: Leap | None = None

    @property
    def ends_a_part(self) -> bool:
        return self.leap is not None or "fine" in self.after

    def begins_anew(self, before: BarForm) -> bool:
        """Whether it may be danced after another bar than the one before it: where a repeat
        begins, or has ended, and at the coda."""
        return self.opens or before.closes > 0 or "coda" in self.before


def both(one: BarForm, other: BarForm) -> BarForm:
    """What two say of the same bar."""
    return BarForm(
        opens=one.opens or other.opens,
        closes=one.closes or other.closes,
        ending=one.ending or other.ending,
        closed=one.closed or other.closed,
        before=one.before + other.before,
        after=one.after + other.after,
        leap=one.leap or other.leap,
    )


def form_features(bars: Iterable[BarForm]) -> frozenset[str]:
    """What a reader must know to dance from these bars: `trade/repeats.toml` has a row in
    its key for each."""
    return frozenset(name for bar in bars for name in _features(bar))


def _features(bar: BarForm) -> Iterator[str]:
    yield from ("repeat",) if bar.opens else ()
    yield from ("times",) if bar.closes > TWICE else ()
    yield from ("ending",) if bar.ending else ()
    yield from (bar.leap.name,) if bar.leap else ()
    yield from (*bar.before, *bar.after)


def form_text(bar: BarForm) -> str:
    """What stands at a bar, in words."""
    leap = bar.leap
    said = (
        "a repeat that begins" if bar.opens else "",
        f"a repeat danced {bar.closes} times that ends" if bar.closes else "",
        f"an ending of time {' '.join(map(str, bar.ending))}" if bar.ending else "",
        "the end of its bracket" if bar.closed else "",
        *bar.before,
        *bar.after,
        f"{leap.name} to the {leap.to or 'same place'}" if leap else "",
        "with repeats" if leap and leap.repeats else "",
    )
    return ", ".join(filter(None, said)) or "no repeat"


class FormError(ValueError):
    """Signs that do not tell an order."""


@dataclass(frozen=True, slots=True)
class _Block:
    """Bars that are repeated, or one that is not."""

    body: range
    times: int = 1
    endings: tuple[tuple[tuple[int, ...], range], ...] = ()

    @property
    def end(self) -> int:
        return self.endings[-1][1].stop if self.endings else self.body.stop

    def danced(self, once: bool) -> Iterator[int]:
        """The bars in their order; `once` with the ending of the last time."""
        for time in (self.times,) if once else range(1, self.times + 1):
            yield from self.body
            if self.endings:
                yield from self._ending(time)

    def _ending(self, time: int) -> range:
        for times, bars in self.endings:
            if time in times:
                return bars
        raise FormError(f"time {time} of a repeat has no ending")


def expanded(bars: Sequence[BarForm]) -> tuple[int, ...]:
    """The indices of the bars in the order in which they are danced. FormError where the
    signs tell none."""
    blocks = tuple(_blocks(bars))

    def stretch(start: int, end: int, once: bool = False) -> Iterator[int]:
        own = (block for block in blocks if start <= block.body.start < end)
        return chain.from_iterable(block.danced(once) for block in own)

    leaps = [(at, bar.leap) for at, bar in enumerate(bars) if bar.leap]
    if len(leaps) > 1:
        raise FormError("there is more than one jump")
    if not leaps:
        return tuple(stretch(0, len(bars)))
    ((at, leap),) = leaps
    start = _where(bars, "segno") if leap.name == "dal-segno" else 0
    end = _where(bars, LEAVES[leap.to]) + 1 if leap.to else at + 1
    after = {"coda": lambda: _where(bars, "coda"), "fine": lambda: len(bars)}
    rest = after[leap.to]() if leap.to else at + 1
    once = not leap.repeats
    return (
        *stretch(0, at + 1),
        *stretch(start, end, once),
        *stretch(rest, len(bars)),
    )


def _where(bars: Sequence[BarForm], mark: str) -> int:
    found = [at for at, bar in enumerate(bars) if mark in (*bar.before, *bar.after)]
    if len(found) != 1:
        raise FormError(f"there is no {mark}" if not found else f"there are two signs of {mark}")
    return found[0]


def _blocks(bars: Sequence[BarForm]) -> Iterator[_Block]:
    at = 0
    while at < len(bars):
        bar = bars[at]
        if bar.opens:
            block = _repeated(bars, at)
        elif bar.closes or bar.ending:
            raise FormError("a repeat ends that does not begin")
        else:
            block = _Block(range(at, at + 1))
        yield block
        at = block.end


def _repeated(bars: Sequence[BarForm], start: int) -> _Block:
    at = start
    while at < len(bars) and not bars[at].ending:
        if bars[at].opens and at > start:
            break
        at += 1
        if bars[at - 1].closes:
            return _Block(range(start, at), bars[at - 1].closes)
    endings = tuple(_endings(bars, at))
    if at == start or not endings:
        raise FormError("a repeat begins that does not end")
    times = max(time for of, _ in endings for time in of)
    return _Block(range(start, at), times, endings)


def _endings(bars: Sequence[BarForm], at: int) -> Iterator[tuple[tuple[int, ...], range]]:
    """Brackets side by side, each of other times; all but the last lead back."""
    last = 0
    while at < len(bars) and bars[at].ending and bars[at].ending[0] > last and not bars[at].opens:
        start, of = at, bars[at].ending
        while at < len(bars) and bars[at].ending == of and not (at > start and bars[at].opens):
            at += 1
        if bars[at - 1].closes == 0 and len(of) > 1:
            raise FormError("an ending of several times does not lead back")
        yield of, range(start, at)
        last = of[-1]
        if bars[at - 1].closes == 0:
            return
