"""The words of movement: how weight goes, and what form and side a way has."""

from __future__ import annotations

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
