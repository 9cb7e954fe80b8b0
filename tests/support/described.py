"""The geometry of an engraved case in words that can be reviewed, so cut that one distance or
one cost changes few of them.

In: a score on paper. Out: three texts, in spaces of the stave to two places, and a picture:

    places    what stands at each frame and bar line, measured from it
    grid      where frames, bar lines and rows of text stand, and how far the ink reaches
    costs     what each line cost
    picture   all lines below each other, for whoever opens it

Whatever stands above the counts is measured from their row. Signs show by how much they were
moved for clearance; a stave's five rules, which differ in nothing but height, are one line.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass, field
from itertools import groupby

from stavebound.engrave.ruling import breaks_of
from stavebound.engrave.system import PlacedSign, PlacedText, System
from stavebound.faces import REGULAR
from stavebound.svg.numbers import number
from stavebound.svg.staves import draw_staves
from tests.support.ink import bar_lines, stave_lines
from tests.support.staves import CATALOGUE, FACES, Moment, View

ABOVE_THE_COUNTS = {row.name for row in CATALOGUE.lanes.whole if row.lane == "above"}
# Between two lines of a picture, in millimetres.
APART = 3.0
Row = tuple[str, float, str]


def places(view: View) -> str:
    return "\n".join(
        text
        for system, moments in view.lines
        for text in (f"bars {system.bars[0]} to {system.bars[1]}", *_places(system, moments), "")
    )


def grid(view: View) -> str:
    return "".join(
        f"{text}\n"
        for line, (system, moments) in zip(view.result.lines, view.lines, strict=True)
        for text in (
            f"bars {system.bars[0]} to {system.bars[1]}, ratio {_two(line.ratio)}",
            *_grid(system, moments),
        )
    )


def costs(view: View) -> str:
    return "".join(
        f"bars {system.bars[0]} to {system.bars[1]}: "
        + ", ".join(f"{name} {cost:.1f}" for name, cost in line.costs.items() if cost)
        + "\n"
        for line, system in zip(view.result.lines, view.result.systems, strict=True)
    )


def picture(view: View) -> str:
    """The lines as they are drawn, as one SVG. Words are in the face of the book where that is
    installed, else in another; outlines would make it five times as large."""
    drawn, y, width = [], 0.0, 0.0
    for system in view.result.systems:
        box, space = system.box, system.space
        drawn.append(draw_staves(system, FACES).replace("<svg", f'<svg y="{number(y)}mm"', 1))
        y += box.height * space + APART
        width = max(width, box.width * space)
    size = f'width="{number(width)}mm" height="{number(y - APART)}mm"'
    paper = f'<svg xmlns="http://www.w3.org/2000/svg" {size} style="background:white">'
    return "\n".join((paper, *(text.rstrip() for text in drawn), "</svg>\n"))


# ---------------------------------------------------------------- the grid


def _grid(system: System, moments: tuple[Moment, ...]) -> Iterator[str]:
    box, ruled = system.box, stave_lines(system)
    heights = " ".join(f"{y:g}" for y in dict.fromkeys(rule.y1 for rule in ruled))
    yield f"  box    {_two(box.left)} {_two(box.bottom)} to {_two(box.right)} {_two(box.top)}"
    yield f"  stave  {_two(ruled[0].x1)} to {_two(ruled[0].x2)} at {heights}"
    for line, own in groupby(breaks_of(ruled), key=lambda one: one.line):
        whites = ", ".join(f"{_two(one.left)} to {_two(one.right)}" for one in own)
        yield f"  broken line {line} from {whites}"
    yield f"  axes   {_all(moment.axis for moment in moments)}"
    for width, rules in groupby(bar_lines(system), key=lambda rule: rule.width):
        yield f"  bars   {_all(rule.x1 for rule in rules)}, {_two(width)} wide"
    for (lane, y, face), name in _rows(system).items():
        yield f"  {name:<{max(6, len(lane))}} {_two(y)}, {face}"


def _rows(system: System) -> dict[Row, str]:
    """A name for each row of texts; of those of one lane a number tells which."""
    rows = sorted({_row(text) for text in system.texts})
    named: dict[Row, str] = {}
    for lane, own in groupby(rows, key=lambda row: row[0]):
        several = list(own)
        named |= {
            row: f"{lane} {number}" if len(several) > 1 else lane
            for number, row in enumerate(several, 1)
        }
    return named


def _row(text: PlacedText) -> Row:
    slant, heavy = " italic" * text.italic, " bold" * (text.weight != REGULAR)
    return text.lane, round(text.y, 2), f"{_two(text.size)}{slant}{heavy}"


# ---------------------------------------------------------------- what stands where


@dataclass(slots=True)
class Anchor:
    """What others are measured from, and what is told of them."""

    x: float
    name: str
    told: list[str] = field(default_factory=list)


def _places(system: System, moments: tuple[Moment, ...]) -> Iterator[str]:
    dots = {axis.x: len(axis.dots) for stave in system.staves for axis in stave.axes}
    at_moments = [Anchor(moment.axis, _named(moment, dots)) for moment in moments]
    anchors = [Anchor(stave_lines(system)[0].x1, "start"), *at_moments]
    anchors += [
        Anchor(rule.x1, f"bar line {_two(rule.y1)} to {_two(rule.y2)}")
        for rule in bar_lines(system)
    ]
    counts = min((text.y for text in system.texts if text.lane == "counts"), default=0.0)
    for anchor, moment in zip(at_moments, moments, strict=True):
        anchor.told += [_sign(sign, anchor.x, counts) for sign in moment.signs]
    for x, text in (*_figures(system, counts, anchors), *_texts(system, anchors)):
        _nearest(x, anchors).told.append(text)
    for anchor in sorted(anchors, key=lambda anchor: anchor.x):
        yield anchor.name
        yield from (f"  {text}" for text in anchor.told)


def _named(moment: Moment, dots: dict[float, int]) -> str:
    name = "frame" if moment.column.frame else "count"
    return f"{name}, {dots[moment.axis]} dots" if moment.axis in dots else name


def _sign(sign: PlacedSign, axis: float, counts: float) -> str:
    subjects = ", ".join(
        f"{subject.side} {subject.kind}" if subject.side else subject.kind
        for subject in sign.subjects
    )
    shift = f", moved {_two(sign.dx)} {_two(sign.dy)}" if sign.dx or sign.dy else ""
    above = counts if sign.subjects[0].kind in ABOVE_THE_COUNTS else 0.0
    return f"sign    {_two(sign.x - axis)} {_two(sign.y - above)} {sign.sign} ({subjects}){shift}"


def _figures(system: System, counts: float, anchors: list[Anchor]) -> Iterator[tuple[float, str]]:
    """Ways, bows and marks of repeats; each end of a way or bow is measured from what is nearest
    to it, and the middle of a way from the middle between these."""
    for stave in system.staves:
        for way in stave.ways:
            first, middle, last = (way.along[at] for at in (0, len(way.along) // 2, -1))
            a, b = (_nearest(x, anchors).x for x, _ in (first, last))
            offs = zip((first, middle, last), (a, (a + b) / 2, b), strict=True)
            spots = " ".join(f"{_two(x - off)} {_two(y)}" for (x, y), off in offs)
            marks = "".join(f", {name}" for name in way.marks)
            yield last[0], f"{way.kind:<7} {spots} ({way.subject}){marks}"
        for bow in stave.phrasings:
            ends = " ".join(
                f"{_two(x - _nearest(x, anchors).x)} {_two(y - counts)}" for x, y in bow.ends
            )
            sides = zip(("left", "right"), bow.is_open, strict=True)
            opened = "".join(f", open at its {side}" for side, is_open in sides if is_open)
            yield bow.ends[0][0], f"phrased {ends}, up to {_two(bow.box.top - counts)}{opened}"
        for one in stave.marks:
            box, above = one.box, 0.0 if one.lane == "bar" else counts
            (left, right) = (x - _nearest(x, anchors).x for x in (box.left, box.right))
            low, high = _two(box.bottom - above), _two(box.top - above)
            spots = f"{_two(left)} {low} to {_two(right)} {high}"
            yield box.left, f"{one.lane:<7} {spots} {one.name}"


def _texts(system: System, anchors: list[Anchor]) -> Iterator[tuple[float, str]]:
    """A count by its middle, all others by where they begin."""
    rows = _rows(system)
    for text in system.texts:
        x = text.x + text.width / 2 if text.lane == "counts" else text.x
        yield x, f"{rows[_row(text)]:<7} {_two(x - _nearest(x, anchors).x)} “{text.text}”"


def _nearest(x: float, anchors: Iterable[Anchor]) -> Anchor:
    return min(anchors, key=lambda anchor: abs(anchor.x - x))


def _all(values: Iterable[float]) -> str:
    return " ".join(map(_two, values))


def _two(value: float) -> str:
    """Two places, and never a minus before nought."""
    return f"{round(value, 2) + 0.0:.2f}"
