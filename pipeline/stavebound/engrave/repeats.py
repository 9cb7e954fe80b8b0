"""Repeats: brackets of endings, segno, coda and words, in rows over all that is under them.

In: what stands at the bars of a line, the anchors of their bar lines, and all ink of the line.
Out: marks and texts at their places. What begins with a bar stands right of its bar line, what
ends with one left of it; brackets of one line stand at one height, and so do marks and
words, in further rows only where they would run into each other.

                              To Coda ⊕          D.S. al Coda     marks and words
       ┌1.──────────┐┌2.────────                                   brackets
       │  1    2   :‖   1    2   │
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, replace
from itertools import groupby

from stavebound.drawing.figures import Figure, stroke
from stavebound.engrave.outline import outline, sign_box
from stavebound.engrave.parts import text_box
from stavebound.engrave.style import Setting
from stavebound.engrave.system import PlacedMark, PlacedText
from stavebound.engrave.texts import set_text, text_slant, text_weight
from stavebound.geometry import Box, union
from stavebound.score.form import TWICE, BarForm, Leap
from stavebound.trade.repeats import RepeatWords
from stavebound.trade.tables import Sign

Anchors = tuple[float, float]
Placed = PlacedMark | PlacedText

# Items that have just the room they need are free of each other.
ROUNDING = 1e-6
# The lane of all texts of repeats.
LANE = "repeat"


@dataclass(frozen=True, slots=True)
class _Item:
    """A sign, a word, or a word with a sign after it, around the middle of its row."""

    inks: tuple[Placed, ...]
    box: Box

    def moved(self, dy: float) -> _Item:
        return _Item(tuple(_moved(ink, dy) for ink in self.inks), self.box.moved(0.0, dy))


def above_bars(
    bars: Sequence[BarForm],
    before: tuple[int, ...],
    anchors: Sequence[Anchors],
    inks: Iterable[Box],
    setting: Setting,
) -> tuple[tuple[PlacedMark, ...], tuple[PlacedText, ...]]:
    """`anchors` are those of the bar lines on either side of every bar, `before` the times of
    the ending in the bar before the line."""
    boxes = tuple(inks)
    brackets = tuple(_brackets(bars, before, anchors, boxes, setting))
    below = (*boxes, *(_box(ink, setting) for ink in brackets))
    items = [
        item for bar, ends in zip(bars, anchors, strict=True) for item in _items(bar, ends, setting)
    ]
    placed = (*brackets, *_in_rows(items, below, setting))
    return (
        tuple(one for one in placed if isinstance(one, PlacedMark)),
        tuple(one for one in placed if isinstance(one, PlacedText)),
    )


def room_of(form: BarForm, setting: Setting) -> float:
    """How much room over the bar its widest mark or word needs."""
    items = _items(form, (0.0, 0.0), setting)
    widths = (item.box.width for item in items)
    return max((width + 2 * setting.catalogue.repeats.row.inset for width in widths), default=0.0)


# ---------------------------------------------------------------- brackets


def _brackets(
    bars: Sequence[BarForm],
    before: tuple[int, ...],
    anchors: Sequence[Anchors],
    inks: Sequence[Box],
    setting: Setting,
) -> Iterator[Placed]:
    row, inset = setting.catalogue.repeats.bracket, setting.catalogue.repeats.row.inset
    runs = []
    for of, group in groupby(range(len(bars)), key=lambda at: bars[at].ending):
        own = tuple(group)
        if of:
            runs.append((of, own, anchors[own[0]][0] + inset, anchors[own[-1]][1] - inset))
    if not runs:
        return
    y = row.white + row.hook + max(_top(left, right, inks) for _, _, left, right in runs)
    for of, own, left, right in runs:
        hooks = own[0] > 0 or before != of, bars[own[-1]].closed
        yield _bracket(left, right, y, hooks, setting)
        if hooks[0]:
            text = " ".join(f"{time}." for time in of)
            yield set_text(LANE, text, setting).at(left + row.number, y + row.baseline)


def _bracket(
    left: float, right: float, y: float, hooks: tuple[bool, bool], setting: Setting
) -> PlacedMark:
    row = setting.catalogue.repeats.bracket
    half = row.line / 2
    figures = [stroke(left, y, right, y, row.line)]
    for x, hook in zip((left + half, right - half), hooks, strict=True):
        if hook:
            figures.append(stroke(x, y - row.hook, x, y + half, row.line))
    low = y - (row.hook if any(hooks) else half)
    return PlacedMark("bracket", tuple(figures), Box(left, low, right, y + half), "bracket")


def _top(left: float, right: float, inks: Iterable[Box]) -> float:
    """How high the ink reaches between two places."""
    return max(box.top for box in inks if box.left < right and left < box.right)


# ---------------------------------------------------------------- marks and words


def _items(form: BarForm, ends: Anchors, setting: Setting) -> Iterator[_Item]:
    repeats = setting.catalogue.repeats
    inset, words = repeats.row.inset, repeats.words
    for name in form.before:
        row = _sign(name, setting)
        yield _item((_mark(row, ends[0] + inset - sign_box(row).left),), setting)
    right = ends[1] - inset
    if form.closes > TWICE:
        yield _item((_word(f"{words.times}{form.closes}", right, setting),), setting)
    for name in form.after:
        if name == "fine":
            yield _item((_word(words.fine, right, setting),), setting)
        else:
            sign = _mark(_sign("coda", setting), right - sign_box(_sign("coda", setting)).right)
            word = _word(words.to_coda, sign.box.left - repeats.row.gap, setting)
            yield _item((word, sign), setting)
    if form.leap:
        yield _item((_word(leap_text(form.leap, words), right, setting),), setting)


def leap_text(leap: Leap, words: RepeatWords) -> str:
    """A jump in words."""
    back = words.da_capo if leap.name == "da-capo" else words.dal_segno
    to = {"fine": words.al_fine, "coda": words.al_coda}[leap.to] if leap.to else ""
    return f"{back}{to}{words.repeats if leap.repeats else ''}"


def _in_rows(items: Sequence[_Item], below: Sequence[Box], setting: Setting) -> Iterator[Placed]:
    """All in the first row in which they are free, the rows over everything below them."""
    if not items:
        return
    row, gap = setting.catalogue.repeats.row, setting.style.distance("text gap")
    lowest = max(
        _top(item.box.left, item.box.right, below) + row.white - item.box.bottom for item in items
    )
    taken: list[_Item] = []
    for item in items:
        placed = item.moved(lowest)
        while under := [one.box.top for one in taken if _meet(placed, one, gap)]:
            placed = placed.moved(max(under) + gap - placed.box.bottom)
        taken.append(placed)
        yield from placed.inks


def _meet(one: _Item, other: _Item, gap: float) -> bool:
    """Whether they are nearer than the gap; those that are just so far apart do not meet."""
    return one.box.grown(gap / 2 - ROUNDING).overlaps(other.box.grown(gap / 2 - ROUNDING))


def _item(inks: tuple[Placed, ...], setting: Setting) -> _Item:
    return _Item(inks, union(_box(ink, setting) for ink in inks))


def _sign(name: str, setting: Setting) -> Sign:
    return next(row for row in setting.catalogue.repeats.sign if row.name == name)


def _mark(row: Sign, x: float) -> PlacedMark:
    figures = tuple(figure.moved(x, 0.0) for figure in outline(row))
    return PlacedMark(row.name, figures, sign_box(row).moved(x, 0.0), "mark")


def _word(text: str, right: float, setting: Setting) -> PlacedText:
    """A word that ends at `right`, its capitals around the middle of the row."""
    word = set_text(LANE, text, setting)
    row, faces = word.row, setting.faces
    capitals = faces.cap_height(word.size, text_slant(row), text_weight(row))
    return word.at(right - word.width, -capitals / 2)


def _moved(ink: Placed, dy: float) -> Placed:
    if isinstance(ink, PlacedText):
        return ink._replace(y=ink.y + dy)
    figures: tuple[Figure, ...] = tuple(figure.moved(0.0, dy) for figure in ink.figures)
    return replace(ink, figures=figures, box=ink.box.moved(0.0, dy))


def _box(ink: Placed, setting: Setting) -> Box:
    return text_box(ink, setting) if isinstance(ink, PlacedText) else ink.box
