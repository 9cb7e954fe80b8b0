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
from itertools import groupby
from math import ceil

from stavebound.book.key import USUAL, row_system
from stavebound.drawing.laying import moved, together
from stavebound.drawing.values import Drawing, Pen
from stavebound.engrave.parts import Setting, stave_lines
from stavebound.engrave.system import System
from stavebound.geometry import Box
from stavebound.readback.claims import ReadingKey
from stavebound.svg.draw import draw
from stavebound.svg.staves import stave_drawing
from stavebound.trade.tables import KeyCell, KeyRow, KeyScale, KeyTable, School


@dataclass(frozen=True, slots=True)
class Strip:
    """A piece of stave: its name, the rows of its frames, the room of each in millimetres,
    whether their meanings are printed, and its picture as SVG."""

    name: str
    rows: tuple[KeyRow, ...]
    room: float
    meanings: bool
    svg: str

    @property
    def width(self) -> float:
        """In millimetres."""
        return self.room * len(self.rows)

    @property
    def anchor(self) -> str:
        return f"key.{self.name.replace(' ', '-')}"

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
    """Scales under one title; their staves stand level where they are beside each other."""
    top = max(each.system.box.top for _, rows in pictured for each in rows)
    noted = (
        (scale.note if first else "", strip)
        for scale, rows in pictured
        for first, strip in _first(_strips(scale, rows, top, measure, setting))
    )
    return ShownGroup(title, tuple(_lines(noted, measure)))


def _first(strips: Iterable[Strip]) -> Iterator[tuple[bool, Strip]]:
    """Whether each is the first."""
    return ((at == 0, strip) for at, strip in enumerate(strips))


def _lines(noted: Iterable[tuple[str, Strip]], measure: float) -> Iterator[StripLine]:
    """Strips in their order, as many in a line as it has room for; a note begins a new one."""
    note, line = "", list[Strip]()
    for over, strip in noted:
        if line and (over or sum(each.width for each in (*line, strip)) > measure):
            yield StripLine(note, tuple(line))
            note, line = "", []
        note, line = over or note, [*line, strip]
    yield StripLine(note, tuple(line))


def pictures(
    rows: Iterable[KeyRow],
    setting: Setting,
    school: School,
    key: ReadingKey,
    amounts: Mapping[str, str] = USUAL,
) -> tuple[Pictured, ...]:
    """The rows with their pictures, which are proved."""
    return tuple(Pictured(row, row_system(row, setting, school, key, amounts)) for row in rows)


def _strips(
    scale: KeyScale, rows: Sequence[Pictured], top: float, measure: float, setting: Setting
) -> Iterator[Strip]:
    """The frames of a scale in as few lines as they need, none much shorter than another."""
    cell = setting.catalogue.key.cell[scale.cell]
    width = cell.width(setting.style.space) * setting.style.space
    lines = ceil(len(rows) / max(1, int(measure / width)))
    count = ceil(len(rows) / lines)
    for at, line in enumerate((rows[i : i + count] for i in range(0, len(rows), count)), 1):
        drawing = strip([each.system for each in line], cell, top, setting)
        yield Strip(
            f"{scale.name} {at}",
            tuple(each.row for each in line),
            width,
            cell.meanings,
            draw(drawing, setting.faces),
        )


def strip(systems: Sequence[System], cell: KeyCell, top: float, setting: Setting) -> Drawing:
    """Pictures side by side on one stave, their ink at its own heights, up to this `top`."""
    width = cell.width(setting.style.space) * len(systems)
    box = Box(0.0, min(system.box.bottom for system in systems), width, top)
    rules = stave_lines((0.0, width - setting.style.distance("strip gap")), setting)
    lines = Drawing(box, setting.style.space, (Pen(boxes=tuple(rule.box for rule in rules)),))
    inks = (_ink(system, at, cell, setting) for at, system in enumerate(systems))
    return together((lines, *inks), box)


def _ink(system: System, at: int, cell: KeyCell, setting: Setting) -> Drawing:
    """What stands on the stave of a picture, in the middle of its room, or as far off as the
    room's axis is."""
    (stave,) = system.staves
    rule = stave.rules[0]
    bare = replace(system, staves=(replace(stave, rules=()),))
    middle = (rule.x1 + rule.x2) / 2
    place = cell.width(setting.style.space) * (at + 0.5) + cell.axis
    return moved(stave_drawing(bare, setting.faces), place - middle)
