"""Leans of head, body and hips by the rows of their table."""

from stavebound.score.attitude import Lean
from stavebound.score.model import CentrePart
from stavebound.source.schema import load_plain_schema
from stavebound.trade.catalogue import load_catalogue
from stavebound.trade.centre import LeanRow

CENTRE = load_catalogue().centre
TURNS = {row.name: row.turn for row in CENTRE.part}


def all_leans(row: LeanRow) -> list[Lean]:
    """All that a part's lean of that kind may be."""
    return [Lean(to, n) for to, own in row.to.items() for n in range(1, len(own.signs) + 1)]


def leans_of(part: CentrePart) -> dict[str, list[Lean]]:
    """By kind; a part turns no further than it goes."""
    every = {row.name: all_leans(row) for row in leans_known_of(part)}
    return every | {"turn": [lean for lean in every["turn"] if lean.amount <= TURNS[part]]}


def leans_known_of(part: CentrePart) -> list[LeanRow]:
    """The leans that the schema lets a part have."""
    (rule,) = load_plain_schema().named(part)
    return [row for row in CENTRE.lean if row.name in rule.known]
