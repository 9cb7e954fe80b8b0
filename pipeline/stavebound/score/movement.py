"""The words of movement: how weight goes, what is done in the air, and what form and side a way
has."""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum


class Transfer(StrEnum):
    """How the weight moves: to a foot, along the floor, or with both feet off it."""

    STEP = "step"
    SLIDE = "slide"
    SPRING = "spring"


class PathForm(StrEnum):
    STRAIGHT = "straight"
    OVER = "over"
    UNDER = "under"


class Bow(StrEnum):
    FRONT = "front"
    BEHIND = "behind"
    SIDE = "side"


class Beat(StrEnum):
    """The foot in front as the legs beat: as against the take-off, or by its side."""

    SAME = "same"
    OTHER = "other"
    RIGHT = "right"
    LEFT = "left"


class Legs(StrEnum):
    """How both legs are held in the air."""

    BENT_BEHIND = "bent behind"
    SPLIT = "split"


class Size(StrEnum):
    LARGE = "large"
    SMALL = "small"


@dataclass(frozen=True, slots=True)
class Flight:
    """What is done in the air in a spring: the beats of the legs, one after the other, how the
    legs are held, and how high it goes."""

    beats: tuple[Beat, ...] = ()
    legs: Legs | None = None
    size: Size | None = None

    @property
    def names(self) -> tuple[str, ...]:
        """What is said of it beside its beats: "legs split", "large spring"."""
        legs = (f"legs {self.legs}",) if self.legs else ()
        return (*legs, f"{self.size} spring") if self.size else legs


PLAIN = Flight()
