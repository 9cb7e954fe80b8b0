"""The table of note values, which stand before a tempo."""

from __future__ import annotations

from collections.abc import Mapping
from fractions import Fraction

from stavebound.trade.tables import Row, Sign


class Note(Row):
    """A note value, as a part of a whole note; `name` by language."""

    value: Fraction
    name: Mapping[str, str]
    sign: Sign


class Notes(Row):
    """`height` is that of a note with its stem, in spaces of its drawing; `share`, as a part
    of the size of the text round it."""

    height: float
    share: float
    note: tuple[Note, ...]
