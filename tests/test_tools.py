"""The tools of contributors: what they show, and what they say where they cannot."""

from __future__ import annotations

import subprocess
import sys
from pathlib import Path

from tests.support.sign_sheet import MOST_CASES, TITLE, pictures_with, sheet_of

ROOT = Path(__file__).parents[1]


def test_a_sheet_shows_a_sign_and_what_uses_it() -> None:
    sign, *others = pictures_with("tail")
    titles = [one.title for one in others]
    assert sign.name == "tail"
    assert [title for title in titles if title.startswith("key, foot ")]
    assert [title for title in titles if title.endswith(" of the plate")]
    assert 1 <= len({one.name for one in others if one.title.startswith("case ")}) <= MOST_CASES
    assert {one.faults for one in (sign, *others)} == {()}
    sheet = sheet_of((sign, others[0]))
    assert sheet.height > 4 * TITLE
    assert sheet.getextrema() == (0, 255)


def test_a_sign_that_there_is_not_is_told() -> None:
    command = [sys.executable, "-m", "tests.tools.quick", "hok"]
    run = subprocess.run(command, capture_output=True, text=True, cwd=ROOT, timeout=60)
    assert (run.returncode, run.stdout) == (2, "")
    assert run.stderr == "There is no sign “hok”. Did you mean “hook”?\n"
