"""Scales: pieces of stave with the frames side by side that a reader tells from each other.

In: the ways of writing that a book uses, and the setting. Out: for each scale of which it uses
anything its strips, one for each line of the page. Every frame of a strip is the picture of a
row, which was proved by itself; its ink is moved to its place and nothing else.

    ═══╤══════╤══════╤═══    one stave through all of them
       ▬      │      •
      dash  stroke  dot      names and meanings are the page's
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from itertools import accumulate, groupby
from math import ceil

from stavebound.book.key import USUAL, row_system
from stavebound.drawing.laying import moved, together
from stavebound.drawing.values import Drawing, Pen, Stamp
from stavebound.engrave.parts import Setting
from stavebound.engrave.ruling import breaks_of, stave_lines
from stavebound.engrave.system import PlacedSign, System
from stavebound.geometry import Box
from stavebound.readback.claims import ReadingKey
from stavebound.svg.draw import draw
from stavebound.svg.staves import stave_drawing
from stavebound.trade.tables import KeyCell, KeyRow, KeyScale, KeyTable, School


@dataclass(frozen=True, slots=True)
class Strip:
    """A piece of stave: its name, the rows of its frames, the room of each in millimetres,
    whether their meanings are printed, its picture as SVG, and for each frame that is about one
    sign a picture of that, enlarged, all of one height in millimetres; nothing for another."""

    name: str
    rows: tuple[KeyRow, ...]
    room: float
    meanings: bool
    svg: str
    signs: tuple[str, ...] = ()
    sign_height: float = 0.0

    @property
    def width(self) -> float:
        """In millimetres."""
        return self.room * len(self.rows)

    @property
    def anchor(self) -> str:
        return f"key.{self.name.replace(' ', '-')}"

    @property
    def images(self) -> Iterator[tuple[str, str]]:
        """Its pictures by their names."""
        yield self.name, self.svg
        yield from ((self.sign_name(at), svg) for at, svg in enumerate(self.signs) if svg)

    def sign_name(self, at: int) -> str:
        return f"{self.name} sign {at}"

    @property
    def said(self) -> str:
        """What the picture shows, in words."""
        return ". ".join(f"{row.name}: {row.meaning}" for row in self.rows)


@dataclass(frozen=True, slots=True)
class StripLine:
    """Strips beside each other, and the note over them, if any."""

    note: str
    strips: tuple[Strip, ...]


@dataclass(frozen=True, slots=True)
class ShownGroup:
    title: str
    lines: tuple[StripLine, ...]


@dataclass(frozen=True, slots=True)
class Pictured:
    """A row and its picture."""

    row: KeyRow
    system: System


@dataclass(frozen=True, slots=True)
class _Piece:
    """Frames of a scale that stay together, with the note over them, and the room that each of
    them asks for, in millimetres."""

    name: str
    note: str
    rows: tuple[Pictured, ...]
    cell: KeyCell
    room: float

    @property
    def width(self) -> float:
        return self.room * len(self.rows)


def used_scales(used: frozenset[str], table: KeyTable) -> tuple[KeyScale, ...]:
    """The scales of which any row is used. KeyError where a feature has no row."""
    if unknown := used - table.features:
        raise KeyError(f"the key has no row for {', '.join(sorted(unknown))}")
    brought = {row.scale for row in table.row if row.brought_by & used}
    return tuple(scale for scale in table.scale if scale.name in brought)


def shown_groups(
    used: frozenset[str],
    amounts: Mapping[str, str],
    measure: float,
    setting: Setting,
    school: School,
    key: ReadingKey,
) -> Iterator[ShownGroup]:
    """The scales of what is used, as they fit into a measure in millimetres. PictureError where
    a picture does not say what it shows."""
    table = setting.catalogue.key
    for title, scales in groupby(used_scales(used, table), key=lambda scale: scale.group):
        pictured = [
            (scale, pictures(table.rows_of(scale), setting, school, key, amounts))
            for scale in scales
        ]
        yield shown_group(title, pictured, measure, setting)


def shown_group(
    title: str,
    pictured: Sequence[tuple[KeyScale, Sequence[Pictured]]],
    measure: float,
    setting: Setting,
) -> ShownGroup:
    """Scales under one title, in lines as full as they can be."""
    pieces = [piece for scale, rows in pictured for piece in _pieces(scale, rows, measure, setting)]
    return ShownGroup(title, tuple(_line(own, measure, setting) for own in _lines(pieces, measure)))


def _lines(pieces: Iterable[_Piece], measure: float) -> Iterator[tuple[_Piece, ...]]:
    """Pieces in their order, as many in a line as it has room for; a note begins a new one."""
    line: tuple[_Piece, ...] = ()
    for piece in pieces:
        if line and (piece.note or sum(each.width for each in (*line, piece)) > measure):
            yield line
            line = ()
        line = (*line, piece)
    yield line


def _line(pieces: tuple[_Piece, ...], measure: float, setting: Setting) -> StripLine:
    """All a little wider, so that they fill the measure; their staves are level, and so are the
    names under them."""
    wider = measure / sum(piece.width for piece in pieces)
    wider = min(wider, setting.style.distance("key widest frame"))
    rows = [each for piece in pieces for each in piece.rows]
    top = max(each.system.box.top for each in rows)
    bottom = min(each.system.box.bottom for each in rows)
    half = max((sign.box.height / 2 for sign in map(_sign, rows) if sign), default=0.0)
    strips = tuple(
        _strip(piece, piece.room * wider, (bottom, top), half, setting) for piece in pieces
    )
    return StripLine(pieces[0].note, strips)


def pictures(
    rows: Iterable[KeyRow],
    setting: Setting,
    school: School,
    key: ReadingKey,
    amounts: Mapping[str, str] = USUAL,
) -> tuple[Pictured, ...]:
    """The rows with their pictures, which are proved."""
    return tuple(Pictured(row, row_system(row, setting, school, key, amounts)) for row in rows)


def _pieces(
    scale: KeyScale, rows: Sequence[Pictured], measure: float, setting: Setting
) -> Iterator[_Piece]:
    """The frames of a scale in as few lines as they need, none much shorter than another."""
    cell = setting.catalogue.key.cell[scale.cell]
    room = cell.width(setting.style.space) * setting.style.space
    lines = ceil(len(rows) / max(1, int(measure / room)))
    count = ceil(len(rows) / lines)
    for at, first in enumerate(range(0, len(rows), count)):
        own = tuple(rows[first : first + count])
        yield _Piece(f"{scale.name} {at + 1}", "" if at else scale.note, own, cell, room)


def _strip(
    piece: _Piece, room: float, heights: tuple[float, float], half: float, setting: Setting
) -> Strip:
    """From one of these heights to the other, with signs enlarged in boxes twice `half` high."""
    width, gap = room / setting.style.space, setting.style.distance("strip gap")
    systems = [each.system for each in piece.rows]
    widths = [width] * len(systems)
    drawing = strip(systems, widths, heights, setting, piece.cell.axis, gap)
    signs = [_sign(each) for each in piece.rows]
    return Strip(
        piece.name,
        tuple(each.row for each in piece.rows),
        room,
        piece.cell.meanings,
        draw(drawing, setting.faces),
        tuple(_enlarged(sign, half, setting) if sign else "" for sign in signs),
        2 * half * _sign_unit(setting),
    )


def _sign(pictured: Pictured) -> PlacedSign | None:
    """What the frame is about, where that is one sign."""
    (stave,) = pictured.system.staves
    return next((sign for sign in stave.signs if sign.sign == pictured.row.sign), None)


def _enlarged(sign: PlacedSign, half: float, setting: Setting) -> str:
    """In the middle of a box that is twice `half` high, in spaces."""
    own = sign.box.moved(-sign.x, -sign.y)
    middle = (own.bottom + own.top) / 2
    box = Box(own.left, middle - half, own.right, middle + half)
    pens = (Pen(stamps=(Stamp(sign.figures, 0.0, 0.0),)),)
    return draw(Drawing(box, _sign_unit(setting), pens), setting.faces)


def _sign_unit(setting: Setting) -> float:
    """What a space is of an enlarged sign, in millimetres."""
    return setting.style.space * setting.style.distance("key sign")


def strip(
    systems: Sequence[System],
    widths: Sequence[float],
    heights: tuple[float, float],
    setting: Setting,
    axis: float = 0.0,
    gap: float = 0.0,
) -> Drawing:
    """Pictures side by side on one stave, in rooms of these widths and with their middles so far
    right of those of their rooms, their ink at its own heights; the paper goes from one of
    `heights` to the other, and the stave ends by `gap` before the last room does. All in
    spaces."""
    box = Box(0.0, heights[0], sum(widths), heights[1])
    rooms = zip(accumulate(widths, initial=0.0), widths, systems, strict=False)
    starts = [left + width / 2 + axis - middle(system) for left, width, system in rooms]
    breaks = (
        one.moved(start)
        for start, system in zip(starts, systems, strict=True)
        for one in breaks_of(system.staves[0].rules)
    )
    rules = stave_lines((0.0, box.right - gap), setting, breaks)
    lines = Drawing(box, setting.style.space, (Pen(boxes=tuple(rule.box for rule in rules)),))
    inks = (_ink(system, start, setting) for start, system in zip(starts, systems, strict=True))
    return together((lines, *inks), box)


def _ink(system: System, start: float, setting: Setting) -> Drawing:
    """What stands on the stave of a picture, at its place on the strip."""
    (stave,) = system.staves
    bare = replace(system, staves=(replace(stave, rules=()),))
    return moved(stave_drawing(bare, setting.faces), start)


def middle(system: System) -> float:
    """That of its stave, whose floor line is never broken."""
    floor = system.staves[0].rules[0]
    return (floor.x1 + floor.x2) / 2
