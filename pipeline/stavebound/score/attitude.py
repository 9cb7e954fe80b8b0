"""Attitudes: how the head, the body or the hips are held.

In: what is said of a part, by the names of its leans, such as tilt or turn. Out: pairs of a name
and a `Lean`. Always holds: a name stands once, and the pairs are in the order of their names, so
that two parts that are held alike are equal; nothing is straight. Which leans there are is
`trade/centre.toml`'s; nobody needs to know it to carry them.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Lean:
    """A direction (left, right, front or back) and an amount from 1 to 3; of a
    turn, how many eighths of a circle."""

    direction: str
    amount: int = 1


Attitude = tuple[tuple[str, Lean], ...]
STRAIGHT: Attitude = ()


def attitude(said: Mapping[str, Lean | None]) -> Attitude:
    """What is said, in its order; None is not said."""
    return tuple((name, lean) for name, lean in sorted(said.items(), key=_name) if lean)


def _name(pair: tuple[str, Lean | None]) -> str:
    return pair[0]


def lean_of(own: Attitude, name: str) -> Lean | None:
    """One of its leans; None where it does not lean so."""
    return next((lean for one, lean in own if one == name), None)
