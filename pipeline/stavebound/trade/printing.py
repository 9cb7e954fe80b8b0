"""What a press can show, and the heights of staves: millimetres in print."""

from __future__ import annotations

# Where neither a style nor a paper says one, and between which a style may: a smaller stave is
# not read in print, a larger one is no longer read as a line.
STAVE_HEIGHT = 9.0
LEAST_STAVE = 7.0
GREATEST_STAVE = 30.0
POINT = 25.4 / 72
FINEST_LINE = 0.09
# White between a sign and a stave line, and between two signs.
LEAST_WHITE = 0.2
LEAST_APART = 0.22
