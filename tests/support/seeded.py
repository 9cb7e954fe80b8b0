"""What is random depends on the seed alone: not on the machine, nor on which tests ran before.

Hypothesis mixes the constants of our modules into its examples, of those that are loaded by
then, so all are loaded before the first example. Its profile for machines that set `CI` would
take another seed for each test, and its database keeps what failed on this machine: neither is
ours. (A folder named `test` or `tests` above the project hides the constants from it.)
"""

from __future__ import annotations

import importlib
import pkgutil
from hashlib import sha256

from hypothesis import HealthCheck, Phase, given, settings
from hypothesis import strategies as st

import stavebound
from stavebound.press.pool import LAYOUT

PROFILE = "stavebound"
# Whatever tests load of ours outside the package.
BESIDE = ("setup.libraries",)
MANY = 200


def settle() -> None:
    """Take our profile, and load every module whose constants may turn up in an example."""
    settings.register_profile(
        PROFILE,
        parent=settings.get_profile("default"),
        # The clock of a busy machine says nothing about a property.
        deadline=None,
        suppress_health_check=[HealthCheck.too_slow],
        database=None,
    )
    settings.load_profile(PROFILE)
    # The layout first: it loads WeasyPrint in its own way.
    modules = pkgutil.walk_packages(stavebound.__path__, f"{stavebound.__name__}.")
    for name in (LAYOUT, *(module.name for module in modules), *BESIDE):
        importlib.import_module(name)


def told() -> str:
    """A digest of random examples, which a run of the same seed has again."""
    drawn = []

    @settings(max_examples=MANY, phases=[Phase.generate])
    @given(st.floats(), st.integers(), st.text())
    def draw(number: float, whole: int, text: str) -> None:
        drawn.append((number, whole, text))

    draw()
    return sha256(repr(drawn).encode()).hexdigest()
