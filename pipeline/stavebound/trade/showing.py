"""Rows of what is shown by examples: the forms of movement."""

from __future__ import annotations

from stavebound.trade.tables import Row


class Movement(Row):
    """A form of movement: its group and meaning, and a phrase of so many counts that shows
    it, from a `start` of its own or in fifth."""

    group: str
    meaning: str
    counts: int
    phrase: str
    start: str = '<feet in="fifth" front="right"/>'


class Movements(Row):
    movement: tuple[Movement, ...]
