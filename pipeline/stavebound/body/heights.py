"""Heights: a person's statures on the stave's ruling, and back.

In: a person, the ruling, a height. Out: the same height in statures, or in spaces. The
ruling says where the parts of a body are on paper, the person how high they are, and between
two of them the scale is straight. Above the top line it goes on as the ruling says, below the
floor as between floor and knee, so that it always rises and can be read backwards.

    spaces 4    ── top of head  1.000 H
           3.65 ·· eyes          .936
           3    ── shoulder      .818
           2    ── waist         .605
           1.77 ·· hip           .530
           1    ── knee          .285
           0    ── floor         0

Another person has other statures at the same spaces.
"""

from __future__ import annotations

from stavebound.trade.scale import levels
from stavebound.trade.tables import Person, Ruling

# A person stands on the floor and is one stature tall: no measures.
ENDS = {"floor": 0.0, "head": 1.0}

Steps = tuple[tuple[float, float], ...]


def spaces(person: Person, ruling: Ruling, stature: float) -> float:
    """A height in statures as a height on the stave."""
    steps = tuple((high, at) for at, high in _steps(person, ruling))
    return _between(steps, stature)


def statures(person: Person, ruling: Ruling, height: float) -> float:
    """A height on the stave in spaces as one of this person."""
    return _between(_steps(person, ruling), height)


def _steps(person: Person, ruling: Ruling) -> Steps:
    """From the floor upwards, spaces and statures of each part of the body, and of a space
    above the head."""
    parts = [(at, ENDS[name] if name in ENDS else person.of(name)) for name, at in levels(ruling)]
    top, head = parts[-1]
    return (*parts, (top + 1, head + ruling.above.stature_a_space))


def _between(steps: Steps, value: float) -> float:
    """What belongs to the value, on a straight line between the two steps that enclose it."""
    last = len(steps) - 2
    below = min(max(sum(start <= value for start, _ in steps) - 1, 0), last)
    (start, low), (end, high) = steps[below : below + 2]
    return low + (value - start) * (high - low) / (end - start)
