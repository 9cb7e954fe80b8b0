"""A house style: distances by names that there are, each once, on the right side of nought.

In: a style and the catalogue. Out: diagnostics at the distances.
"""

from __future__ import annotations

from collections.abc import Iterator

from stavebound.check.phrasing import hints
from stavebound.diagnostics import Diagnostic
from stavebound.score.book import Setting, StyleSheet
from stavebound.suggest import suggest
from stavebound.trade.catalogue import Catalogue


def distances_known(style: StyleSheet, catalogue: Catalogue) -> Iterator[Diagnostic]:
    names = _packaged(catalogue)
    for setting in style.distances:
        if setting.name not in names:
            yield Diagnostic(
                "B506",
                f"the engraving has no distance “{setting.name}”",
                setting.origin.of("of"),
                hints(suggest(setting.name, names), _some_names(names)),
            )


def distances_set_once(style: StyleSheet, catalogue: Catalogue) -> Iterator[Diagnostic]:
    first: dict[str, Setting] = {}
    for setting in style.distances:
        before = first.setdefault(setting.name, setting)
        if before is not setting:
            yield Diagnostic(
                "B507",
                f"the distance “{setting.name}” is set already",
                setting.origin.of("of"),
                ("Keep one of them.",),
                ((before.origin.of("of"), "the first time"),),
            )


def distances_sensible(style: StyleSheet, catalogue: Catalogue) -> Iterator[Diagnostic]:
    """A width cannot be negative, nor what lies below the floor line above it."""
    names = _packaged(catalogue)
    for setting in style.distances:
        usual = names.get(setting.name, 0.0)
        if usual * float(setting.spaces) < 0:
            side = "above 0" if usual > 0 else "below 0"
            yield Diagnostic(
                "B508",
                f"the distance “{setting.name}” cannot be {setting.spaces}",
                setting.origin.of("spaces"),
                (f"Expected a number {side}: the usual one is {usual:g}.",),
            )


def _packaged(catalogue: Catalogue) -> dict[str, float]:
    return {row.name: row.value for row in catalogue.engraving.distance}


def _some_names(names: dict[str, float]) -> str:
    """The table is long: where to read it rather than all of it."""
    return f"There are {len(names)}, such as {', '.join(sorted(names)[:6])}."
