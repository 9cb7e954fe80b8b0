"""The table of colours: what a house may print in a second colour.

In: what TOML gives. Out: frozen, validated rows, as of every trade table.
"""

from __future__ import annotations

from typing import Annotated

from pydantic import Field

from stavebound.trade.tables import Row

# Two small hexadecimal figures each for red, green and blue.
VALUE = r"#[0-9a-f]{6}"


class Colour(Row):
    name: str
    value: Annotated[str, Field(pattern=f"^{VALUE}$")]
    description: str
    source: str


class Coloured(Row):
    """Something that may have a colour of its own; `drawn` is what the engraver calls it."""

    name: str
    drawn: str
    description: str


class Colours(Row):
    colour: tuple[Colour, ...]
    thing: tuple[Coloured, ...]
