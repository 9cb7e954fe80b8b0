"""The table of cautions, and of what asks for them."""

from __future__ import annotations

from pydantic import Field

from stavebound.trade.tables import Row


class Caution(Row):
    about: str
    always: bool
    text: str


class Asks(Row):
    """Step names that ask for a caution, without accents and in small letters.

    `but_not` are names that hold one of the words and mean something else.
    """

    about: str
    words: tuple[str, ...]
    but_not: tuple[str, ...] = Field(default=(), alias="but-not")


class Cautions(Row):
    caution: tuple[Caution, ...]
    asks: tuple[Asks, ...]
