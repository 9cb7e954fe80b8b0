"""The whole position at one moment of a score, as text in the dialect."""

from __future__ import annotations

from fractions import Fraction
from pathlib import Path

from stavebound.build.loading import load, wrong_kind
from stavebound.build.setting import school_of
from stavebound.build.values import Report
from stavebound.check.scores import check_length, check_score
from stavebound.dance.danced import Danced, dance
from stavebound.dance.pose import Pose
from stavebound.dance.position import position
from stavebound.diagnostics import Diagnostic, has_errors
from stavebound.score.model import Position, Score
from stavebound.score.moments import time_of
from stavebound.score.write import write_start
from stavebound.trade.catalogue import Catalogue


def pose_in_file(
    path: Path, at: str, catalogue: Catalogue, root: Path | None = None
) -> tuple[Report, str | None]:
    """What is written and what is held there, as the start of another score; None where a
    fault prevents one. MomentError where there is no such moment."""
    loaded = load(path, str(path), root, wanted="score")
    if not isinstance(loaded.content, Score):
        faults = loaded.diagnostics or (wrong_kind(loaded, "score"),)
        return Report(faults, loaded.texts), None
    danced, faults = _sound(loaded.content, catalogue)
    if danced is None or has_errors(loaded.diagnostics):
        return Report((*loaded.diagnostics, *faults), loaded.texts), None
    pose = pose_at(danced, time_of(at, danced.timeline))
    written = write_start(Position(position(pose, catalogue, danced.school)))
    return Report(loaded.diagnostics, loaded.texts), written


def _sound(score: Score, catalogue: Catalogue) -> tuple[Danced | None, tuple[Diagnostic, ...]]:
    """The score as it is danced; None with its faults, where poses would be others than meant."""
    school = school_of(score.school, None, catalogue) or school_of(None, None, catalogue)
    faults = check_length(score)
    if faults or school is None:
        return None, faults
    danced = dance(score, catalogue, school)
    faults = check_score(danced)
    return (None, faults) if has_errors(faults) else (danced, ())


def pose_at(danced: Danced, time: Fraction | None) -> Pose:
    """The pose of the start (None), or of the last frame by then, which is held."""
    before = (
        moment
        for moment in danced.moments
        if moment.event is None or (time is not None and moment.event.time <= time)
    )
    return tuple(before)[-1].after
