"""Remembering: what follows from a place, a text or a drawing alone is reckoned once.

In: functions of values that can be keys, such as a house's tables, and how many of their
results are kept. Out: the same functions. What is remembered keeps its keys alive, the tables
and styles of earlier houses too; whoever takes up ever new houses in one process forgets all
of it from time to time, and nothing but time is lost.
"""

from __future__ import annotations

from collections.abc import Callable
from functools import lru_cache
from typing import ParamSpec, TypeVar, cast

P = ParamSpec("P")
T = TypeVar("T")

_forgetting: list[Callable[[], None]] = []


def remembered(most: int) -> Callable[[Callable[P, T]], Callable[P, T]]:
    """A function whose results are kept, the `most` that were asked for last."""

    def remembering(reckon: Callable[P, T]) -> Callable[P, T]:
        kept = lru_cache(maxsize=most)(reckon)
        _forgetting.append(kept.cache_clear)
        return cast(Callable[P, T], kept)

    return remembering


def forget() -> None:
    """Let go of all results."""
    for clear in _forgetting:
        clear()
