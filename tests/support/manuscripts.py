"""Small books for the tests, engraved and ready to be made into pages."""

from __future__ import annotations

from collections.abc import Mapping

from stavebound.book.openers import telling_frames
from stavebound.book.tempo import note_drawings
from stavebound.book.values import Manuscript, Piece
from stavebound.dance.features import score_features
from stavebound.dance.placings import score_placings
from stavebound.dance.printed import written_out
from stavebound.engrave.parts import Setting
from stavebound.plan.book import BookPlan
from stavebound.proof.lines import drawn_lines
from stavebound.source.rules import NAMESPACE
from tests.support.sources import root_of, score_of, whole
from tests.support.staves import (
    CATALOGUE,
    MEASURE,
    PAPERS,
    SETTING,
    SYLLABUS,
    danced_of,
    engraved,
    key_in,
)

SECTIONS = {
    section.name: section
    for edition in SYLLABUS.editions
    for section in (*edition.front, *edition.body, *edition.back)
}


def manuscript(
    inside: str, scores: Mapping[str, str], attributes: str = "", setting: Setting = SETTING
) -> Manuscript:
    """A book with this inside. `scores`: path → what stands in the score, in the dialect."""
    text = (
        f'<book xmlns="{NAMESPACE}" title="A small book" date="2026-03-02" {attributes}>'
        f"\n{inside}\n</book>"
    )
    plan = root_of(text, "book.xml")
    assert isinstance(plan, BookPlan)
    school = CATALOGUE.school(plan.school or "english")
    assert school is not None
    pieces = tuple(_pieces(plan, scores, setting))
    size = PAPERS["A5"].type_size
    notes = note_drawings(
        (piece.score for _, piece in pieces), size, CATALOGUE, setting.faces, "en"
    )
    return Manuscript(
        plan,
        pieces,
        school,
        SYLLABUS,
        SYLLABUS.edition(None),
        PAPERS["A5"],
        setting,
        key_in(setting),
        notes,
    )


def _pieces(plan: BookPlan, scores: Mapping[str, str], setting: Setting) -> list[tuple[str, Piece]]:
    pieces = []
    for number, exercise in enumerate(plan.exercises, 1):
        score = score_of(whole(scores[exercise.score]), exercise.score)
        danced = danced_of(score, setting)
        on_paper = engraved(score, MEASURE, setting)
        lines = drawn_lines(on_paper, score.title, setting)
        bars = len(written_out(danced).bars)
        used = tuple(score_features(danced, span) for span in on_paper.spans)
        telling = telling_frames(danced, setting.catalogue)
        places = tuple(score_placings(danced, span) for span in on_paper.spans)
        piece = Piece(number, score, danced.school, lines, (), bars, used, places, telling)
        pieces.append((exercise.score, piece))
    return pieces


def one_chapter(*paths: str) -> str:
    """A chapter of these scores."""
    exercises = "".join(f'<exercise score="{path}"/>' for path in paths)
    return f'<chapter id="one" title="At the barre">{exercises}</chapter>'
