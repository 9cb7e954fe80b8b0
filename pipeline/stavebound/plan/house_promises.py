"""The promises of a house: what its styles make of the names of steps.

In: styles, the last uppermost, and the catalogue. Out: the catalogue with a table of steps in
which a name promises what the house says: what another name does, or nothing.
"""

from __future__ import annotations

from collections.abc import Iterable

from stavebound.plan.book import PromiseSet, StyleSheet
from stavebound.score.words import fold_name
from stavebound.trade.catalogue import Catalogue
from stavebound.trade.steps import Promise, Silent, Steps

WHY = "the house says that they promise nothing"


def with_house_promises(catalogue: Catalogue, sheets: Iterable[StyleSheet]) -> Catalogue:
    """The catalogue with the house's promises; its digest tells them from the packaged."""
    said = {spelled(one.name): one for sheet in sheets for one in sheet.promises}
    if not said:
        return catalogue
    steps = catalogue.steps
    for name, one in said.items():
        steps = _with(steps, name, one, catalogue.steps)
    told = [(name, one.like) for name, one in said.items()]
    return catalogue.under(told, steps=steps)


def spelled(name: str) -> str:
    """A name as the table has it."""
    return " ".join(fold_name(name).replace("-", " ").replace("'", " ").split())


def promising_names(steps: Steps) -> dict[str, str]:
    """The names of the table, by how they are spelled without accents."""
    return {spelled(name): name for row in steps.step for name in row.names}


def _with(steps: Steps, name: str, one: PromiseSet, packaged: Steps) -> Steps:
    like = promising_names(packaged).get(spelled(one.like)) if one.like else None
    own = promising_names(packaged).get(name)
    rows = tuple(
        _row(row, name, own, other, like)
        for row, other in zip(steps.step, packaged.step, strict=True)
    )
    silent = steps.silent if like else (*steps.silent, Silent(names=(own or name,), why=WHY))
    return steps.model_copy(update={"step": rows, "silent": silent})


def _row(row: Promise, name: str, own: str | None, packaged: Promise, like: str | None) -> Promise:
    """The row with the name where the name that it is like stands, and nowhere else."""
    others = tuple(each for each in row.names if each not in (name, own))
    names = (*others, own or name) if like in packaged.names else others
    return row.model_copy(update={"names": names})
