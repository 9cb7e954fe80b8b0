"""The places where a layout prints what may not be broken.

In: the rows of a layout's places.toml, a paper in its type. Out: a `TextPlace` for each of them,
with the room there.
"""

from __future__ import annotations

from collections.abc import Iterable
from typing import Literal

from pydantic import BaseModel, ConfigDict, Field

from stavebound.book.grid import POINTS
from stavebound.book.papers import Paper
from stavebound.check.measures import TextPlace
from stavebound.faces import REGULAR

# Millimetres between columns, as page.css has them.
GAP = 6.0


class PlaceRow(BaseModel):
    """A row of a layout's places.toml, which says what each number means."""

    model_config = ConfigDict(frozen=True, extra="forbid")

    of: tuple[str, ...]
    where: str
    size: float | None = None
    style: Literal["normal", "italic"] = "normal"
    weight: int = REGULAR
    face: Literal["text", "headings"] = "text"
    columns: int = 1
    less: float = 0.0
    less_ems: float = Field(default=0.0, alias="less-ems")
    prose: bool = False
    page: bool = False


def places(rows: Iterable[PlaceRow], paper: Paper) -> tuple[TextPlace, ...]:
    """All of the layout's, in the order of its table."""
    return tuple(_place(row, paper) for row in rows)


def _place(row: PlaceRow, paper: Paper) -> TextPlace:
    size = row.size or paper.type_size
    measure = paper.prose if row.prose else paper.measure
    column = (measure - GAP * (row.columns - 1)) / row.columns
    room = column * POINTS - row.less * POINTS - row.less_ems * size
    return TextPlace(
        row.of,
        row.where,
        room,
        size,
        row.style,
        row.face == "headings",
        paper.lines if row.page else None,
        row.weight,
    )
