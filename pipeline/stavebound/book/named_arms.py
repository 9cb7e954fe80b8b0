"""A plate of the arms by their names: what a school calls each of its shapes, with its frame.

In: a school, the language of the labels, and the setting. Out: rows like those of the key.
"""

from __future__ import annotations

from collections.abc import Iterator

from stavebound.trade.catalogue import Catalogue
from stavebound.trade.naming import named_arms
from stavebound.trade.tables import KeyRow, KeyScale, School
from stavebound.wording.labels import labels
from stavebound.wording.translation import name_in

NAMED_ARMS = "named arms"
# The features of hands by which a reader needs their names.
HANDS = ("hand level", "hand front", "hand behind")


def arms_scale(language: str) -> KeyScale:
    words = labels(language)
    return KeyScale(
        name=NAMED_ARMS,
        group=words["key_arms"],
        note=words["key_arms_explained"],
        cell="slim",
    )


def arms_rows(school: School, catalogue: Catalogue, language: str) -> Iterator[KeyRow]:
    """In the order of the table of shapes; one whose arms differ with the right arm leading."""
    for shape, name in named_arms(catalogue, school):
        one, other = shape.hands
        lead = ' lead="right"' if one != other else ""
        yield KeyRow(
            feature=f"{NAMED_ARMS} {shape.name}",
            scale=NAMED_ARMS,
            name=name_in(language, "arms", name),
            meaning=name_in(language, "arms", shape.name),
            when=HANDS,
            show=f'<arms in="{shape.name}"{lead}/>',
        )
