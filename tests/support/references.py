"""References: what a stage made once and a person has looked at.

A reference is reviewable text in a file beside its case. Where the text is no
longer the same the test fails and shows the lines that differ; with
`pytest --update-references` it is written anew, and the run still fails, so
that nobody refreshes references without looking at them.
"""

import os
from collections.abc import Iterable
from difflib import unified_diff
from pathlib import Path

import pytest

MOST_LINES = 60
WIDEST = 160


def reference(path: Path, text: str, update: bool) -> None:
    """Hold a text against the reference at the path. `update` is the fixture update_references."""
    before = path.read_text(encoding="utf-8") if path.exists() else None
    if text == before:
        return
    if not update:
        wanted = "" if before is None else before
        pytest.fail(f"{_state(path, before)}\n{_difference(wanted, text)}", pytrace=False)
    path.parent.mkdir(parents=True, exist_ok=True)
    # Written aside and moved, so that another worker never reads half of it.
    aside = path.with_name(f"{path.name}.{os.getpid()}")
    aside.write_text(text, encoding="utf-8")
    aside.replace(path)
    pytest.fail(f"{path} was written anew: look at it, then run again", pytrace=False)


def orphans(folder: Path, pattern: str, expected: Iterable[Path]) -> list[Path]:
    """The files in a folder that match, and that no case asks for."""
    return sorted(set(folder.glob(pattern)) - set(expected))


def _state(path: Path, before: str | None) -> str:
    said = "there is no reference" if before is None else "this is not what the reference says"
    return f"{path}: {said}; pytest --update-references writes it"


def _difference(before: str, after: str) -> str:
    lines = list(unified_diff(before.splitlines(), after.splitlines(), "reference", "now", n=1))
    more = [f"… and {len(lines) - MOST_LINES} lines more"] if len(lines) > MOST_LINES else []
    return "\n".join(line[:WIDEST] for line in lines[:MOST_LINES] + more)
