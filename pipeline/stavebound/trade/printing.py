"""What a press can show, and the stave that is usual: millimetres in print."""

from __future__ import annotations

STAVE_HEIGHT = 9.0
FINEST_LINE = 0.09
