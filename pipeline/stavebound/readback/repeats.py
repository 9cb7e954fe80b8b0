"""Repeats: what stands at every bar of a line where something is danced again.

In: the bar lines, and the brackets, signs and words over them. Out: a `BarForm` for all that
lies between two bar lines, from the left end of the stave on; faults for what stands at none.
Words are known by their letters and by where they end: at a bar line, left of it.

    bars    │:  0  │  1 :│:  2  ‖        0 begins at the left end
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, replace
from functools import cache
from itertools import product

from stavebound.faces import BOLD, Faces
from stavebound.readback.barlines import BarLineRead
from stavebound.readback.claims import ReadingKey, near
from stavebound.readback.stave import LINES
from stavebound.readback.table import RepeatWordsRow
from stavebound.readback.values import CONTINUED, Fault, ShapeRead, SignRead, Spot, TextRead
from stavebound.score.form import TWICE, BarForm, Leap, both

SIGNS = ("segno", "coda")
NUMBERS = re.compile(r"[1-9][0-9]?\.( [1-9][0-9]?\.)*")


@dataclass(frozen=True, slots=True)
class Over:
    """All ink over the stave that may belong to repeats."""

    shapes: tuple[ShapeRead, ...]
    signs: tuple[SignRead, ...]
    texts: tuple[TextRead, ...]


def is_bracket(shape: ShapeRead, key: ReadingKey) -> bool:
    """A level line of any length, or a hook, above the stave."""
    row, limit = key.table.repeats, key.table.tolerance
    if shape.kind != "stroke" or abs(shape.width - row.bracket) > limit.width:
        return False
    level = shape.angle <= limit.angle and shape.length > row.hook
    return shape.y > LINES - 1 and (level or _is_hook(shape, key))


def _is_hook(shape: ShapeRead, key: ReadingKey) -> bool:
    limit = key.table.tolerance
    upright = abs(shape.angle - 90) <= limit.angle
    return upright and abs(shape.length - key.table.repeats.hook) <= limit.length


def forms(
    ends: Sequence[Spot],
    lines: Sequence[BarLineRead],
    first: BarLineRead | None,
    over: Over,
    key: ReadingKey,
    faces: Faces,
) -> tuple[tuple[BarForm, ...], tuple[TextRead, ...], tuple[Fault, ...]]:
    """What stands at each of the bars, `ends` the anchors on either side of each and `first`
    the bar line at the left end where there is one; the texts that are left for others."""
    found = [BarForm(closes=TWICE * line.closes) for line in lines]
    for at, line in enumerate((first, *lines[:-1])[: len(found)]):
        if line and line.opens:
            found[at] = replace(found[at], opens=True)
    faults: list[Fault] = []
    texts = list(over.texts)
    for read in (
        _brackets(ends, over, texts, key),
        _signs(ends, over, texts, key, faces),
        _words(ends, texts, key, faces),
    ):
        for at, one in read:
            if isinstance(one, Fault):
                faults.append(one)
            elif one.closes and not found[at].closes:
                what = "it is said how often something is danced where no repeat ends"
                faults.append(Fault("unread", what, ends[at][1], LINES))
            elif one.closes:
                found[at] = replace(found[at], closes=one.closes)
            else:
                found[at] = both(found[at], one)
    faults += _bar_lines_at_odds(found, lines)
    return tuple(found), tuple(texts), tuple(faults)


def _bar_lines_at_odds(found: Sequence[BarForm], lines: Sequence[BarLineRead]) -> Iterator[Fault]:
    for form, line in zip(found, lines, strict=True):
        heavy = line.closes or line.opens or line.final
        if not heavy and line.double != form.ends_a_part:
            what = "a double bar line" if line.double else "a single bar line"
            yield Fault("unread", f"{what} where there should be another", line.anchor, 0)


# ---------------------------------------------------------------- brackets

Read = Iterator[tuple[int, BarForm | Fault]]


def _brackets(ends: Sequence[Spot], over: Over, texts: list[TextRead], key: ReadingKey) -> Read:
    row = key.table.repeats
    hooks = [shape for shape in over.shapes if _is_hook(shape, key)]
    for line in (shape for shape in over.shapes if not _is_hook(shape, key)):
        (left, y), (right, _) = line.ends
        starts = [at for at, end in enumerate(ends) if near(end[0] + row.inset, left, key)]
        stops = [at for at, end in enumerate(ends) if near(end[1] - row.inset, right, key)]
        height = y + row.bracket / 2 - row.hook / 2
        own = [
            next(
                (hook for hook in hooks if near(hook.x, x, key) and near(hook.y, height, key)), None
            )
            for x in (left + row.bracket / 2, right - row.bracket / 2)
        ]
        hooks = [hook for hook in hooks if hook not in own]
        at_number = left + row.number[0], y + row.number[1]
        number = next((text for text in texts if _is_number(text, at_number, key)), None)
        if not starts or not stops or bool(own[0]) != bool(number) or not (own[0] or not starts[0]):
            yield 0, Fault("unread", "a bracket that is that of no ending", line.x, line.y)
            continue
        of: tuple[int, ...] = CONTINUED
        if number:
            texts.remove(number)
            of = tuple(int(one) for one in number.letters.replace(".", "").split(" "))
        for at in range(starts[0], stops[0] + 1):
            yield at, BarForm(ending=of, closed=at == stops[0] and own[1] is not None)
    for hook in hooks:
        yield 0, Fault("shape", "a hook at the end of no bracket", hook.x, hook.y)


def _is_number(text: TextRead, at: tuple[float, float], key: ReadingKey) -> bool:
    here = near(text.xs[0], at[0], key) and near(text.y, at[1], key)
    return here and _is_upright(text) and NUMBERS.fullmatch(text.letters) is not None


def _is_upright(text: TextRead) -> bool:
    return text.weight == BOLD and not text.italic and len(text.xs) == 1


# ---------------------------------------------------------------- signs and words


def _signs(
    ends: Sequence[Spot], over: Over, texts: list[TextRead], key: ReadingKey, faces: Faces
) -> Read:
    row = key.table.repeats
    for sign in over.signs:
        left, right = sign.x - sign.wide / 2, sign.x + sign.wide / 2
        begins = [at for at, end in enumerate(ends) if near(end[0] + row.inset, left, key)]
        leaves = [at for at, end in enumerate(ends) if near(end[1] - row.inset, right, key)]
        word = next(
            (
                text
                for text in texts
                if text.letters == row.words.to_coda
                and _is_upright(text)
                and near(_end(text, faces), left - row.gap, key)
            ),
            None,
        )
        if sign.name == "coda" and leaves and word:
            texts.remove(word)
            yield leaves[0], BarForm(after=("to-coda",))
        elif begins and sign.y > LINES - 1:
            yield begins[0], BarForm(before=(sign.name,))
        else:
            yield 0, Fault("unread", f"a {sign.name} at no bar line", sign.x, sign.y)


def _words(ends: Sequence[Spot], texts: list[TextRead], key: ReadingKey, faces: Faces) -> Read:
    inset, words = key.table.repeats.inset, _said(key.table.repeats.words)
    for text in tuple(texts):
        said = words.get(text.letters) if _is_upright(text) and text.y > LINES - 1 else None
        x = _end(text, faces) if said else 0.0
        leaves = [at for at, end in enumerate(ends) if said and near(end[1] - inset, x, key)]
        if said and leaves:
            texts.remove(text)
            yield leaves[0], said


def _end(text: TextRead, faces: Faces) -> float:
    return text.xs[0] + faces.width(text.letters, text.size, weight=BOLD)


@cache
def _said(words: RepeatWordsRow) -> dict[str, BarForm]:
    """What every word that ends at a bar line says."""
    names = {"da-capo": words.da_capo, "dal-segno": words.dal_segno}
    ends = {None: "", "fine": words.al_fine, "coda": words.al_coda}
    leaps = {
        f"{names[name]}{ends[to]}{words.repeats if repeats else ''}": BarForm(
            leap=Leap(name, to, repeats)
        )
        for name, to, repeats in product(names, ends, (False, True))
    }
    times = {f"{words.times}{number}": BarForm(closes=number) for number in range(3, 100)}
    return {**leaps, **times, words.fine: BarForm(after=("fine",))}


def joined(lines: Iterable[Sequence[BarForm]]) -> tuple[BarForm, ...]:
    """The bars of several lines: an ending that comes from the line before is told there."""
    found: list[BarForm] = []
    for bar in (bar for line in lines for bar in line):
        before = found[-1].ending if found else ()
        found.append(replace(bar, ending=before) if bar.ending == CONTINUED else bar)
    return tuple(found)


def outside(signs: Iterable[SignRead]) -> tuple[SignRead, ...]:
    """The signs that stand at bar lines, and at no axis."""
    return tuple(sign for sign in signs if sign.name in SIGNS)
