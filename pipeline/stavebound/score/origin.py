"""What every other value of a score is made with: whose side, and where it was written.

Origins are left out of equality: two values are equal where they say the same,
wherever it stands.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from enum import StrEnum
from typing import Any, TypeVar

from stavebound.diagnostics import Span

T = TypeVar("T", bound=tuple[Any, ...])


class Side(StrEnum):
    RIGHT = "right"
    LEFT = "left"

    @property
    def other(self) -> Side:
        return Side.LEFT if self is Side.RIGHT else Side.RIGHT

    @property
    def sign(self) -> int:
        """+1 on the dancer's (and reader's) right, −1 on the left."""
        return 1 if self is Side.RIGHT else -1


@dataclass(frozen=True, slots=True)
class Origin:
    """Where something was written: its element, and the value of each attribute."""

    span: Span
    attributes: tuple[tuple[str, Span], ...] = ()

    def of(self, *names: str) -> Span:
        """The place of the first of these attributes that was written, else the element's."""
        places = dict(self.attributes)
        return next((places[name] for name in names if name in places), self.span)


def unwritten() -> Origin:
    return Origin(Span("", 1, 1))


def origin_field() -> Origin:
    return field(default_factory=unwritten, compare=False, repr=False)


def wherever(kind: type[T]) -> type[T]:
    """The same kind of named tuple, its origins left out of equality."""

    def said(one: tuple[object, ...]) -> tuple[object, ...]:
        return tuple([value for value in one if not isinstance(value, Origin)])

    def equal(one: T, other: object) -> bool:
        return type(other) is kind and said(one) == said(other)

    setattr(kind, "__eq__", equal)  # noqa: B010
    setattr(kind, "__ne__", lambda one, other: not equal(one, other))  # noqa: B010
    setattr(kind, "__hash__", lambda one: hash(said(one)))  # noqa: B010
    return kind
