"""The ruling of the stave: where the parts of the body are on paper, and how far out.

In: the ruling and names or numbers. Out: spaces, from the floor line up or from the axis
out; and statures for a place across. No dancer's measures are asked for here.

    spaces 4 ── top of head
           3 ── shoulder
           2 ── waist
           1 ── knee
           0 ── floor
"""

from __future__ import annotations

from stavebound.trade.tables import Ruling, Scale


def line_height(ruling: Ruling, name: str) -> float:
    """The height of a part of the body, in spaces. KeyError if the ruling has none such."""
    return dict(levels(ruling))[name]


def levels(ruling: Ruling) -> tuple[tuple[str, float], ...]:
    """The parts of the body with their heights in spaces, from the floor upwards."""
    lines = [(row.name, float(index)) for index, row in enumerate(ruling.line)]
    between = [(row.name, row.at) for row in ruling.between]
    return tuple(sorted((*lines, *between), key=lambda level: level[1]))


def across(out: float, scale: Scale) -> float:
    """From statures out to spaces from the axis, towards the limb's own side."""
    return (scale.base if out >= 0 else -scale.base) + scale.slope * out


def out_at(x: float, scale: Scale) -> float:
    """From spaces beside the axis, on the limb's own side, to statures out."""
    return (x - scale.base) / scale.slope
