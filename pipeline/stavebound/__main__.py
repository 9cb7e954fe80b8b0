"""The program's first step: Ctrl-C is quiet even while the rest is still being loaded."""

from __future__ import annotations

import importlib
import os
import signal


def main() -> None:
    """Load the command line and run it, which then has its own way of stopping."""
    signal.signal(signal.SIGINT, lambda number, frame: os._exit(130))
    importlib.import_module("stavebound.cli").main()


if __name__ == "__main__":
    main()
