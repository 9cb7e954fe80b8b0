"""The program's first step: from here on it can be stopped, also while the rest is loaded."""

from __future__ import annotations

import importlib

from stavebound import stopping


def main() -> None:
    """Load the command line, run it, and end with its exit code."""
    stopping.begin()
    telling = importlib.import_module("stavebound.telling")
    telling.open_streams()
    telling.leave(importlib.import_module("stavebound.cli").run())


if __name__ == "__main__":
    main()
