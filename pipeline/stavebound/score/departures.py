"""Departures: in what a limb departs from what goes without saying.

In: attributes of a limb's element by their names, such as palm, turned or touching. Out:
pairs of a name and a value. Always holds: a name stands once, and the pairs are in the order
of their names, so that two limbs that depart alike are equal. Which departures there are, and
of which limbs, is `trade/departures.toml`'s; nobody needs to know it to carry them.
"""

from __future__ import annotations

from collections.abc import Mapping

Departures = tuple[tuple[str, str], ...]


def departures(said: Mapping[str, str | None]) -> Departures:
    """What is said, in its order; None is not said."""
    return tuple(sorted((name, value) for name, value in said.items() if value is not None))


def laid_over(held: Departures, written: Departures) -> Departures:
    """What is held, with what is written in its place."""
    return departures({**dict(held), **dict(written)}) if written else held


def departure(among: Departures, name: str) -> str | None:
    """What is said of one of them; None where that is the usual."""
    return next((value for one, value in among if one == name), None)
