"""The table of repeats: signs of music at bar lines and above the counts.

All distances are in spaces; those across are from the middle of the heaviest line of a
bar line.
"""

from __future__ import annotations

from typing import Literal

from pydantic import Field

from stavebound.trade.tables import Row, Sign


class RepeatBar(Row):
    """The dots of a repeat: `dots` is the white between them and the thin line, `rise` how
    far they are above and below the middle line."""

    diameter: float
    dots: float
    rise: float
    description: str


class EndingBracket(Row):
    """The bracket of an ending: the widths of its `line` and of the `white` under it, the
    length of a `hook`, and where its `number` stands, to the right and up."""

    line: float
    hook: float
    number: float
    baseline: float
    white: float
    description: str


class RepeatRow(Row):
    """How far what stands above is `inset` from its bar line; the `white` under it, and the
    `gap` between a word and its sign."""

    inset: float
    white: float
    gap: float
    description: str


class RepeatWords(Row):
    fine: str
    to_coda: str = Field(alias="to-coda")
    da_capo: str = Field(alias="da-capo")
    dal_segno: str = Field(alias="dal-segno")
    al_fine: str = Field(alias="al-fine")
    al_coda: str = Field(alias="al-coda")
    repeats: str
    times: str
    description: str


class ShownBar(Row):
    """What stands at a bar: see `BarForm`; `leap` is da-capo or dal-segno."""

    opens: bool = False
    closes: int = 0
    ending: tuple[int, ...] = ()
    closed: bool = False
    before: tuple[str, ...] = ()
    after: tuple[str, ...] = ()
    leap: Literal["da-capo", "dal-segno"] | None = None


class RepeatKeyRow(Row):
    """A row of the key: a feature, its meaning, and bars that show it."""

    feature: str
    meaning: str
    bars: tuple[ShownBar, ...]


class Repeats(Row):
    bar: RepeatBar
    bracket: EndingBracket
    row: RepeatRow
    words: RepeatWords
    sign: tuple[Sign, ...]
    key: tuple[RepeatKeyRow, ...]
