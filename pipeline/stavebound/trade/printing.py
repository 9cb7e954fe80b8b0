"""What a press can show, and the stave that is usual: millimetres in print."""

from __future__ import annotations

STAVE_HEIGHT = 9.0
POINT = 25.4 / 72
FINEST_LINE = 0.09
# White between a sign and a stave line, and between two signs.
LEAST_WHITE = 0.2
LEAST_APART = 0.22
