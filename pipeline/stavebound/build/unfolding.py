"""Unfolding one score: what the notator's shorthand stands for, as text."""

from __future__ import annotations

from pathlib import Path

from stavebound.build.loading import load, wrong_kind
from stavebound.build.setting import school_of
from stavebound.build.values import Report
from stavebound.dance.slightly import in_numbers
from stavebound.score.model import Score
from stavebound.score.write import write_score
from stavebound.trade.catalogue import Catalogue


def unfold_file(
    path: Path, catalogue: Catalogue, root: Path | None = None
) -> tuple[Report, str | None]:
    """The plain score as XML, hands that are slightly otherwise than a shape in numbers; None
    where a fault prevents one. `root` is the folder that holds what it names, where one was
    asked for."""
    loaded = load(path, str(path), root, wanted="score")
    if isinstance(loaded.content, Score):
        score, school = loaded.content, school_of(loaded.content.school, None, catalogue)
        plain = in_numbers(score, catalogue, school) if school else score
        return Report(loaded.diagnostics, loaded.texts), write_score(plain)
    faults = loaded.diagnostics or (wrong_kind(loaded, "score"),)
    return Report(faults, loaded.texts), None
