"""Random house styles, as XML: signs in the usual range, and distances within their bounds.

In: a source of chance. Out: the inside of a style, the same one for the same chance.
Whether two signs of it are alike, or one is too high, is for the checks to say.
"""

from __future__ import annotations

from collections.abc import Iterable
from random import Random

from stavebound.trade.catalogue import Catalogue
from stavebound.trade.tables import Distance

# The range of sizes and of weights that houses are asked for.
USUAL = (0.85, 1.3)
STAVES = (7.0, 14.0)
# How many of a house's random distances stand at a bound itself.
AT_A_BOUND = 0.4


def any_style(chance: Random, catalogue: Catalogue) -> str:
    """Signs, distances, or both, on a stave of any usual height."""
    kinds = chance.sample((any_signs, any_distances), chance.randint(1, 2))
    height = f'<stave height="{chance.uniform(*STAVES):.1f}"/>'
    parts = {kind: kind(chance, catalogue) for kind in kinds}
    return height + parts.get(any_distances, "") + parts.get(any_signs, "")


def any_signs(chance: Random, catalogue: Catalogue) -> str:
    """All signs alike, one or some of them, or each in its own way."""
    names = list(catalogue.signs)
    some = chance.choice(("all", "one", "some", "all and some"))
    for_all = f"<signs {_factors(chance)}/>" if some.startswith("all") else ""
    count = {"all": 0, "one": 1}.get(some, chance.randint(2, 12))
    own = chance.sample(names, count)
    return for_all + "".join(f'<sign of="{name}" {_factors(chance)}/>' for name in own)


def any_distances(chance: Random, catalogue: Catalogue) -> str:
    """One distance, some, or all, anywhere within their bounds and often at one of them."""
    rows = catalogue.engraving.distance
    return distances_of(chance, chance.sample(rows, chance.choice((1, 3, 10, len(rows)))))


def distances_of(chance: Random, rows: Iterable[Distance]) -> str:
    return "".join(
        f'<distance of="{row.name}" spaces="{_within(chance, row):.3f}"/>' for row in rows
    )


def _factors(chance: Random) -> str:
    """A size, a weight or both."""
    both = (("size",), ("weight",), ("size", "weight"), ("size", "weight"))
    return " ".join(f'{name}="{chance.uniform(*USUAL):.2f}"' for name in chance.choice(both))


def _within(chance: Random, row: Distance) -> float:
    at_a_bound = chance.random() < AT_A_BOUND
    return chance.choice((row.least, row.greatest)) if at_a_bound else _between(chance, row)


def _between(chance: Random, row: Distance) -> float:
    value = round(chance.uniform(row.least, row.greatest), 2)
    return min(max(value, row.least), row.greatest)
