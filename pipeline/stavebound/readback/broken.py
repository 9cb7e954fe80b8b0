"""Broken: lines of the stave give way to level signs that stand on them, and to nothing else.

In: the breaks of a stave and its signs. Out: a fault for each that does not go with the other.
"""

from __future__ import annotations

from collections.abc import Iterator

from stavebound.readback.claims import Signs
from stavebound.readback.stave import LINES, StaveRead
from stavebound.readback.table import BrokenRow, Table
from stavebound.readback.values import Fault, SignRead


def off_breaks(stave: StaveRead, signs: Signs, table: Table) -> Iterator[Fault]:
    row, rounding = table.broken, table.tolerance.place
    on_lines = [(line, sign) for sign in signs if (line := _line(sign, row))]
    filled = set()
    for line, sign in on_lines:
        left, right = sign.x - sign.left - row.white, sign.x + sign.right + row.white
        own = [
            one
            for one in stave.breaks
            if one[0] == line and one[1] <= left + rounding and right - rounding <= one[2]
        ]
        if not own:
            what = f"“{sign.name}” on a line of the stave that is not broken round it"
            yield Fault("shape", what, sign.x, sign.y)
        filled.update(own)
    for line, left, right in stave.breaks:
        if (line, left, right) not in filled:
            what = "a line of the stave that is broken round nothing"
            yield Fault("shape", what, (left + right) / 2, line)


def _line(sign: SignRead, row: BrokenRow) -> int:
    """The line over the floor on which it stands, or 0."""
    line = round(sign.y)
    on_it = sign.name in row.signs and abs(sign.y - line) <= row.near
    return line if on_it and 0 < line < LINES else 0
