"""Shorthand: phrases with what the notator writes around them where they are danced again.

In and out: nothing but values, as they stand in a source, one behind the other. `score/form.py`
tells of the written-out score what these say.
"""

from __future__ import annotations

from dataclasses import dataclass

from stavebound.score.form import TWICE, Leap
from stavebound.score.model import Phrase


@dataclass(frozen=True, slots=True)
class Stands:
    """segno, fine, to-coda or coda."""

    name: str


@dataclass(frozen=True, slots=True)
class Ended:
    """How a repeat ends the times `of`."""

    of: tuple[int, ...]
    parts: tuple[Said, ...]


@dataclass(frozen=True, slots=True)
class Repeated:
    """What is danced so many times; where it has endings, those tell how often."""

    parts: tuple[Said, ...]
    times: int = TWICE


Said = Phrase | Stands | Leap | Ended | Repeated
