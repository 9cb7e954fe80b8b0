"""Parts of a line: what every stave is put together from.

In: what a stave has on its axes, and the setting. Out: rules, signs, centre lines, and
names of the lines.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from fractions import Fraction
from math import inf

from stavebound.drawing.figures import Figure
from stavebound.engrave.below import used
from stavebound.engrave.breaks import coming, leaving
from stavebound.engrave.choosing import Going, place_ways
from stavebound.engrave.clear import Cleared
from stavebound.engrave.columns import Label, OnAxis
from stavebound.engrave.fractions import FRACTION, pieces
from stavebound.engrave.gather import Ink
from stavebound.engrave.lane_signs import counts_top
from stavebound.engrave.lasting import PlacedLasting, lasting_line
from stavebound.engrave.outline import outline, sign_box
from stavebound.engrave.phrasing import PlacedPhrasing, bow
from stavebound.engrave.style import Setting as Setting
from stavebound.engrave.style import Style
from stavebound.engrave.system import Axis, PlacedSign, PlacedText
from stavebound.engrave.texts import SetText, set_text, text_slant
from stavebound.engrave.ways import PlacedWay, Way
from stavebound.engrave.widening import boxes_at, going_between
from stavebound.faces import REGULAR, Faces
from stavebound.geometry import Box
from stavebound.remembering import remembered
from stavebound.trade.catalogue import Catalogue
from stavebound.trade.lanes import Lanes
from stavebound.trade.tables import BodyLine

# The lanes of the names of the lines and of the numbers of bars.
NAMES, NUMBERS = "line", "bar"
# The lane of turns.
TURN = "turn"
# How many drawings and places of signs are remembered; a book has some hundreds.
SIGNS = 4096


def names_width(setting: Setting) -> float:
    """The room that the names of the lines take to the left of the stave."""
    widest = max(name.width for name in _names(setting))
    return widest + setting.style.distance("line names")


def number_width(number: int, setting: Setting) -> float:
    """The room that the number of a bar takes to the left of the stave."""
    return set_text(NUMBERS, str(number), setting).width + setting.style.distance("bar number gap")


def numbers_width(numbers: Sequence[int], setting: Setting) -> float:
    """The room for all of these, and for as many digits as there is room for in every score."""
    digits = round(setting.style.distance("bar number digits"))
    least = 10**digits - 1
    return max([number_width(number, setting) for number in (*numbers, least)])


def _names(setting: Setting) -> Iterator[SetText]:
    """Those of all lines, the lowest first."""
    size = setting.style.size(setting.catalogue.lanes.texts[NAMES].size)
    for row in setting.catalogue.ruling.line:
        yield set_text(NAMES, _label(row, size, setting.style), setting)


def _label(row: BodyLine, size: float, style: Style) -> str:
    """A line's name in full, or in short where the lines are close for the type."""
    in_full = size <= style.distance("full line names")
    return (row.label if in_full else row.short) or row.name


def placed_signs(placed: Iterable[OnAxis], setting: Setting) -> Iterator[PlacedSign]:
    for at in placed:
        for cleared in at.cell.signs:
            for ink in cleared.cluster.inks:
                yield _sign(ink, at.x, cleared, setting.catalogue)


def _sign(ink: Ink, axis: float, cleared: Cleared, catalogue: Catalogue) -> PlacedSign:
    name, x, y = ink.sign, axis + ink.x, ink.y
    figures, box = _drawing(name, ink.mirrored, catalogue)
    subjects, origin = cleared.cluster.subjects, cleared.cluster.origin
    box = box.moved(x, y)
    return PlacedSign(name, x, y, figures, box, subjects, origin, cleared.dx, cleared.dy)


@remembered(SIGNS)
def _drawing(sign: str, mirrored: bool, catalogue: Catalogue) -> tuple[tuple[Figure, ...], Box]:
    row = catalogue.sign(sign)
    return outline(row, mirrored), sign_box(row, mirrored)


def placed_ways(
    placed: Iterable[OnAxis],
    edges: tuple[float, float],
    begins: Mapping[Fraction, float],
    setting: Setting,
    going_on: Iterable[Way] = (),
    figures: Sequence[Box] = (),
) -> Iterator[PlacedWay]:
    """Lines of movement, each from the last axis with signs; `edges` are the stave's
    ends. At the moments of `begins` stands
    something that does not follow on what is printed before it: lines come from there, as from
    a line's left end. `going_on` are those that end on a line after this one; `figures` are those
    of metres, which they keep off."""
    table = setting.catalogue.moves.way
    inset = table.edge["inset"]
    within = edges[0] + inset, edges[1] - inset
    before: OnAxis | None = None
    last: tuple[PlacedWay, ...] = ()
    edge = edges[0]
    for at in placed:
        if begins and at.time in begins:
            before, edge = None, begins[at.time]
        if at.cell.ways:
            going = [_going(way, before, edge, at, setting.catalogue) for way in at.cell.ways]
            kept = within if before else (going[0].axes[0] + table.edge["run"] / 2, within[1])
            boxes = [*boxes_at(at.cell, at.x, setting.catalogue)]
            boxes += boxes_at(before.cell, before.x, setting.catalogue) if before else ()
            boxes += [box for box in figures if going[0].axes[0] < box.right < at.x]
            last = tuple(place_ways(going, boxes, last, kept, setting.catalogue))
            yield from last
        if at.cell.signs:
            before = at
    parts = [leaving(way, edges[1], table) for way in going_on]
    if before and parts:
        boxes = list(boxes_at(before.cell, before.x, setting.catalogue))
        going = [Going(part, (before.x, end)) for part, end in parts]
        yield from place_ways(going, boxes, last, within, setting.catalogue)


def _going(way: Way, before: OnAxis | None, edge: float, at: OnAxis, catalogue: Catalogue) -> Going:
    """From the frame before, or from the edge of the line."""
    if before:
        return going_between(way, before.cell, (before.x, at.x), at.cell, catalogue)
    part, start = coming(way, edge, catalogue.moves.way)
    return going_between(part, None, (start, at.x), at.cell, catalogue)


def placed_phrasings(
    spans: Iterable[tuple[Fraction, Fraction]],
    placed: Iterable[OnAxis],
    edges: tuple[float, float],
    inks: Iterable[Box],
    setting: Setting,
) -> Iterator[PlacedPhrasing]:
    """The bows of phrasings, by their first and last moments, over the counts and all inks."""
    spans = tuple(spans)
    if not spans:
        return
    row, at = setting.catalogue.lanes.phrasing, {each.time: each.x for each in placed}
    top = counts_top(setting.style, setting.faces)
    below = (Box(edges[0], 0.0, edges[1], top), *inks)
    for start, end in spans:
        is_open = start not in at, end not in at
        left = edges[0] if is_open[0] else at[start] + row.inset
        right = edges[1] if is_open[1] else at[end] - row.inset
        yield bow(left, right, is_open, below, row)


def placed_lastings(
    spans: Iterable[tuple[Fraction, Fraction]],
    placed: Sequence[OnAxis],
    edges: tuple[float, float],
    lanes: Lanes,
) -> Iterator[PlacedLasting]:
    """The lines under turns that last, by their first and last moments."""
    row, at = lanes.turn.lasting, {each.time: each.x for each in placed}
    y = lanes.heights({*used(placed, lanes), TURN})[TURN] + row.y
    for start, end in spans:
        is_open = start not in at, end not in at
        left, right = at.get(start, edges[0]) + row.inset, at.get(end, edges[1]) - row.inset
        yield lasting_line(left, right, y, is_open, row)


def texts_beside(placed: Sequence[OnAxis], setting: Setting) -> Iterator[PlacedText]:
    """The texts that belong to signs below the stave, each beside its own."""
    lanes = setting.catalogue.lanes
    y = lanes.heights(used(placed, lanes)).get(TURN, 0.0) + lanes.turn.baseline
    for at in placed:
        for label in at.labels:
            if label.lane.beside:
                yield from _amount(label, at.x + label.left, y, setting)


def _amount(label: Label, x: float, y: float, setting: Setting) -> Iterator[PlacedText]:
    """An amount at its place, one text or the pieces of its fraction."""
    row = setting.catalogue.lanes.turn.fraction
    for piece in pieces(label.text, label.size, row, setting.faces):
        lane = label.lane.name if piece.text.isalnum() and piece.weight == REGULAR else FRACTION
        yield PlacedText(
            lane, piece.text, x + piece.x, y + piece.y, piece.size, piece.width, weight=piece.weight
        )


def axes(placed: Iterable[OnAxis], setting: Setting) -> Iterator[Axis]:
    """The centre line of every frame, broken round the signs that are on it or beside it."""
    step, size = setting.style.distance("centre dot step"), setting.style.distance("centre dot")
    white = setting.style.distance("centre break")
    top = len(setting.catalogue.ruling.line) - 1
    heights = tuple([step * (index + 0.5) for index in range(round(top / step))])
    for at in placed:
        if at.cell.frame:
            free = heights
            for cleared in at.cell.signs:
                if covered := _covered(cleared.boxes, heights, size, white):
                    free = tuple([y for y in free if y not in covered])
            yield Axis(at.x, free)


@remembered(SIGNS)
def _covered(
    boxes: tuple[Box, ...], heights: tuple[float, ...], size: float, white: float
) -> frozenset[float]:
    """The heights of those dots that would not keep so much white from the boxes."""
    half = size / 2
    whole = Box(-half, -inf, half, inf)
    over = [box for box in (each.grown(white) for each in boxes) if box.overlaps(whole)]
    dots = [(y, Box(-half, y - half, half, y + half)) for y in heights] if over else []
    return frozenset(y for y, dot in dots if any(box.overlaps(dot) for box in over))


def line_names(indent: float, setting: Setting) -> Iterator[PlacedText]:
    """The lines' names, set flush against the stave and centred on their lines."""
    for height, name in enumerate(_names(setting)):
        drop = setting.faces.x_height(name.size, text_slant(name.row)) / 2
        x = indent - setting.style.distance("line names") - name.width
        yield name.at(x, height - drop)


def bar_number(number: int, indent: float, setting: Setting) -> PlacedText:
    """The number of a line's first bar, set flush to the left of what begins at `indent`, as high
    as the top line."""
    one = set_text(NUMBERS, str(number), setting)
    top = len(setting.catalogue.ruling.line) - 1
    x = indent - number_width(number, setting)
    return one.at(x, top - setting.faces.figure_height(one.size))


def text_box(text: PlacedText, setting: Setting) -> Box:
    """What a text takes at most: its descenders, its capitals and how far it leans."""
    descent, capitals = _heights(text.size, setting.faces)
    lean = setting.style.distance("lean") * text.size * text.italic
    right = text.x + text.width + lean
    return Box(text.x, text.y - descent, right, text.y + capitals)


@remembered(SIGNS)
def _heights(size: float, faces: Faces) -> tuple[float, float]:
    return faces.descent(size), faces.cap_height(size)
