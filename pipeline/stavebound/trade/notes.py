"""The table of note values, which stand before a tempo."""

from __future__ import annotations

from collections.abc import Mapping
from fractions import Fraction

from stavebound.trade.tables import Row, Sign


class Note(Row):
    """A note value, as a part of a whole note; `name` by language, `own_name` that of the
    catalogue's language, where it is not English."""

    value: Fraction
    name: Mapping[str, str]
    own_name: str = ""
    sign: Sign

    @property
    def called(self) -> str:
        return self.own_name or self.name["en"]


class Notes(Row):
    """`height` is that of a note with its stem, in spaces of its drawing; `share`, as a part
    of the size of the text round it."""

    height: float
    share: float
    note: tuple[Note, ...]
