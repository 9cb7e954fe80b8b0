"""Engraving one score to files: an SVG a line, each standing alone, with outlines of its words."""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import replace
from pathlib import Path

from stavebound.book.papers import Paper
from stavebound.build.loading import load, load_style, wrong_kind
from stavebound.build.on_paper import score_on_paper
from stavebound.build.setting import in_type, on_paper, outfit_of, style_faults
from stavebound.build.values import House, Report
from stavebound.build.writing import write_all
from stavebound.diagnostics import has_errors
from stavebound.engrave.engraving import Engraved
from stavebound.plan.book import WRITTEN_OUT
from stavebound.proof.outlines import with_outlines
from stavebound.score.model import Score
from stavebound.score.typeset import typeset_score
from stavebound.wording.labels import quotes_of


def engrave_file(
    path: Path,
    out: Path,
    paper: Paper,
    style: Path | None,
    house: House,
    repeats: str = WRITTEN_OUT,
    root: Path | None = None,
) -> tuple[Report, Engraved | None]:
    """Write every line of a score as SVG into the folder `out`, numbered from 1; `repeats`
    are signs, or written out; `root` holds what the score names, where it was asked for."""
    loaded = load(path, str(path), root, wanted="score")
    styled = load_style(style)
    texts = {**styled.texts, **loaded.texts}
    sheets = on_paper(styled.sheets, paper)
    faults = (*styled.diagnostics, *style_faults(sheets, house), *loaded.diagnostics)
    if not isinstance(loaded.content, Score):
        faults += () if loaded.diagnostics else (wrong_kind(loaded, "score"),)
        return Report(faults, texts), None
    if has_errors(faults):
        return Report(faults, texts), None
    outfit = outfit_of(sheets, house)
    setting = outfit.setting
    score = typeset_score(loaded.content, quotes_of(outfit.labels))
    inked = score_on_paper(score, None, in_type(paper, setting.style), setting, outfit.key, repeats)
    report = Report((*faults, *inked.diagnostics), texts)
    if report.failed or inked.value is None:
        return report, None
    files = [
        (out / f"{path.stem}-{number:02}.svg", with_outlines(line.svg, setting.faces).encode())
        for number, line in enumerate(inked.value.lines, 1)
    ]
    written = write_all(files)
    notes = tuple(_left_from_before(out, path.stem, len(files)))
    return replace(report, written=written, notes=notes), inked.value.engraved


def _left_from_before(out: Path, stem: str, lines: int) -> Iterator[str]:
    """Which files have the names of lines that this score does not have."""
    name = re.compile(rf"{re.escape(stem)}-(\d\d+)\.svg")
    found = (name.fullmatch(path.name) for path in out.iterdir())
    left = sorted((int(one[1]), one[0]) for one in found if one and int(one[1]) > lines)
    if left:
        names = " to ".join(dict.fromkeys((left[0][1], left[-1][1])))
        yield f"of an earlier engraving, which had more lines, {out} still holds {names}"
