"""The stave's scale: body lines, statures and spaces.

In: the body table. Out: numbers. Between two lines the scale is straight, above
the top line it goes on as the table says, below the floor as between floor and
knee, so that it always rises and can be read backwards.

    spaces 4 ── top of head  1.000 H
           3 ── shoulder      .818
           2 ── waist         .605
           1 ── knee          .285
           0 ── floor         0
"""

from __future__ import annotations

from stavebound.trade.tables import Body


def line_height(body: Body, name: str) -> float:
    """The height of a named line or measure of the body, in spaces. KeyError if unknown."""
    for index, line in enumerate(body.line):
        if line.name == name:
            return float(index)
    heights = {row.name: row.value for row in body.measure}
    return spaces(body, heights[name])


def spaces(body: Body, stature: float) -> float:
    """A real height in statures as a height on the stave, in spaces."""
    lines = [line.height for line in body.line]
    if stature >= lines[-1]:
        return len(lines) - 1 + (stature - lines[-1]) / body.above.stature_a_space
    below = max(sum(height <= stature for height in lines) - 1, 0)
    return below + (stature - lines[below]) / (lines[below + 1] - lines[below])


def statures(body: Body, height: float) -> float:
    """A height on the stave in spaces as a real height in statures."""
    lines = [line.height for line in body.line]
    if height >= len(lines) - 1:
        return lines[-1] + (height - len(lines) + 1) * body.above.stature_a_space
    below = max(int(height // 1), 0)
    return lines[below] + (height - below) * (lines[below + 1] - lines[below])
