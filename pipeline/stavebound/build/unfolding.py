"""Unfolding one score: what the notator's shorthand stands for, as text."""

from __future__ import annotations

from pathlib import Path

from stavebound.build.loading import load, wrong_kind
from stavebound.build.values import Report
from stavebound.score.model import Score
from stavebound.score.write import write_score


def unfold_file(path: Path, root: Path | None = None) -> tuple[Report, str | None]:
    """The plain score as XML; None where a fault prevents one. `root` is the folder that holds
    what it names, where one was asked for."""
    loaded = load(path, str(path), root, wanted="score")
    if isinstance(loaded.content, Score):
        return Report(loaded.diagnostics, loaded.texts), write_score(loaded.content)
    faults = loaded.diagnostics or (wrong_kind(loaded, "score"),)
    return Report(faults, loaded.texts), None
