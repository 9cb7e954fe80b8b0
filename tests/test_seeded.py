"""Random examples are the same in every process of one seed."""

import importlib
import os
import subprocess
import sys
from pathlib import Path

import pytest
from hypothesis import settings

from stavebound.press.pool import LAYOUT
from tests.support.seeded import PROFILE, told

SEED, EXPECTED = "--hypothesis-seed", "STAVEBOUND_EXAMPLES"


def test_a_fresh_process_draws_the_same_examples(pytestconfig: pytest.Config) -> None:
    """One in which nothing ran before, as a machine of continuous integration would run it; here
    the press may have been at work, whose modules are loaded late."""
    if EXPECTED in os.environ:
        assert told() == os.environ[EXPECTED]
        return
    importlib.import_module(LAYOUT)
    name = f"{Path(__file__)}::{test_a_fresh_process_draws_the_same_examples.__name__}"
    command = [sys.executable, "-m", "pytest", "-q", f"{SEED}={pytestconfig.getoption(SEED)}", name]
    environment = {**os.environ, EXPECTED: told(), "CI": "1", "PYTHONHASHSEED": "1"}
    environment = {key: text for key, text in environment.items() if "XDIST" not in key}
    ran = subprocess.run(
        command, cwd=pytestconfig.rootpath, env=environment, capture_output=True, text=True
    )
    assert ran.returncode == 0, ran.stdout


def test_nothing_is_taken_from_what_failed_before() -> None:
    profile = settings.get_profile(PROFILE)
    assert profile.database is None
    assert not profile.derandomize
