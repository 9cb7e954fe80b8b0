"""A plugin of pytest: all that the tests load has the mutant of the environment in its tables.

`STAVEBOUND_MUTANT` is a path and a value, as `Mutant` prints them.
"""

from __future__ import annotations

import os
import sys

MUTANT = "STAVEBOUND_MUTANT"


def pytest_configure() -> None:
    from stavebound.trade import catalogue
    from tests.support.mutants import LEAVES, Mutant, house_with

    path, _, written = os.environ[MUTANT].partition(" = ")
    value = written if isinstance(LEAVES[path], str) else type(LEAVES[path])(written)
    changed = house_with(Mutant(path, value)).catalogue
    setattr(catalogue, "load_catalogue", lambda: changed)  # noqa: B010
    # What was imported to make the mutant still has the tables as they are.
    for name in [name for name in sys.modules if name.startswith("tests.")]:
        del sys.modules[name]
