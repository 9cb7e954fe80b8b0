"""A house style: distances, colours and promises by names that there are, each once, within
bounds.

In: a style and the catalogue. Out: diagnostics at the distances, the colours and the promises.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from math import floor

from stavebound.check.once import set_once
from stavebound.check.phrasing import hints, listed
from stavebound.diagnostics import Diagnostic
from stavebound.plan.book import StyleSheet
from stavebound.plan.house_promises import promising_names, spelled
from stavebound.suggest import suggest
from stavebound.trade.catalogue import Catalogue
from stavebound.trade.printing import POINT, STAVE_HEIGHT
from stavebound.trade.tables import Distance

LEAST_TYPE = "least type size"
# In spaces: larger type runs into what is above or below its lane. The usual least type is as
# large on the lowest stave.
TALLEST = 1.21


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
    return set_once("B507", ((f"the distance “{one.name}”", one.origin) for one in style.distances))


def distances_sensible(style: StyleSheet, catalogue: Catalogue) -> Iterator[Diagnostic]:
    """A width cannot be negative, nor what lies below the floor line above it."""
    names = _packaged(catalogue)
    for setting in style.distances:
        usual = names.get(setting.name)
        if usual and usual.value * float(setting.spaces) < 0:
            side = "above 0" if usual.value > 0 else "below 0"
            yield Diagnostic(
                "B508",
                f"the distance “{setting.name}” cannot be {setting.spaces}",
                setting.origin.of("spaces"),
                (f"Expected a number {side}: {_bounds(usual)}",),
            )


def distances_in_bounds(style: StyleSheet, catalogue: Catalogue) -> Iterator[Diagnostic]:
    names = _packaged(catalogue)
    for setting in style.distances:
        usual, spaces = names.get(setting.name), float(setting.spaces)
        if usual and usual.value * spaces >= 0 and not usual.holds(spaces):
            yield Diagnostic(
                "B517",
                f"the distance “{setting.name}” cannot be {setting.spaces}",
                setting.origin.of("spaces"),
                (f"Expected a number {_bounds(usual)}",),
            )


def colours_known(style: StyleSheet, catalogue: Catalogue) -> Iterator[Diagnostic]:
    things = [row.name for row in catalogue.colours.thing]
    names = [row.name for row in catalogue.colours.colour]
    for colour in style.colours:
        for what, name, known in (("of", colour.thing, things), ("is", colour.colour, names)):
            if name not in known:
                kind = "thing that has a colour of its own" if what == "of" else "colour"
                yield Diagnostic(
                    "B521",
                    f"there is no {kind} “{name}”",
                    colour.origin.of(what),
                    hints(suggest(name, known), f"Expected {listed(known, 'or')}."),
                )


def colours_set_once(style: StyleSheet, catalogue: Catalogue) -> Iterator[Diagnostic]:
    return set_once("B507", ((f"the colour of “{one.thing}”", one.origin) for one in style.colours))


def promises_known(style: StyleSheet, catalogue: Catalogue) -> Iterator[Diagnostic]:
    names = promising_names(catalogue.steps)
    for one in style.promises:
        if one.like and spelled(one.like) not in names:
            yield Diagnostic(
                "B522",
                f"there is no step “{one.like}” whose name promises something",
                one.origin.of("is"),
                hints(suggest(one.like, names.values()), _some_names(names)),
            )


def promises_set_once(style: StyleSheet, catalogue: Catalogue) -> Iterator[Diagnostic]:
    names = ((f"the promise of “{one.name}”", one.origin) for one in style.promises)
    return set_once("B507", names)


def type_fits_the_stave(sheets: Sequence[StyleSheet], catalogue: Catalogue) -> Iterator[Diagnostic]:
    """The least type, which is measured in points, is not too large for a low stave."""
    least = _packaged(catalogue)[LEAST_TYPE]
    height, own = STAVE_HEIGHT, None
    for sheet in sheets:
        height = float(sheet.stave_height or height)
        for setting in sheet.distances:
            if setting.name == LEAST_TYPE and least.holds(float(setting.spaces)):
                own = setting
    greatest = TALLEST * height / 4 / POINT
    if own and own.spaces > greatest:
        yield Diagnostic(
            "B517",
            f"type of {own.spaces} points is too large for a stave of {height:g} mm",
            own.origin.of("spaces"),
            (f"Expected {floor(greatest * 10) / 10:g} points or less, or a higher stave.",),
        )


def _bounds(usual: Distance) -> str:
    least, greatest = sorted((usual.least, usual.greatest), key=abs)
    return f"from {least:g} to {greatest:g} {usual.unit}; the usual one is {usual.value:g}."


def _packaged(catalogue: Catalogue) -> dict[str, Distance]:
    return {row.name: row for row in catalogue.engraving.distance}


def _some_names(names: Iterable[str]) -> str:
    """The table is long: where to read it rather than all of it."""
    known = sorted(names)
    return f"There are {len(known)}, such as {', '.join(known[:6])}."
