"""The signs of repeats as the notator's shorthand.

In: what stands at the bars of a score, as it was read, and its phrases. Out: the phrases
with repeats, endings, marks and jumps around them.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from stavebound.score.form import TWICE, BarForm, FormError, expanded
from stavebound.score.model import Phrase
from stavebound.score.shorthand import Ended, Repeated, Said, Stands


def shorthand(
    phrases: Sequence[Phrase], starts: Sequence[int], bars: Sequence[BarForm]
) -> tuple[Said, ...]:
    """`starts` are the bars with which the phrases begin. FormError where the signs tell no
    order, or none of whole phrases."""
    expanded(bars)
    ends = (*starts[1:], len(bars))
    begun = {at for at in range(len(bars)) if _begins(bars, at)}
    ended = {at + 1 for at in range(len(bars)) if _ends(bars, at)}
    if not (begun <= {*starts} and ended <= {*ends}):
        raise FormError("a repeat begins or ends inside a phrase")
    open_parts: list[list[Said]] = [[]]
    for phrase, start, end in zip(phrases, starts, ends, strict=True):
        first, last = bars[start], bars[end - 1]
        open_parts[-1] += map(Stands, first.before)
        open_parts += ([] for begins in (first.opens, _begins_ending(bars, start)) if begins)
        open_parts[-1].append(phrase)
        for closed in _closed(bars, end - 1):
            inner = tuple(open_parts.pop())
            open_parts[-1].append(_around(inner, last, closed))
        open_parts[-1] += map(Stands, last.after)
        open_parts[-1] += (last.leap,) if last.leap else ()
    return tuple(open_parts[0])


def _around(parts: tuple[Said, ...], last: BarForm, what: type[Ended | Repeated]) -> Said:
    if what is Ended:
        return Ended(last.ending, parts)
    with_endings = any(isinstance(part, Ended) for part in parts)
    return Repeated(parts, TWICE if with_endings else last.closes)


def _begins(bars: Sequence[BarForm], at: int) -> bool:
    return bars[at].opens or bool(bars[at].before) or _begins_ending(bars, at)


def _begins_ending(bars: Sequence[BarForm], at: int) -> bool:
    ending = bars[at].ending
    return bool(ending) and (at == 0 or bars[at - 1].ending != ending)


def _ends(bars: Sequence[BarForm], at: int) -> bool:
    return bars[at].ends_a_part or bool(bars[at].after) or any(_closed(bars, at))


def _closed(bars: Sequence[BarForm], at: int) -> Iterator[type[Ended | Repeated]]:
    """What ends with a bar: an ending, then the repeat, of which it may be the last."""
    bar, following = bars[at], bars[at + 1] if at + 1 < len(bars) else BarForm()
    ended = bar.ending != following.ending
    if bar.ending and ended:
        yield Ended
    over = ended and (following.opens or not following.ending) if bar.ending else bar.closes > 0
    if over:
        yield Repeated
