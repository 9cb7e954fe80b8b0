"""The signs of repeats as the notator's shorthand.

In: what stands at the bars of a score, as it was read. Out: tags of the dialect before and
after bars, which stand around whole phrases.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass

from stavebound.score.form import TWICE, BarForm, FormError, Leap, expanded

Tags = Mapping[int, tuple[str, ...]]


@dataclass(frozen=True, slots=True)
class FormTags:
    """Tags by the bars before and after which they stand; `untold` where the signs tell no
    order, or none of whole phrases, and there are no tags."""

    before: Tags
    after: Tags
    untold: str = ""


def form_tags(bars: Sequence[BarForm], starts: Sequence[int]) -> FormTags:
    """`starts` are the bars with which phrases begin."""
    try:
        expanded(bars)
    except FormError as error:
        return FormTags({}, {}, str(error))
    before = {at: tags for at in range(len(bars)) if (tags := tuple(_before(bars, at)))}
    after = {at: tags for at in range(len(bars)) if (tags := tuple(_after(bars, at)))}
    seams = {*starts, len(bars)}
    if not {*before, *(at + 1 for at in after)} <= seams:
        return FormTags({}, {}, "a repeat begins or ends inside a phrase")
    return FormTags(before, after)


def _before(bars: Sequence[BarForm], at: int) -> Iterator[str]:
    bar = bars[at]
    yield from (f"<{mark}/>" for mark in bar.before)
    if bar.opens:
        ends = next(other for other in bars[at:] if other.closes or other.ending)
        times = ends.closes if not ends.ending else TWICE
        yield f'<repeat times="{times}">' if times > TWICE else "<repeat>"
    if bar.ending and (at == 0 or bars[at - 1].ending != bar.ending):
        yield f'<ending of="{" ".join(map(str, bar.ending))}">'


def _after(bars: Sequence[BarForm], at: int) -> Iterator[str]:
    bar, following = bars[at], bars[at + 1] if at + 1 < len(bars) else BarForm()
    ended = bar.ending != following.ending
    if bar.ending and ended:
        yield "</ending>"
    over = ended and (following.opens or not following.ending) if bar.ending else bar.closes
    if over:
        yield "</repeat>"
    yield from (f"<{mark}/>" for mark in bar.after)
    if bar.leap:
        yield _leap(bar.leap)


def _leap(leap: Leap) -> str:
    to = f' to="{leap.to}"' if leap.to else ""
    repeats = ' repeats="yes"' if leap.repeats else ""
    return f"<{leap.name}{to}{repeats}/>"
