"""Place: a line of bars, set to its width, becomes a system.

In: a line from `cost`, the bars and a style. Out: a `System`.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from itertools import pairwise

from stavebound.engrave.columns import Column, Measure
from stavebound.engrave.cost import Line
from stavebound.engrave.clear import Cleared
from stavebound.engrave.gather import Ink, ink_box
from stavebound.engrave.lanes import in_rows
from stavebound.engrave.outline import outline, sign_box
from stavebound.engrave.style import Style
from stavebound.engrave.system import Axis, PlacedSign, PlacedText, Rule, Stave, System
from stavebound.faces import Faces
from stavebound.geometry import Box, union
from stavebound.trade.catalogue import Catalogue
from stavebound.trade.tables import BodyLine

# How much of the spare room by a bar line goes between it and what follows.
AFTER_BAR_LINE = 0.35


@dataclass(frozen=True, slots=True)
class Setting:
    """What placing needs to know besides the line itself."""

    catalogue: Catalogue
    style: Style
    faces: Faces


def place(
    line: Line, bars: tuple[Measure, ...], indent: float, named: bool, setting: Setting
) -> System:
    """`indent` is the room kept free at the left; `named` writes the lines' names there."""
    own = bars[line.start : line.end]
    columns = tuple(column for bar in own for column in bar.columns)
    *axes, right = line.run.places(line.ratio)
    final = line.end == len(bars)
    placed = tuple(zip(columns, axes, strict=True))
    stave = _stave(own, placed, (indent, right), final, setting)
    texts = (
        *in_rows(placed, (0.0, right), setting.style),
        *(_names(indent, setting) if named else ()),
        *(_bar_number(own[0].number, indent, setting) if line.start else ()),
    )
    style = setting.style
    return System(
        (stave,), texts, _box(stave, texts, setting), (own[0].number, own[-1].number),
        style.space, style.distance("centre dot"),
    )  # fmt: skip


def names_width(setting: Setting) -> float:
    """The room that the names of the lines take to the left of the stave."""
    size = setting.style.size("line name size")
    widest = max(setting.faces.width(_label(row), size, "italic") for row in setting.catalogue.body.line)
    return widest + setting.style.distance("line names")


def _label(row: BodyLine) -> str:
    return row.label or row.name


def _stave(
    bars: tuple[Measure, ...],
    placed: tuple[tuple[Column, float], ...],
    edges: tuple[float, float],
    final: bool,
    setting: Setting,
) -> Stave:
    signs = tuple(_signs(placed, setting))
    return Stave(
        floor=0.0,
        rules=(*_lines(edges, setting), *_bar_lines(bars, placed, edges[1], final, setting)),
        axes=tuple(_axes(placed, setting)) if setting.style.centre_line else (),
        signs=signs,
    )


def _signs(placed: tuple[tuple[Column, float], ...], setting: Setting) -> Iterator[PlacedSign]:
    for column, axis in placed:
        for cleared in column.signs:
            for ink in cleared.cluster.inks:
                yield _sign(ink, axis, cleared, setting.catalogue)


def _sign(ink: Ink, axis: float, cleared: Cleared, catalogue: Catalogue) -> PlacedSign:
    row, x = catalogue.sign(ink.sign), axis + ink.x
    return PlacedSign(
        sign=ink.sign,
        x=x,
        y=ink.y,
        figures=tuple(figure.moved(x, ink.y) for figure in outline(row, ink.mirrored)),
        box=sign_box(row, ink.mirrored).moved(x, ink.y),
        limbs=cleared.cluster.limbs,
        origin=cleared.cluster.origin,
        dx=cleared.dx,
        dy=cleared.dy,
    )


def _lines(edges: tuple[float, float], setting: Setting) -> Iterator[Rule]:
    for index in range(len(setting.catalogue.body.line)):
        yield Rule("stave", edges[0], index, edges[1], index, setting.style.stave_line)


def _bar_lines(
    bars: tuple[Measure, ...],
    placed: tuple[tuple[Column, float], ...],
    right: float,
    final: bool,
    setting: Setting,
) -> Iterator[Rule]:
    """A line before every bar but the line's first, one at the right edge; at the
    end of the score a thin and a heavy one."""
    thin, top = setting.style.distance("bar line"), len(setting.catalogue.body.line) - 1
    moments = {time for bar in bars for time in bar.lines}
    for (a, ax), (b, bx) in pairwise(placed):
        if b.time in moments:
            x = _between(ax + a.right, bx - b.left, setting.style.distance("bar margin"))
            yield Rule("bar", x, 0, x, top, thin)
    heavy = setting.style.distance("final bar line") if final else thin
    yield Rule("bar", right - heavy / 2, 0, right - heavy / 2, top, heavy)
    if final:
        x = right - heavy - setting.style.distance("final bar gap") - thin / 2
        yield Rule("bar", x, 0, x, top, thin)


def _between(left: float, right: float, margin: float) -> float:
    """Where a bar line stands between two inks: nearer to what follows it."""
    slack = max(right - left - 2 * margin, 0.0)
    return right - margin - slack * AFTER_BAR_LINE


def _axes(
    placed: tuple[tuple[Column, float], ...], setting: Setting
) -> Iterator[Axis]:
    """The centre line of every frame, its dots kept off the signs."""
    step, size = setting.style.distance("centre dot step"), setting.style.distance("centre dot")
    top = len(setting.catalogue.body.line) - 1
    heights = [step * (index + 0.5) for index in range(round(top / step))]
    for column, axis in placed:
        if column.frame:
            boxes = [cleared_sign.grown(size) for cleared_sign in _sign_boxes(column, setting)]
            dots = (y for y in heights if not any(_holds(box, y, size) for box in boxes))
            yield Axis(axis, tuple(dots))


def _sign_boxes(column: Column, setting: Setting) -> Iterator[Box]:
    for cleared in column.signs:
        for ink in cleared.cluster.inks:
            yield ink_box(ink, setting.catalogue)


def _holds(box: Box, y: float, size: float) -> bool:
    half = size / 2
    return box.overlaps(Box(-half, y - half, half, y + half))


def _names(indent: float, setting: Setting) -> Iterator[PlacedText]:
    """The lines' names, set flush against the stave and centred on their lines."""
    size = setting.style.size("line name size")
    drop = setting.faces.x_height(size, "italic") / 2
    for height, row in enumerate(setting.catalogue.body.line):
        text = _label(row)
        width = setting.faces.width(text, size, "italic")
        x = indent - setting.style.distance("line names") - width
        yield PlacedText("line", text, x, height - drop, size, width, True)


def _bar_number(number: int, indent: float, setting: Setting) -> Iterator[PlacedText]:
    size, text = setting.style.size("bar number size"), str(number)
    width = setting.faces.width(text, size, "italic")
    y = len(setting.catalogue.body.line) - 1 + setting.style.distance("bar number rise")
    yield PlacedText("bar", text, indent, y, size, width, True)


def _box(stave: Stave, texts: tuple[PlacedText, ...], setting: Setting) -> Box:
    faces = setting.faces
    ink = union(
        (
            *(rule.box for rule in stave.rules),
            *(sign.box for sign in stave.signs),
            *(
                Box(
                    text.x,
                    text.y - faces.descent(text.size),
                    text.x + text.width,
                    text.y + faces.cap_height(text.size),
                )
                for text in texts
            ),
        )
    )
    air = setting.style.distance("overhang")
    return Box(ink.left, ink.bottom - air, ink.right, ink.top + air)
