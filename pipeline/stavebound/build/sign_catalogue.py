"""The catalogue of signs as a PDF: every sign, a plate of forty frames that use them, and
every form of movement.

In: the paper, a house style or none. Out: the PDF at its place, or nothing new there.
The plate is a packaged score in the dialect, plate.xml, engraved and proved like any other.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from datetime import UTC, datetime, time
from functools import partial
from importlib.resources import files
from pathlib import Path

from stavebound.book.layouts import Layout
from stavebound.book.papers import Paper
from stavebound.book.sign_catalogue import signs_css, signs_margins, signs_sheet
from stavebound.build.earlier import placed
from stavebound.build.loading import load_style
from stavebound.build.movements import movement_lines
from stavebound.build.on_paper import score_on_paper
from stavebound.build.setting import Outfit, in_type, outfit_of, style_faults
from stavebound.build.values import House, Report
from stavebound.diagnostics import has_errors
from stavebound.plan.book import read_style
from stavebound.press.bind import bind
from stavebound.press.margins import leaves, margin_chapters
from stavebound.press.pool import press_chapters
from stavebound.press.values import Chapter, Metadata
from stavebound.proof.lines import DrawnLine, OnPaper
from stavebound.score.model import Score
from stavebound.score.read import read_score
from stavebound.source.document import Element
from stavebound.source.reading import parse_source
from stavebound.wording.labels import labels

# The layout of the catalogue, which is no book's.
SIGNS_LAYOUT = "signs"
PLATE, PLATE_STYLE = "plate.xml", "plate-style.xml"


def print_signs(out: Path, paper: Paper, style: Path | None, house: House) -> Report:
    """Print the catalogue. Where that fails, an earlier PDF at `out` is set aside, and said so."""
    return placed(out, partial(_printed, paper, style, house))


def _printed(paper: Paper, style: Path | None, house: House) -> tuple[Report, bytes | None]:
    """What was found, and the catalogue; none where a fault is in the way."""
    styled = load_style(style)
    texts = {**styled.texts, PLATE: packaged(PLATE)}
    faults = (*styled.diagnostics, *style_faults(styled.sheets, house))
    if has_errors(faults):
        return Report(faults, texts), None
    outfit = outfit_of((read_style(_root(PLATE_STYLE)), *styled.sheets), house)
    paper = replace(paper, column=0.0, gap=0.0)
    own = in_type(paper, outfit.setting.style)
    plate = score_on_paper(read_score(_root(PLATE)), None, own, outfit.setting, outfit.key)
    moves = movement_lines(paper, outfit.setting, outfit.key)
    report = Report((*faults, *plate.diagnostics, *moves.diagnostics), texts)
    if report.failed or plate.value is None or moves.value is None:
        return report, None
    layout = house.layouts[SIGNS_LAYOUT]
    return report, press_signs(layout, plate.value, moves.value, paper, outfit)


def packaged(name: str) -> str:
    """The text of a file that lies beside this module."""
    return files("stavebound.build").joinpath(name).read_text(encoding="utf-8")


def _root(name: str) -> Element:
    """ValueError where the packaged file is no XML."""
    source = parse_source(packaged(name), name)
    if source.value is None:
        raise ValueError(f"{name}: {source.diagnostics[0].message}")
    return source.value.root


def press_signs(
    layout: Layout,
    plate: OnPaper,
    moves: tuple[DrawnLine, ...],
    paper: Paper,
    outfit: Outfit,
) -> bytes:
    """The bound PDF. PressError where the press fails."""
    setting, words = outfit.setting, labels(outfit.labels)
    paper = in_type(paper, setting.style)
    css = signs_css(layout, paper, setting)
    sheet = signs_sheet(layout, plate, moves, setting, outfit.key, outfit.labels)
    chapter = Chapter(sheet.key, sheet.html, sheet.images, css=css, blind=sheet.blind)
    parts = press_chapters((chapter,), setting.faces)
    margins_css = signs_margins(layout, paper, setting)
    margins = margin_chapters(leaves(parts), margins_css, words["language"], paper.size)
    layer = press_chapters(margins, setting.faces)
    return bind(parts, layer, _metadata(plate.danced.score, words), paper.shift)


def _metadata(score: Score, words: Mapping[str, str]) -> Metadata:
    """Dated as the plate is, so that the same signs make the same file."""
    if score.date is None:
        raise ValueError(f"{PLATE} has no date")
    return Metadata(
        title=words["signs_title"],
        author="",
        subject=score.title,
        language=words["language"],
        created=datetime.combine(score.date, time(), UTC),
    )
