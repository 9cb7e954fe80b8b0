"""Movements: every form of movement as a small score, engraved and proved.

In: the table of movements, the paper and the setting. Out: a line for each, in the
table's order, or what is wrong with one. Each stands by itself on a short stave without
the names of its lines.
"""

from __future__ import annotations

from dataclasses import replace
from html import escape

from stavebound.book.papers import Paper
from stavebound.build.on_paper import score_on_paper
from stavebound.build.setting import in_type
from stavebound.diagnostics import Diagnostic, Outcome
from stavebound.engrave.parts import Setting
from stavebound.proof.lines import DrawnLine
from stavebound.readback.claims import ReadingKey
from stavebound.score.model import Score
from stavebound.score.read import read_score
from stavebound.source.reading import parse_source
from stavebound.source.rules import NAMESPACE
from stavebound.trade.showing import Movement


def movement_lines(
    paper: Paper, setting: Setting, key: ReadingKey
) -> Outcome[tuple[DrawnLine, ...]]:
    """None where a house style lets one of them not be drawn."""
    width = setting.style.distance("movement count width")
    distances = {**setting.style.distances, "count width": width}
    own = replace(setting, style=replace(setting.style, line_names="none", distances=distances))
    paper = in_type(paper, setting.style)
    found: list[DrawnLine] = []
    faults: list[Diagnostic] = []
    for row in setting.catalogue.movements.movement:
        printed = score_on_paper(movement_score(row), None, paper, own, key)
        faults += printed.diagnostics
        found += printed.value.lines if printed.value else ()
    whole = len(found) == len(setting.catalogue.movements.movement)
    return Outcome(tuple(found) if whole else None, tuple(faults))


def movement_score(row: Movement) -> Score:
    """One bar, from the position before it. ValueError where the row is no XML."""
    parsed = parse_source(movement_text(row), row.meaning)
    if parsed.value is None:
        raise ValueError(f"{row.meaning}: {parsed.diagnostics[0].message}")
    return read_score(parsed.value.root)


def movement_text(row: Movement) -> str:
    """The score's source."""
    return (
        f'<score xmlns="{NAMESPACE}" title="{escape(row.meaning)}" school="english">'
        f'<start>{row.start}<arms in="bras bas"/></start><caution about="springs"/>'
        f'<phrase counts="{row.counts}"><bar at="1" counts="{row.counts}"/>'
        f"{row.phrase}</phrase></score>"
    )
